"""Steady states of one string that its scan points to: balanced with all that their harmonics drive, and asked what grows on top of
them, within the plane towards the heads and across it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from wirebloom.analysis.balance import Rival, Solved, rival, solve
from wirebloom.analysis.describing import Crossing
from wirebloom.analysis.envelopes import Complex, Envelopes, Period, least_gap
from wirebloom.analysis.standstill import standstill

SAMPLES, OWN_SAMPLES = 128, 64  # in a period of partial 1 with all of them, and of a candidate with its harmonics
FINEST = 512  # samples
CLEARLY = 3.0  # 1/s: growth that coarse sampling cannot have made up
HARMONICS = 6  # of a candidate
ASIDE = 0.5j  # of its amplitude, to begin with where a motion leaves its plane
FLAT = 0.01  # share of the other polarisation below which a motion is planar


class Whirl(NamedTuple):
    """Envelopes (2, N), m, of a motion that has left its plane; rad/s; 1/s by which it leaves it; least gap then, m."""

    a: Complex
    omega: float
    growth: float
    gap: float


@dataclass(frozen=True)
class State:
    """A candidate.

    Attributes
    ----------
    flow : Envelopes
        Of its partial and the multiples.
    solved : Solved
        Where it stands still; or, of one that meets a face, where it does.
    touches : bool
    growth : float
        By how much it still grows as it meets a face, 1/s; 0 else.
    period : Period
        One of it.
    rival : Rival
        What grows on top of it within its plane.
    whirl : Whirl or None
        What it becomes, in time, if it does not last in its plane.
    """

    flow: Envelopes
    solved: Solved
    touches: bool
    growth: float
    period: Period
    rival: Rival
    whirl: Whirl | None

    @property
    def partial(self) -> int:
        """That leads."""
        return int(self.flow.partials[0])

    @property
    def lasts(self) -> bool:
        """Nothing grows on top of it; or it meets a face before that comes to anything."""
        return self.rival.growth <= self.growth


def candidate(whole: Envelopes, crossing: Crossing, alive: int) -> State | None:
    """Balance near a crossing, and what grows on top of it; None if there is none.

    Parameters
    ----------
    whole : Envelopes
        Flow of all partials that are looked at, towards the heads.
    crossing : Crossing
    alive : int
        Partials that the string has.
    """
    partials = crossing.partial * np.arange(1, HARMONICS + 1)
    own = Envelopes(whole.basis, whole.string, partials[partials <= alive], crossing.omega, OWN_SAMPLES)
    found = standstill(own, crossing)
    if found is None:
        return None
    own, solved, period, met = found
    touches = met is not None
    growth, top = (0.0 if met is None else met), _rival(whole, own, solved, touches)
    return State(own, solved, touches, growth, period, top, None if touches else _whirl(own, solved))


def may_whirl(flow: Envelopes, amplitude: float) -> bool:
    """Whether a planar motion could leave its plane: its tension's ripple would feed the other by more than that loses.

    The other polarisation sees ÿ + (ω² + e (1 + cos 2ωt)) y = 0, e = (EA/4) k⁴ A²/(2μ), and grows by at most e/(4ω) (Mathieu).
    """
    strings, n = flow.basis.model.strings, int(flow.partials[0]) - 1
    ripple = flow.stretch * flow.inverse_density * float(flow.curvature[0]) ** 2 * amplitude**2 / 2.0
    return bool(ripple / (4.0 * flow.frequency[0, 0]) > strings.decay[flow.string, 1, n])


def _whirl(flow: Envelopes, solved: Solved) -> Whirl | None:
    """What a planar motion becomes if it does not last in its plane; None if it does."""
    if not may_whirl(flow, float(np.abs(solved.a[0, 0]))):
        return None
    both = Envelopes(flow.basis, flow.string, flow.partials, flow.omega + solved.shift, flow.samples, planes=2)
    planar = np.concatenate([solved.a, np.zeros_like(solved.a)])
    found = rival(both, planar)
    if found.growth <= 0.0 or found.polarisation == 0:
        return None
    planar[1, 0] = ASIDE * planar[0, 0]
    left = solve(both, planar)
    if left is None or np.abs(left.a[1, 0]) < FLAT * np.abs(left.a[0, 0]):
        return None
    return Whirl(left.a, both.omega + left.shift, found.growth, least_gap(both, both.period(left.a[None])))


def _rival(whole: Envelopes, own: Envelopes, solved: Solved, touches: bool) -> Rival:
    """What grows on top of a candidate; of one that meets a face, among the partials that its own harmonics leave alone."""
    partial = int(own.partials[0])
    apart = whole.partials % partial != 0
    if touches and not apart.any():
        return Rival(-float(own.decay[0, 0]), partial, 0)
    a, kept = _spread(own, solved.a, whole), apart if touches else None
    samples, finest = whole.samples, min(own.samples << (partial - 1).bit_length(), FINEST)  # as fine as its own
    while True:
        flow = Envelopes(whole.basis, whole.string, whole.partials, (own.omega + solved.shift) / partial, samples)
        found = rival(flow, a, kept)
        if found.growth > CLEARLY or samples >= finest:
            return found
        samples = finest


def _spread(own: Envelopes, a: Complex, whole: Envelopes) -> Complex:
    """Envelopes of a candidate (P, N) among those of all partials."""
    inside = own.partials <= whole.partials[-1]
    spread = np.zeros((1, whole.order.size), dtype=complex)
    spread[:, own.partials[inside] - 1] = a[:, inside]
    return spread
