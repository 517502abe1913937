"""Limits of amplifying stages through a period: rails, what is drawn from them, the share of its gain that levelling leaves a stage."""

from __future__ import annotations

import numpy as np

from wirebloom.analysis.operating import Sizes
from wirebloom.kernels.layout import Floats, Model, Stages

FAINT = 1e-12  # of a row of the network: less is rounding
HALVINGS, TINY = 40, 1e-300


def leans(limits: Floats, size: Sizes) -> bool:
    """Whether limits move with anything but the supply's share."""
    return bool(np.any(np.abs(np.delete(limits, size.inner, axis=1)) > FAINT))


def limit_rows(model: Model) -> tuple[Floats, Floats, Floats]:
    """Rows of the high rails, the low ones, and what the stages give."""
    return model.network.high, model.network.low, model.network.given


def walls(stages: Stages, high: Floats, low: Floats, given: Floats) -> tuple[Floats, Floats]:
    """Lowest and highest signal voltage (…, W, M), V, from rails (V) and what the stages give (A)."""
    bend = stages.bend[:, None]
    low = low + stages.headroom_low[:, None] + bend * np.maximum(-given, 0.0)
    high = high - stages.headroom_high[:, None] - bend * np.maximum(given, 0.0)
    return low, np.maximum(low, high)


def drawn_at(stages: Stages, given: Floats) -> Floats:
    """What stages draw from their rails (B, 2W, M), A."""
    both = np.stack([np.maximum(given, 0.0), np.maximum(-given, 0.0)], axis=2) + stages.quiescent[:, None, None]
    return np.asarray(both.reshape(given.shape[0], -1, given.shape[2]))


def share_left(stages: Stages, w: int, volts: Floats) -> Floats:
    """Share of its gain that levelled stage w keeps at voltages (B, M): its envelope rises and falls alike over a period."""
    if not np.isfinite(stages.target[w]):
        return np.ones(volts.shape[0])
    size = np.abs(volts)
    low, high = np.zeros(size.shape[0]), size.max(axis=1)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        off = size - middle[:, None]
        rises = (stages.attack[w] * np.maximum(off, 0.0) + stages.release[w] * np.minimum(off, 0.0)).sum(axis=1) > 0.0
        low, high = np.where(rises, middle, low), np.where(rises, high, middle)
    return np.asarray(np.clip(stages.target[w] / np.maximum(high, TINY), stages.least[w], 1.0), dtype=np.float64)
