"""How far a rig may be changed before no partial grows: the widest gap, head by head and all together; and how near its loops squeal.

A loop's gain goes with the force factors of its heads, whose tables tell about where it falls short; there the rig's poles, weights and
rest are worked out anew, and the partials' thresholds. What is looked for is the gap at which the least share that a partial
needs (:class:`wirebloom.take.check_small.PartialCheck`) is 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from wirebloom.analysis.benches import Laid, laid_out
from wirebloom.analysis.linear import Linear, linearise
from wirebloom.analysis.regapped import Held, string_held
from wirebloom.analysis.reserves import BEYOND, Edge, Reserve, reserve, reserve_now
from wirebloom.analysis.small import MOST, small_signal
from wirebloom.analysis.squeal import Squeal, Threshold, squeals
from wirebloom.compile.poles import PER_AMPERE, Pole
from wirebloom.kernels.layout import Floats
from wirebloom.physics.bspline import evaluate
from wirebloom.take.check_small import GapMargin, Margins, PartialCheck, SmallSignal, SquealMargin

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

NARROWEST, WIDEST, GRID = 0.1e-3, 8e-3, 160  # m, and how many gaps in between the tables are asked at
TRIED, RIVAL = 4, 4.0  # partials that need least as things stand, none that needs so many times more: gaps are alike to all
CLOSE = 5e-3  # of a share: some micrometres of gap
ROUNDS = 10
WIDER, NARROWER = 1.0, 1.2  # how far to look, in logarithms of what there is to gain
TINY = 1e-300  # N/A: a head without magnets


def margins(compiled: Compiled, small: SmallSignal | None = None, linear: Linear | None = None) -> Margins:
    """Widest gaps and squeal thresholds of a compiled rig.

    Parameters
    ----------
    compiled : Compiled
    small : SmallSignal, optional
        Of the same rig, if it is at hand.
    linear : Linear, optional
        Of the same rig with its strings held, if it is at hand.

    Returns
    -------
    Margins
    """
    linear = linearise(compiled, strings=False) if linear is None else linear
    laid = laid_out(compiled, linear)
    known = small_signal(compiled, laid) if small is None else small
    found = zip(compiled.rig.loops, squeals(compiled, linear), strict=True)
    gaps = [margin for s in range(len(compiled.rig.strings)) for margin in gap_margins(compiled, known, s, laid)]
    return Margins(tuple(gaps), tuple(squeal_margin(loop.name, own) for loop, own in found))


def gap_margins(compiled: Compiled, small: SmallSignal, s: int, laid: Laid | None = None) -> list[GapMargin]:
    """Of every head of a loop under string number s alone, and of all of them together."""
    poles = [j for j, sheet in enumerate(compiled.sheet.poles) if compiled.poles[j].string == s and sheet.loop]
    together = [poles] if len(poles) > 1 else []
    tried = candidates(compiled, small, s)
    held = string_held(compiled, laid_out(compiled) if laid is None else laid, s) if tried else None
    return [_gap_margin(compiled, held, s, own, tried) for own in [*([j] for j in poles), *together]]


def _gap_margin(compiled: Compiled, held: Held | None, s: int, poles: Sequence[int], tried: Sequence[PartialCheck]) -> GapMargin:
    now = [compiled.poles[j].place.gap for j in poles]
    found = None if held is None else widest(held, poles, tried)
    return GapMargin(
        string=compiled.rig.strings[s].name,
        heads=tuple(compiled.poles[j].head.name for j in poles),
        gap_mm=tuple(1e3 * gap for gap in now),
        widest_mm=None if found is None else tuple(1e3 * (gap + found.more) for gap in now),
        partial=None if found is None else found.partial,
        limited=found is not None and found.limited,
    )


class Widest(NamedTuple):
    """How much wider (m) heads may stand, the partial that grows last, whether it still grows there."""

    more: float
    partial: int
    limited: bool


def widest(held: Held, poles: Sequence[int], tried: Sequence[PartialCheck]) -> Widest | None:
    """The most by which these poles may be moved away together (less than nothing: must come nearer); None if nothing grows anywhere."""
    rig_poles = held.compiled.poles
    search = _Search(*_grid(rig_poles, poles), reserve_now(held, tried))
    for _ in range(ROUNDS):
        ahead = search.ahead()
        if ahead is None:
            break
        gaps = {j: rig_poles[j].place.gap + ahead for j in poles}
        search.learn(ahead, reserve(held, gaps, tried, search.edge(ahead)))
    return search.found()


class _Search:
    """For the place where a string's reserve is used up, between one where it grows and one where it does not."""

    def __init__(self, more: Floats, left: Floats, now: Reserve) -> None:
        self.more, self.left = more, left  # how much wider (G,), m; ln of the force factors' product there (G,), falling
        self.inner: tuple[float, Reserve] | None = None  # the widest place at which it grows
        self.outer: tuple[float, Reserve] | None = None  # the narrowest beyond that, at which it does not
        self.last = 0.0, now
        self.learn(0.0, now)

    def learn(self, at: float, own: Reserve | None) -> None:
        """Take in what is found at a place; None where the string lies on a face: as narrow as it can be."""
        if own is None:
            self.more, self.left = self.more[self.more > at], self.left[self.more > at]
            return
        self.last = at, own
        if own.share <= 1.0:
            self.inner = (at, own)
        else:
            self.outer = (at, own)

    def ahead(self) -> float | None:
        """Where to look next; None where there is nothing more to find."""
        inner, outer = self.inner, self.outer
        if self.more.size < 2 or (inner is not None and (inner[1].share > 1.0 - CLOSE or inner[0] == self.more[-1])):
            return None
        if inner is None:
            return None if outer is None or outer[0] <= self.more[0] else self._by_table(*outer, NARROWER)
        if outer is None:
            return self._by_table(*inner, WIDER)
        if outer[1].share >= BEYOND:
            return 0.5 * (inner[0] + outer[0])
        ends = np.log(inner[1].share), np.log(outer[1].share)
        return float(np.interp(-0.3 * CLOSE, ends, (inner[0], outer[0])))

    def _by_table(self, at: float, own: Reserve, further: float) -> float:
        """Where the force factors leave just enough, or a little less or more, to have the place between two."""
        wanted = np.interp(at, self.more, self.left) + further * np.log(min(own.share, MOST))
        return float(np.interp(-wanted, -self.left, self.more))

    def edge(self, ahead: float) -> Edge:
        """What is to be expected at a place, from the last one that was looked at: shares go with the force factors."""
        at, own = self.last
        before, then = np.interp([at, ahead], self.more, self.left)
        return own.edge._replace(share=own.edge.share * np.exp(before - then))

    def found(self) -> Widest | None:
        """What came of it."""
        return None if self.inner is None else Widest(self.inner[0], self.inner[1].partial, bool(self.inner[0] == self.more[-1]))


