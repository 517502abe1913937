"""A stage in periodic motion: v′ = rate·e − leak·v with v held between moving limits, e straight between its samples.

`kernels/clamped.py` goes through the period. What it tells are the means of v over every step: samples of a steep edge say only
between which of them it lies, the means say where.
Harmonic n of v is that of the means, less what a window of one step does to it: e^{−jπn/M} / sinc(n/M).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.kernels.clamped import means
from wirebloom.kernels.layout import Floats


class Stage(NamedTuple):
    """An integrator with a leak: rate (1/s, volts per second and volt heard), leak (1/s), slew (V/s)."""

    rate: float
    leak: Floats | float
    slew: float = np.inf


def opened(samples: int) -> NDArray[np.complex128]:
    """What harmonics (M/2,) of step means are multiplied by, where mean k belongs to the step that ends at sample k."""
    turn = np.arange(samples // 2) / samples
    return np.asarray(np.exp(1j * np.pi * turn) / np.sinc(turn))


def straightened(samples: int) -> Floats:
    """What harmonics (M/2,) of a signal are multiplied by for straight lines between its samples to hold as much of them as it does."""
    return np.asarray(1.0 / np.sinc(np.arange(samples // 2) / samples) ** 2)


def clamped(heard: Floats, stage: Stage, period: float, low: Floats, high: Floats) -> Floats:
    """Periodic answer of a clamped stage.

    Parameters
    ----------
    heard : (…, M) ndarray
        What it hears over one period, V.
    stage : Stage
        Its leak a number, or one (B, 1) a signal.
    period : float
        s.
    low, high : (1 or B, 1 or M) ndarray
        Limits of all signals or of each, V.

    Returns
    -------
    (…, M) ndarray
        Means over the steps that end at the samples, V.
    """
    count = heard.shape[-1]
    step, most = period / count, stage.slew / stage.rate
    driven, found = np.ascontiguousarray(np.clip(heard, -most, most).reshape(-1, count)), np.empty(heard.shape)
    held = np.broadcast_to(stage.leak, (driven.shape[0], 1))[:, 0] * step
    means(driven, _rows(low, count), _rows(high, count), held, stage.rate * step, found.reshape(-1, count))
    return found


def _rows(limit: Floats, count: int) -> Floats:
    """A limit as (1 or B, M)."""
    rows = limit.reshape(-1, limit.shape[-1])
    return np.ascontiguousarray(rows if rows.shape[1] == count else np.repeat(rows, count, axis=1))
