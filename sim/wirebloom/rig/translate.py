"""The validator's findings in the house sentence."""

from __future__ import annotations

import re
from typing import Any

from pydantic import ValidationError

from wirebloom.rig.sentences import OURS, listed, perhaps, sentence, show

_WHAT = {
    "string_type": "a text in quotes",
    "bool_type": "true or false",
    "tuple_type": "a list",
    "named_tuple_type": "a list of values",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "dict_type": "a table",
    "missing": "given",
    "none_required": "left out",
    "union_tag_not_found": "given",
}
_KINDS = {  # where a kind of table is told apart: at which depth, and the kinds
    "heads": (2, ("round", "measured")),
    "supplies": (2, ("battery", "regulator", "ideal")),
    "loops": (4, ("op-amp", "power chip", "buffer", "coupling")),
}


def first_sentence(problem: ValidationError, file: str) -> str:
    """Return the sentence for the finding that explains most: an unknown key before anything else, then in reading order."""
    findings = problem.errors(include_url=False)
    first = min(findings, key=lambda finding: 0 if finding.get("ctx", {}).get("hint") else 1)
    return _sentence(first, file)


def _sentence(finding: Any, file: str) -> str:
    told = finding.get("ctx", {})
    place = key_path(finding["loc"])
    if finding["type"] == OURS:
        key = ".".join(part for part in (place, told["key"]) if part)
        return sentence(f"{file}: {key or 'the scenario'}", told["what"], show(told["received"]), told["hint"])
    what, hint = _generic(finding, told)
    if finding["type"].startswith("union_tag"):
        place, received = f"{place}.kind", show(told.get("tag", "nothing"))
    else:
        received = "nothing" if finding["type"] == "missing" else show(finding["input"])
    return sentence(f"{file}: {place or 'the scenario'}", what, received, hint)


def _generic(finding: Any, told: Any) -> tuple[str, str]:
    """Return what a finding of the library's own kinds asks for, and a hint."""
    kind, value = finding["type"], finding["input"]
    if kind in ("literal_error", "union_tag_invalid"):
        return _choice(str(told.get("expected", told.get("expected_tags"))), told.get("tag", value))
    if kind in ("too_short", "too_long"):
        limit = f"at least {told['min_length']}" if kind == "too_short" else f"at most {told['max_length']}"
        return f"a list of {limit}", ""
    return _WHAT.get(kind, "of the kind this key takes"), ""


def _choice(expected: str, value: Any) -> tuple[str, str]:
    names = re.findall(r"'([^']*)'", expected)
    if not names:
        return expected, ""
    return listed(names), perhaps(value, names) if isinstance(value, str) else ""


def key_path(location: tuple[int | str, ...]) -> str:
    """Return a place in the tables as it is read: ``heads[0].coil.turns``."""
    path = ""
    deep, tags = _KINDS.get(str(location[0]) if location else "", (0, ()))
    for depth, part in enumerate(location):
        if isinstance(part, int):
            path += f"[{part}]"
        elif not (depth == deep and part in tags):
            path += f".{part}" if path else part
    return path
