"""A candidate followed from small to large: its amplitude given, harmonics and pitch in balance, and by how much it grows there.

Where a partial alone would meet a face, or Newton's method is lost from there, what its harmonics draw from the loop may hold it back
long before. The first size at which a climbing partial no longer grows is what a start from below comes to.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.analysis.balance import NUDGE
from wirebloom.analysis.envelopes import Complex, Envelopes, Period, least_gap
from wirebloom.kernels.layout import Floats

FIRST, LAST = 0.3, 1.6  # of the amplitude alone: where the climb begins, and where it is given up
STEP, SHORTEST = 1.2, 1.05  # from size to size, and where harmonics jump
ROUNDS, CLOSE, SLOW = 8, 1e-4, 0.1  # as in Newton's method for all
BACKS, BACK = 3, 0.4


class Rung(NamedTuple):
    """Envelopes (1, N), m, harmonics in balance; growth of the first, 1/s; least gap, m."""

    a: Complex
    growth: float
    gap: float

    @property
    def amplitude(self) -> float:
        """Of the leading partial, m."""
        return float(self.a[0, 0].real)


class _Held(NamedTuple):
    """Slope of the harmonics (N − 1) in the first one's frame, the first one's growth, the period."""

    slope: Complex
    growth: float
    period: Period


def climb(flow: Envelopes, alone: float) -> tuple[Rung, Rung | None] | None:
    """The last size at which a partial still grows and the first at which it does not, or meets a face.

    None behind the last one: harmonics jump there, Newton's method for all may know more. None for both: it grows nowhere, or without end.

    Parameters
    ----------
    flow : Envelopes
        A partial and its multiples.
    alone : float
        Amplitude near which the partial alone would be in balance, or meet a face, m.
    """
    a, step, before = np.zeros((1, flow.order.size), dtype=complex), STEP, None
    a[0, 0] = FIRST * alone
    while a[0, 0].real < LAST * alone:
        rung = _rung(flow, a)
        if rung is None and before is None:
            a *= STEP
            continue
        if rung is None:
            step **= 0.5
            if step < SHORTEST or before is None:
                return None if before is None else (before, None)
        elif rung.growth <= 0.0 or rung.gap <= 0.0:
            return None if before is None else (before, rung)
        else:
            before, step = rung, min(step**1.5, STEP)
        a = step * before.a
    return None


def _rung(flow: Envelopes, a: Complex) -> Rung | None:
    """Harmonics in balance at an amplitude, by Newton's method from those given; None if that finds none."""
    size, change = float(a[0, 0].real), None
    held = _held(flow, a, None)
    for _ in range(ROUNDS):
        change = _changes(flow, a, held) if change is None else change
        half = np.linalg.lstsq(change, -np.concatenate([held.slope.real, held.slope.imag]), rcond=1e-15)[0].reshape(2, -1)
        found = _better(flow, a, half[0] + 1j * half[1], held)
        if found is None:
            return None
        moved, after = found
        if np.abs(moved - a).max(initial=0.0) < CLOSE * size:
            return Rung(moved, after.growth, least_gap(flow, after.period))
        change = None if np.linalg.norm(after.slope) > SLOW * np.linalg.norm(held.slope) else change
        a, held = moved, after
    return None


def _better(flow: Envelopes, a: Complex, move: Complex, held: _Held) -> tuple[Complex, _Held] | None:
    """The place that a move, or a share of it, leads to, if harmonics drift less there."""
    share = 1.0
    for _ in range(BACKS):
        moved = a + np.append(0.0, share * move)
        after = _held(flow, moved, held.period.answer.inputs)
        if np.linalg.norm(after.slope) < max((1.0 - 0.2 * share) * float(np.linalg.norm(held.slope)), 1e-7 * float(a[0, 0].real)):
            return moved, after
        share *= BACK
    return None


def _held(flow: Envelopes, a: Complex, before: Floats | None) -> _Held:
    slope, period = flow.slope(a[None], 0.0, before)
    drift, rate = _drift(flow, a[None], slope)
    return _Held(drift[0], rate, period)


def _drift(flow: Envelopes, a: Complex, slope: Complex) -> tuple[Complex, float]:
    """Slopes (B, N − 1) of the harmonics as the first one's frame turns; growth of the first one of the batch."""
    rate = slope[:, 0, :1] / a[:, 0, :1]
    return (slope[:, 0] - 1j * flow.order * rate.imag * a[:, 0])[:, 1:], float(rate[0, 0].real)


def _changes(flow: Envelopes, a: Complex, held: _Held) -> Floats:
    """Derivatives (2N − 2, 2N − 2) of the harmonics' slopes."""
    more, nudge = a.shape[1] - 1, NUDGE * float(a[0, 0].real)
    unit = np.concatenate([np.zeros((more, 1)), nudge * np.eye(more)], axis=1)
    places = a + np.concatenate([np.zeros((1, more + 1)), unit, 1j * unit])[:, None]
    before = held.period.answer.inputs
    slope, _ = flow.slope(places, 0.0, np.broadcast_to(before, (places.shape[0], *before.shape[1:])))
    drift, _ = _drift(flow, places, slope)
    change = (drift[1:] - drift[0]) / nudge
    return np.concatenate([change.real.T, change.imag.T])
