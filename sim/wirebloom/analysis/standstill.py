"""Where a candidate stands still, or meets a face: Newton's method from the partial alone, or up from a small size where that is lost."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.analysis.balance import Solved, solve
from wirebloom.analysis.climb import climb
from wirebloom.analysis.describing import Crossing
from wirebloom.analysis.envelopes import Complex, Envelopes, Period, least_gap

HALVINGS = 12
FINER = 256  # samples in a period
AGREES, AGAIN = 1e-4, 6  # share by which electronics may still change in a period that is told; how often they are asked on


class Stand(NamedTuple):
    """Of a candidate: its flow, where it stands still or meets a face, one period there, and by how much it still grows there, 1/s.

    met: None if it meets none.
    """

    flow: Envelopes
    solved: Solved
    period: Period
    met: float | None


def standstill(own: Envelopes, crossing: Crossing) -> Stand | None:
    """Where a candidate stands still, or meets a face; None: it does neither.

    Two states that are about to merge may have done so on a coarse grid: where nothing is found on one, a finer one is tried.
    """
    if crossing.growth <= 0.0:
        alone = np.where(own.order == 1, complex(crossing.amplitude), 0.0)[None]
        if (found := _clear(own, alone)) is not None:
            return found
        if (found := _clear(Envelopes(own.basis, own.string, own.partials, own.omega, FINER), alone)) is not None:
            return found
    return _risen(own, crossing.amplitude)


def _risen(own: Envelopes, alone: float) -> Stand | None:
    """What it climbs to."""
    ends = climb(own, alone)
    if ends is None:
        return None
    below, above = ends
    if above is None:
        return _clear(own, below.a)
    if above.gap <= 0.0:
        return Stand(own, *_at_the_face(own, below.a, above.a), below.growth)
    share = below.growth / (below.growth - above.growth)
    return _clear(own, below.a + share * (above.a - below.a))


def _clear(own: Envelopes, begun: Complex) -> Stand | None:
    """Balance near envelopes, if it keeps clear of the faces."""
    solved = solve(own, begun)
    if solved is None:
        return None
    period = _agreed(own, solved.a)
    return None if period is None or least_gap(own, period) <= 0.0 else Stand(own, solved, period, None)


def _agreed(flow: Envelopes, a: Complex) -> Period | None:
    """One period, with electronics that agree with themselves; None if they do not come to: such a state is not told."""
    period = flow.period(a[None])
    for _ in range(AGAIN):
        if period.answer.off[0] <= AGREES:
            return period
        period = flow.period(a[None], period.answer.inputs)
    return None


def _at_the_face(flow: Envelopes, below: Complex, above: Complex) -> tuple[Solved, Period]:
    """The motion as it first meets a face, between one that is clear and one that is not."""
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        clear = least_gap(flow, flow.period((below + middle * (above - below))[None])) > 0.0
        low, high = (middle, high) if clear else (low, middle)
    a = below + low * (above - below)
    slope, period = flow.slope(a[None])
    return Solved(a, float((slope[0, 0, 0] / a[0, 0]).imag)), period
