"""Depths that a round head's parts have when none is written."""

from __future__ import annotations

from typing import Any

from pydantic_core import PydanticCustomError

from wirebloom.rig.dimensions import LENGTH
from wirebloom.rig.quantities import quantity

Raw = dict[str, Any]


def fill_depths(head: Raw) -> Raw:
    """Give magnets without a depth the one behind the core, plates the one behind everything, the flange that of the coil.

    Parameters
    ----------
    head : dict
        A round head as written, values in words or in SI alike.

    Returns
    -------
    dict
        A copy with the defaults filled in; what cannot be filled in is left to be refused by name.
    """
    core, coil = head.get("core"), head.get("coil")
    filled = _with_tops(dict(head), "magnets", _behind(core, coil))
    filled = _with_tops(filled, "plates", _behind_all(filled))
    for key, source in (("flange_diameter", "outer_diameter"), ("flange_recess", "top")):
        value = _value(coil, source)
        if value is not None:
            filled.setdefault(key, value)
    return filled


def _with_tops(head: Raw, key: str, top: Any) -> Raw:
    parts = head.get(key)
    if isinstance(parts, (tuple, list)) and top is not None:
        head[key] = tuple({"top": top, **part} if isinstance(part, dict) else part for part in parts)
    return head


def _value(part: Any, key: str) -> Any:
    return part.get(key) if isinstance(part, dict) else getattr(part, key, None)


def _behind(core: Any, coil: Any) -> Any:
    """Depth just behind the core, or behind the coil if there is no core."""
    return _value(core, "length") if core is not None else _value(coil, "bottom")


def _behind_all(head: Raw) -> Any:
    """Depth of the lowest face of core, coil and magnets, in words if they are; None if one of them cannot be read."""
    ends = [_value(head.get("coil"), "bottom")]
    if head.get("core") is not None:
        ends.append(_value(head["core"], "length"))
    lengths = [_metres(end) for end in ends]
    magnets = head.get("magnets")
    lengths += [_end(magnet) for magnet in magnets] if isinstance(magnets, (tuple, list)) else []
    if any(length is None for length in lengths):
        return None
    lowest = max(length for length in lengths if length is not None)
    return f"{lowest!r} m" if isinstance(ends[0], str) else lowest


def _end(magnet: Any) -> float | None:
    """Depth of a magnet's lower face, m."""
    top, thickness = (_metres(_value(magnet, key)) for key in ("top", "thickness"))
    count = magnet.get("count", 1) if isinstance(magnet, dict) else _value(magnet, "count")
    if top is None or thickness is None or not isinstance(count, int):
        return None
    return round(top + count * thickness, 12)


def _metres(value: Any) -> float | None:
    """A length in words or in SI, m; None if it is neither."""
    if isinstance(value, str):
        try:
            return quantity(value, LENGTH)
        except PydanticCustomError:
            return None
    return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else None
