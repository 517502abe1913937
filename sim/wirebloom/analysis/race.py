"""Which of several lasting states a start leads to: the slow flow of the first partials, run on from there until one of them has won.

The turning of every partial against the multiples of the first one is taken exactly, what is left by the midpoint rule: steps are as
long as the largest partials allow. Phases at the start are those of a string that is let go: only a pluck really has them.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.analysis.describing import ROUGH
from wirebloom.analysis.envelopes import Complex, Envelopes
from wirebloom.kernels.layout import Floats

STRIDE, TURN, LONGEST = 0.3, 1.0, 0.1  # largest change in a step, of partials that count; largest turn, rad; s
COUNTS = 0.05  # of the largest bridge force
STEPS = 200
THERE, QUIET = (0.7, 1.4), 0.2  # of a state's amplitude; what other partials may have then, of its bridge force


class End(NamedTuple):
    """A state that lasts: its partial, and its amplitude, m."""

    partial: int
    amplitude: float


def winner(flow: Envelopes, begun: Floats, ends: list[End]) -> int:
    """Place among the ends of that which amplitudes `begun` (N,), m, lead to."""
    bridge = flow.basis.model.strings.bridge[flow.string, flow.partials - 1]
    a, before = begun.astype(complex), None
    for _ in range(STEPS):
        a, before = _step(flow, a, before, bridge)
        force = np.abs(a) * bridge
        for k, end in enumerate(ends):
            if _reached(flow, force, np.abs(a), end):
                return k
    return int(np.argmax([np.abs(a[end.partial - 1]) / end.amplitude for end in ends]))


def _step(flow: Envelopes, a: Complex, before: Floats | None, bridge: Floats) -> tuple[Complex, Floats]:
    """Envelopes (N,) a step on, and what the electronics answer there."""
    turning = 1j * (flow.frequency[0] - flow.order * flow.omega)
    slope, before = _slope(flow, a, before)
    force = np.abs(a) * bridge
    big = force > COUNTS * force.max()
    rest = slope - turning * a
    step = min(STRIDE / max(float(np.abs(rest[big] / a[big]).max()), 1e-9), TURN / max(float(np.abs(turning[big]).max()), 1e-9), LONGEST)
    half = np.exp(0.5 * step * turning)
    middle = half * (a + 0.5 * step * rest)
    slope, before = _slope(flow, middle, before)
    return half * (half * a + step * (slope - turning * middle)), before


def _slope(flow: Envelopes, a: Complex, before: Floats | None) -> tuple[Complex, Floats]:
    slope, period = flow.slope(a[None, None], 0.0, before, ROUGH)
    return slope[0, 0], period.answer.inputs


def _reached(flow: Envelopes, force: Floats, amplitude: Floats, end: End) -> bool:
    """Whether a state's partial is about as large as there, and others are not."""
    lead = end.partial - 1
    others = force[flow.partials % end.partial != 0].max(initial=0.0)
    return bool(THERE[0] < amplitude[lead] / end.amplitude < THERE[1] and others < QUIET * force[lead] and force[lead] == force.max())