def _grid(rig_poles: Sequence[Pole], poles: Sequence[int]) -> tuple[Floats, Floats]:
    """How much wider (G,), m, and ln of what is then left of the force factors' product (G,), falling."""
    gaps = np.array([rig_poles[j].place.gap for j in poles])
    more = np.linspace(NARROWEST - gaps.min(), WIDEST - gaps.max(), GRID)
    left = np.zeros(GRID)
    for j, gap in zip(poles, gaps, strict=True):
        left += np.log(np.abs(factors(rig_poles[j], gap + more)) + TINY)
    return more, np.minimum.accumulate(left)


def factors(pole: Pole, gap: Floats) -> Floats:
    """Force factor of a pole at gaps (G,), N/A."""
    table, side = pole.table, np.full(gap.size, pole.place.offset)
    axes = (table.gap_start, table.gap_step), (table.offset_start, table.offset_step)
    return np.asarray(-evaluate(table.coefficient, axes, gap, side, dx=1)[:, PER_AMPERE])


def candidates(compiled: Compiled, small: SmallSignal, s: int) -> list[PartialCheck]:
    """Partials of a string that would grow if only the loop heard more, those that need least first."""
    own = [p for p in small.partials if p.string == compiled.rig.strings[s].name and p.share is not None]
    own.sort(key=lambda p: p.share or BEYOND)
    return [p for p in own[:TRIED] if (p.share or BEYOND) <= RIVAL * (own[0].share or BEYOND)]


def squeal_margin(loop: str, own: Squeal) -> SquealMargin:
    """The same in plain numbers."""
    return SquealMargin(
        loop=loop,
        growth_rate_per_s=own.growth_per_s,
        frequency_Hz=own.frequency_Hz,
        crosstalk=_factor(own.crosstalk),
        turned=_factor(own.turned),
        squeal_Hz=None if own.crosstalk is None else own.crosstalk.frequency_Hz,
        gain=own.gain,
        distance_mm=None if own.distance_m is None else 1e3 * own.distance_m,
    )


def _factor(threshold: Threshold | None) -> float | None:
    return None if threshold is None else threshold.factor
