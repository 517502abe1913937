"""A thing that a maker can change, as a number between two ends: how far it is turned, and how a scenario would say so."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor, inf, log, log10
from typing import NamedTuple

from wirebloom.circuit.series import E12, E24
from wirebloom.rig.dimensions import Dimension
from wirebloom.rig.quantities import shown

Words = Callable[[float], tuple[str, ...]]
Onwards = Callable[[float, bool], float]
LEAST_OHM = 0.1
SWITCHES = ("polarity", "added bypass")
SLACK = 1e-6  # of a grid's step
BIT = 1e-4  # of a turn


class Knob(NamedTuple):
    """One of them.

    Attributes
    ----------
    name : str
        "gap of sense".
    kind : str
        "gap", "position", "gain", "load", "level resistor", "capacitor", "feedback", "supply", "turns", "magnets", "polarity" or
        "added bypass".
    value : float
        As it stands, SI.
    low, high : float
        Ends of what is looked at.
    full : float
        How much counts as a change of size 1: a ratio, or a difference where `beside` is infinite.
    step : float
        How much of that, up and down, a sensitivity is told for; 0: none is told.
    beside : float
        What stands beside the value in the same way, so that ratios are of the sum; infinite for a scale of differences.
    dimension : Dimension or None
        None for a plain number.
    magnets : str
        Head whose magnets are taken to be so many times as strong, where no key of a scenario says so: `overrides` are empty then.
    overrides : callable
        Changes to the scenario that set it to a value.
    settable : callable
        Next value that can be set or bought, upwards or downwards.
    """

    name: str
    kind: str
    value: float
    low: float
    high: float
    full: float
    step: float
    overrides: Words
    settable: Onwards
    dimension: Dimension | None = None
    beside: float = 0.0
    magnets: str = ""

    @property
    def switch(self) -> bool:
        """One that is as it is (0) or the other way (1)."""
        return self.kind in SWITCHES

    def at(self, turn: float) -> float:
        """Value at a turn (−1 … 1), held between the ends."""
        shifted, times = self.value + turn * self.full, (self.value + self.beside) * self.full**turn
        return min(max(shifted if self.beside == inf else times - self.beside, self.low), self.high)

    def turn(self, value: float) -> float:
        """Turn at which it has a value."""
        if self.beside == inf:
            return (value - self.value) / self.full
        return log(max(value + self.beside, 1e-300) / (self.value + self.beside)) / log(self.full)

    def beyond(self, turn: float) -> float:
        """Turn of the next value that can be set or bought, not short of a turn and not the one that is."""
        up = turn > 0.0
        value = self.settable(self.at(turn), up)
        if value == self.value:
            value = self.settable(self.at(turn + (BIT if up else -BIT)), up)
        return self.turn(min(max(value, self.low), self.high))

    def told(self, value: float) -> str:
        """A value as a scenario would have it."""
        return f"{value:.4g}" if self.dimension is None else shown(value, self.dimension)


def resistor(value: float, up: bool) -> float:
    """Next of E24 (IEC 60063), none at all below a tenth of an ohm."""
    return _preferred(value, up, E24) if value >= LEAST_OHM else (LEAST_OHM if up and value > 0.0 else 0.0)


def capacitor(value: float, up: bool) -> float:
    """Next of E12 (IEC 60063)."""
    return _preferred(value, up, E12)


def _preferred(value: float, up: bool, series: Sequence[int]) -> float:
    slack, decade = 1e-9 * value, floor(log10(value))
    near = [float(f"{number}e{decade + shift - 1}") for shift in (-1, 0, 1) for number in series]
    return min(one for one in near if one >= value - slack) if up else max(one for one in near if one <= value + slack)


def grid(step: float) -> Onwards:
    """Next multiple of a step."""

    def onwards(value: float, up: bool) -> float:
        count = value / step
        return float(f"{step * (ceil(count - SLACK) if up else floor(count + SLACK)):.9g}")

    return onwards


def two_figures(value: float, up: bool) -> float:
    """Next with two significant figures."""
    return grid(10.0 ** (floor(log10(value)) - 1))(value, up)
