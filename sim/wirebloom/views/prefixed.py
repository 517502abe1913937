"""Axes whose data stay in SI while their numbers are read in a unit that fits: what moves in an animation needs no factors."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from matplotlib.axis import Axis

PREFIXES = (("", 1.0), ("m", 1e3), ("µ", 1e6), ("n", 1e9), ("p", 1e12))
FIRST = 0.2  # of a prefixed unit: an axis that reaches less far is read in the next smaller one


class Unit(NamedTuple):
    """A unit with its prefix, and how many of it make one without."""

    name: str
    per: float


def unit_for(reach: float, base: str) -> Unit:
    """Return the unit in which an axis reads best that reaches so far, in `base`.

    Examples
    --------
    >>> unit_for(0.4e-3, "m").name, unit_for(7e-6, "m").name, unit_for(3e-11, "m").name, unit_for(0.02, "A").name
    ('mm', 'µm', 'pm', 'mA')
    """
    prefix, per = next(((prefix, per) for prefix, per in PREFIXES if reach * per >= FIRST), PREFIXES[-1])
    return Unit(prefix + base, per)


def times(value: float) -> str:
    """Return a factor in figures, thousands apart.

    Examples
    --------
    >>> times(62.5), times(500000.0)
    ('62.5', '500 000')
    """
    return f"{value:,.0f}".replace(",", " ") if value >= 1000.0 else f"{value:g}"


def read_in(axis: Axis, unit: Unit) -> None:
    """Number an axis in a unit."""
    from matplotlib.ticker import FuncFormatter  # noqa: PLC0415

    axis.set_major_formatter(FuncFormatter(lambda value, _: f"{round(value * unit.per, 9) + 0.0:g}"))


def round_down(value: float) -> float:
    """Return the largest of 1, 2, 5, 10, … (and of tenths, hundredths …) that is not above a value.

    Examples
    --------
    >>> round_down(99.0), round_down(0.21), round_down(5.0)
    (50.0, 0.2, 5.0)
    """
    decade = 10.0 ** np.floor(np.log10(value) + 1e-9)
    return float(f"{max(step * decade for step in (1.0, 2.0, 5.0) if step * decade <= value * (1.0 + 1e-9)):.1g}")
