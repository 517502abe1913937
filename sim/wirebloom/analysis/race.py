"""Which of two lasting states a start leads to: growth of both partials over both amplitudes, once, then a race in two numbers.

    (ln A_i)′ = growth_i(A_i, A_j)

Growths are means over the phase between both, which turns or locks in its own time; neighbours that are far below both are left out.
"""

from __future__ import annotations

import numpy as np

from wirebloom.analysis.describing import FAINT, ROUGH, reaches
from wirebloom.analysis.envelopes import Envelopes
from wirebloom.kernels.layout import Floats

SHARES = np.concatenate([[FAINT, 3e-3], np.geomspace(1e-2, 1.0, 9)])  # of each partial's reach
PHASES = 3
STRIDE, TURNS = 0.05, 4000  # largest change of ln A in a step; steps
DEEP, CALM = -30.0, 1e-3  # ln of a share that is none; 1/s, of both: nothing changes any more


def table(flow: Envelopes, pair: tuple[int, int]) -> Floats:
    """Growth of both (2, K, K), 1/s, over their amplitudes; pair: places in the flow."""
    first, second = pair
    count, size = SHARES.size, reaches(flow)
    a = np.zeros((PHASES, count, count, flow.order.size), dtype=complex)
    a[..., first] = (SHARES * size[first])[:, None]
    turns = np.exp(2j * np.pi * (np.arange(PHASES) + 0.5) / PHASES)
    a[..., second] = SHARES * size[second] * turns[:, None, None]
    slope, _ = flow.slope(a.reshape(-1, 1, flow.order.size), tight=ROUGH)
    rate = (slope.reshape(a.shape) / np.where(a == 0.0, 1.0, a)).real.mean(axis=0)
    return np.moveaxis(rate[..., [first, second]], -1, 0)


def winner(flow: Envelopes, pair: tuple[int, int], begun: Floats) -> int:
    """Of two places in the flow, that which meets a face first, or is left, from amplitudes `begun` (N,), m."""
    growth, size = table(flow, pair), reaches(flow)[list(pair)]
    marks = np.log(SHARES)
    level = np.clip(np.log(begun[list(pair)] / size), DEEP, 0.0)
    for _ in range(TURNS):
        fastest = _at(growth, marks, level)
        step = min(STRIDE / max(float(np.abs(fastest).max()), 1e-12), 1.0)
        level = np.minimum(level + step * fastest, 0.0)
        if level.max() >= 0.0 or level.min() < DEEP or float(np.abs(fastest).max()) < CALM:
            break
    return pair[int(np.argmax(level))]


def _at(growth: Floats, marks: Floats, level: Floats) -> Floats:
    """Both growths at ln of both shares, linear in between."""
    held = np.clip(level, marks[0], marks[-1])
    cell = np.clip(np.searchsorted(marks, held, side="right") - 1, 0, marks.size - 2)
    x, y = (held - marks[cell]) / (marks[cell + 1] - marks[cell])
    i, j = cell
    near = growth[:, i, j] * (1.0 - y) + growth[:, i, j + 1] * y
    far = growth[:, i + 1, j] * (1.0 - y) + growth[:, i + 1, j + 1] * y
    return np.asarray(near * (1.0 - x) + far * x)
