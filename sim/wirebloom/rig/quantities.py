"""Texts like ``0.36 mm`` to SI floats, strictly: a number, a unit that fits, nothing else."""

from __future__ import annotations

import math
import re
import unicodedata

from quantiphy import InvalidNumber
from quantiphy import Quantity as Parsed

from wirebloom.rig.dimensions import LENGTH, Dimension
from wirebloom.rig.sentences import refusal

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(rf"({_NUMBER})\s*(\D.*)?", re.ASCII | re.DOTALL)
_PLAIN = re.compile(_NUMBER, re.ASCII)
_COMMA = re.compile(r"([+-]?\d+),(\d+)(.*)", re.ASCII | re.DOTALL)
LONGEST_TEXT = 80


def plain_number(text: str) -> float | None:
    """Return a number written without a unit, None if the text is anything else."""
    return float(text) if len(text) <= LONGEST_TEXT and _PLAIN.fullmatch(text.strip()) else None


def unit_factor(unit: str, dimension: Dimension) -> float | None:
    """Return what a unit, with or without decimal prefix, is in SI; None if it does not fit.

    Parameters
    ----------
    unit : str
        As written, such as ``mm``.
    dimension : Dimension
        The kind of quantity it must belong to.
    """
    plain = " ".join(unicodedata.normalize("NFKC", unit).replace("·", " ").replace("*", " ").split())
    known = {name.replace("·", " "): factor for name, factor in dimension.units.items()}
    if plain in known:
        return known[plain]
    for name, factor in dimension.si.items():
        prefix = plain.removesuffix(name.replace("·", " "))
        if len(prefix) == 1 and prefix != plain:
            return _prefix(prefix, factor)
    return None


def _prefix(letter: str, factor: float) -> float | None:
    # The unit goes in as a letter that is no prefix itself: quantiphy would take the metre alone for milli.
    try:
        scaled = Parsed(f"1 {letter}Hz")
    except InvalidNumber:
        return None
    return float(scaled.real) * factor if scaled.units == "Hz" else None


def quantity(text: str, dimension: Dimension) -> float:
    """Read one quantity.

    Parameters
    ----------
    text : str
        Number and unit.
    dimension : Dimension
        The kind of quantity wanted.

    Returns
    -------
    float
        In SI units.

    Raises
    ------
    pydantic_core.PydanticCustomError
        If there is no unit, one that does not fit, or no number.

    Examples
    --------
    >>> from wirebloom.rig.dimensions import LENGTH
    >>> round(quantity("0.36 mm", LENGTH), 9)
    0.00036
    """
    found = _QUANTITY.fullmatch(text.strip()) if len(text) <= LONGEST_TEXT else None
    if found is None:
        raise refusal(f"{dimension.name} with its unit ({dimension.hint})", text or "an empty text", hint=_comma_hint(text))
    if not found[2]:
        raise refusal(f"{dimension.name} with its unit ({dimension.hint})", text)
    unit = found[2].strip()
    factor = unit_factor(unit, dimension)
    if factor is None:
        hint = _comma_hint(text) or _case_hint(unit, dimension, found[1])
        raise refusal(f"{dimension.name} in {dimension.hint}", text, hint=hint)
    return float(found[1]) * factor + dimension.zero.get(unicodedata.normalize("NFKC", unit), 0.0)


def _comma_hint(text: str) -> str:
    comma = _COMMA.fullmatch(text.strip()) if len(text) <= LONGEST_TEXT else None
    return f"Perhaps you meant {comma[1]}.{comma[2]}{comma[3]}." if comma else ""


def _case_hint(unit: str, dimension: Dimension, number: str) -> str:
    """Offer the unit that differs in upper and lower case only."""
    spelt = [f"{prefix}{name}" for name in dimension.si for prefix in ("", "m", "u", "n", "p", "c", "k", "M")]
    near = [candidate for candidate in (*dimension.other, *spelt) if candidate.lower() == unit.lower()]
    return f"Perhaps you meant {number} {near[0]}." if near else ""


def shown(value: float, dimension: Dimension) -> str:
    """Return an SI value as it would be written in a scenario.

    Examples
    --------
    >>> from wirebloom.rig.dimensions import LENGTH
    >>> shown(0.036, LENGTH)
    '36 mm'
    """
    if not math.isfinite(value) or not dimension.si:
        return f"{value:g} {dimension.shown}"
    return str(Parsed(value, dimension.shown).render(prec=4))


def metres(value: float) -> str:
    """Return a length (m) as it would be written in a scenario."""
    return shown(value, LENGTH)
