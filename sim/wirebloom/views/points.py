"""One test point, and a table of them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from wirebloom.views.amounts import amount
from wirebloom.views.head_words import span
from wirebloom.views.tables import Table

VOLTS = 0.1  # of a voltage that a supply or half of it sets
FAINT = 1e-4  # V: less does not show on a multimeter
SLIP = "a probe that slips can short the supply: insulated tips, fuse in the lead"
DRAWN = "ammeter in the supply's lead, highest range first"
COLUMNS = ("measure", "where", "expect", "in order within", "how", "take care")


class Point(NamedTuple):
    """What is measured, where, what it should be, within which bounds it is in order, how, and what can hurt."""

    what: str
    where: str
    expect: str
    within: str
    how: str
    care: str


def table_of(title: str, points: Iterable[Point], note: str = "") -> Table:
    """Return a table of test points."""
    return Table(title, COLUMNS, tuple(points), note)


def about(value: float, share: float, unit: str) -> str:
    """Return the bounds a share below and above a value.

    Examples
    --------
    >>> about(24.1, 0.1, "Ω"), about(-4.5, 0.1, "V")
    ('22 to 27 Ω', '-5 to -4 V')
    """
    low, high = sorted((value * (1.0 - share), value * (1.0 + share)))
    return span(low, high, unit)


def at_most(value: float, unit: str) -> str:
    """Return an upper bound."""
    return f"up to {amount(value, unit, 2)}"


def by_voltmeter(volts: float) -> str:
    """Return how an alternating voltage is measured."""
    return "voltmeter, AC" if volts >= FAINT else "voltmeter, AC: too little to show, so 0 is right"
