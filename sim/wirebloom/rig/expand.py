"""What a scenario may leave unsaid, said: copies by ``like``, shares of a string's length, the kind of a head."""

from __future__ import annotations

import re
from typing import Any

from pydantic_core import PydanticCustomError

from wirebloom.errors import ScenarioError
from wirebloom.rig.dimensions import LENGTH
from wirebloom.rig.quantities import quantity
from wirebloom.rig.sentences import listed, perhaps, sentence, show

_SHARE = re.compile(r"([\d.]+)\s*L", re.ASCII)
OWN = {"name", "string", "position", "gap", "offset", "over", "like", "reversed", "measured"}  # never copied from another head

Raw = dict[str, Any]


def entries(tables: Raw, key: str) -> list[Raw]:
    """Return the tables of a list of tables; whatever else stands there is left for the models to refuse."""
    found = tables.get(key)
    return [entry for entry in found if isinstance(entry, dict)] if isinstance(found, tuple) else []


def named(tables: Raw, key: str) -> list[str]:
    """Return the names in a list of tables."""
    return [entry["name"] for entry in entries(tables, key) if isinstance(entry.get("name"), str)]


def refuse_namesakes(tables: Raw, file: str) -> None:
    """Refuse two entries of one name."""
    for key in ("strings", "heads", "loops", "supplies"):
        seen: dict[str, int] = {}
        for index, entry in enumerate(tables[key] if isinstance(tables.get(key), tuple) else ()):
            name = entry.get("name") if isinstance(entry, dict) else None
            if isinstance(name, str) and seen.setdefault(name, index) != index:
                received = f"'{show(name)}', which {key}[{seen[name]}] has already"
                raise ScenarioError(sentence(f"{file}: {key}[{index}].name", "a name of its own", received))


def expand(tables: Raw, file: str) -> Raw:
    """Return a copy of the tables with nothing left to be looked up elsewhere in the scenario.

    Raises
    ------
    ScenarioError
        If ``like`` names no head, or leads round in a circle.
    """
    lengths = _lengths(tables)
    full = dict(tables)
    if isinstance(tables.get("heads"), tuple):
        copied = tuple(_like(tables, index, file) for index in range(len(tables["heads"])))
        full["heads"] = tuple(_head(head, lengths) if isinstance(head, dict) else head for head in copied)
    if isinstance(tables.get("strings"), tuple):
        full["strings"] = tuple(_dampers(one, lengths) if isinstance(one, dict) else one for one in tables["strings"])
    if isinstance(tables.get("start"), dict):
        full["start"] = _start(tables["start"], lengths)
    return full


def _lengths(tables: Raw) -> dict[str, float]:
    """Length (m) of every string that has a readable one."""
    found = {}
    for string in entries(tables, "strings"):
        name, text = string.get("name"), string.get("length")
        if isinstance(name, str) and isinstance(text, str):
            try:
                found[name] = quantity(text, LENGTH)
            except PydanticCustomError:
                continue
    return found


def _share(place: Any, lengths: dict[str, float], string: Any = None) -> Any:
    """Turn a position such as ``0.4 L`` into a length."""
    if not isinstance(place, dict):
        return place
    text, owner = place.get("position"), place.get("string", string)
    share = _SHARE.fullmatch(text.strip()) if isinstance(text, str) else None
    if share is None or not isinstance(owner, str) or owner not in lengths:
        return place
    try:
        return {**place, "position": f"{float(share[1]) * lengths[owner]!r} m"}
    except ValueError:
        return place


def _head(head: Raw, lengths: dict[str, float]) -> Raw:
    over = head.get("over")
    first = over[0].get("string") if isinstance(over, tuple) and over and isinstance(over[0], dict) else None
    full: Raw = {"kind": "round", **_share(head, lengths, first)}  # beside over a position is refused, but not for its share
    if isinstance(over, tuple):
        full["over"] = tuple(_share(place, lengths) for place in full["over"])
    return full


def _dampers(string: Raw, lengths: dict[str, float]) -> Raw:
    if not isinstance(string.get("dampers"), tuple):
        return string
    return {**string, "dampers": tuple(_share(damper, lengths, string.get("name")) for damper in string["dampers"])}


def _start(start: Raw, lengths: dict[str, float]) -> Raw:
    only = next(iter(lengths)) if len(lengths) == 1 else None
    named_start = {"string": only, **start} if only and start.get("kind") in ("pluck", "tap") else start
    shared: Raw = _share(named_start, lengths)
    return shared


def _like(tables: Raw, index: int, file: str, visited: tuple[int, ...] = ()) -> Any:
    """Return a head with the build of the one it is like, tables joined key by key."""
    head = tables["heads"][index]
    if not isinstance(head, dict) or not isinstance(head.get("like"), str):
        return head
    key, received = f"{file}: heads[{index}].like", f"'{show(head['like'])}'"
    names = [entry.get("name") if isinstance(entry, dict) else None for entry in tables["heads"]]
    others = [str(name) for place, name in enumerate(names) if name is not None and place != index]
    if head["like"] not in others:
        raise ScenarioError(sentence(key, f"the name of another head ({listed(others)})", received, perhaps(head["like"], others)))
    if index in visited:
        raise ScenarioError(sentence(key, "a head that is not like this one in turn", received))
    model = _like(tables, names.index(head["like"]), file, (*visited, index))
    return _joined({name: value for name, value in model.items() if name not in OWN}, head)


def _joined(model: Raw, own: Raw) -> Raw:
    """Return the model's table with the own keys over it, subtables likewise."""
    both = [key for key in own if isinstance(own[key], dict) and isinstance(model.get(key), dict)]
    return {**model, **own, **{key: _joined(model[key], own[key]) for key in both}}
