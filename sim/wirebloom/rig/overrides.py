"""Changes to a scenario from outside: ``heads.sense.gap=1.2 mm``."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from typing import Any

from wirebloom.errors import ScenarioError
from wirebloom.rig.document import frozen
from wirebloom.rig.sentences import listed, perhaps, sentence, show


def apply_overrides(tables: dict[str, Any], overrides: Sequence[str]) -> dict[str, Any]:
    """Return the tables with every change made, later ones last.

    Parameters
    ----------
    tables : dict
        A scenario as parsed; it is left as it is.
    overrides : sequence of str
        ``path=value``: keys and names of entries joined by dots (an entry without a name by the string it is over, or by
        its number from 0), and the value as a scenario would have it, quotes left out.

    Raises
    ------
    ScenarioError
        If a change is not of this form, or its path leads nowhere.
    """
    for override in overrides:
        path, equals, value = override.partition("=")
        steps = tuple(step.strip() for step in path.split("."))
        if not equals or not all(steps):
            raise ScenarioError(sentence("--set", "of the form heads.sense.gap=1.2 mm", f"'{show(override)}'"))
        tables = _changed(tables, steps, _value(value.strip()), override)
    return tables


def _value(text: str) -> Any:
    """Read a number, truth value or list as TOML would; anything else is a text."""
    try:
        parsed = tomllib.loads(f"value = {text}")
    except (ValueError, RecursionError):
        return text
    return frozen(parsed["value"]) if set(parsed) == {"value"} else text


def _changed(node: Any, steps: tuple[str, ...], value: Any, override: str) -> Any:
    """Return a copy of the node with the value put where the steps lead."""
    if not steps:
        return value
    if isinstance(node, tuple):
        index = _entry(node, steps[0], override)
        return (*node[:index], _changed(node[index], steps[1:], value, override), *node[index + 1 :])
    if node is not None and not isinstance(node, dict):
        raise ScenarioError(_lost(override, "a path that ends at a value", f"'{steps[0]}' after the value {show(node)}"))
    table = node or {}
    return {**table, steps[0]: _changed(table.get(steps[0]), steps[1:], value, override)}


def _entry(entries: tuple[Any, ...], step: str, override: str) -> int:
    names = [_name(entry, index) for index, entry in enumerate(entries)]
    if step in names:
        return names.index(step)
    if step.isdecimal() and int(step) < len(entries):
        return int(step)
    raise ScenarioError(_lost(override, f"a path with one of the names {listed(names)}", f"'{show(step)}'", perhaps(step, names)))


def _name(entry: Any, index: int) -> str:
    if isinstance(entry, dict):
        return str(entry.get("name", entry.get("string", index)))
    return str(index)


def _lost(override: str, what: str, received: str, hint: str = "") -> str:
    return sentence(f"--set '{show(override)}'", what, received, hint)
