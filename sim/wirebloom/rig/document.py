"""TOML text to plain tables, with the mistakes of TOML in our own words."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from wirebloom.errors import ScenarioError
from wirebloom.rig.sentences import sentence, show

_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")
_REPEATED = re.compile(r"overwrite|twice|[Dd]uplicate|mutate|redefine|already")
_BARE = re.compile(r"\s*([\w.-]+)\s*=\s*([^\"'#\[{\s][^\"'#\[{]*?)\s*(?:#.*)?$")


def parse_toml(text: str, file: str) -> dict[str, Any]:
    """Return the tables of a TOML 1.0 text, lists as tuples.

    Raises
    ------
    ScenarioError
        With the line and, for the usual slip of forgotten quotes, the cure.
    """
    try:
        tables: dict[str, Any] = frozen(tomllib.loads(text))
    except tomllib.TOMLDecodeError as problem:
        raise ScenarioError(_sentence(str(problem), text, file)) from problem
    except (RecursionError, ValueError) as problem:
        raise ScenarioError(sentence(file, "valid TOML", "lists within lists too deep, or a number too long, to read")) from problem
    return tables


def frozen(value: Any) -> Any:
    """Return nested tables with every list as a tuple."""
    if isinstance(value, dict):
        return {key: frozen(one) for key, one in value.items()}
    return tuple(frozen(one) for one in value) if isinstance(value, list) else value


def _sentence(message: str, text: str, file: str) -> str:
    found = _AT_LINE.search(message)
    lines = text.splitlines()
    number = int(found[1]) if found else max(len(lines), 1)
    line = lines[number - 1] if number <= len(lines) else ""
    where = f"{file}: line {number}"
    if _REPEATED.search(message):
        return sentence(where, "a key or table that is not there yet", f"a second {show(line.strip())}")
    return sentence(where, "valid TOML", show(line.strip()) if line.strip() else "a line that is cut short", _quotes(line))


def _quotes(line: str) -> str:
    bare = _BARE.match(line)
    return f'Perhaps you meant {bare[1]} = "{bare[2]}".' if bare else ""
