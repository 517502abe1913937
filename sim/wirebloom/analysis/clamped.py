"""A stage in periodic motion: v′ = rate·e − leak·v with v held between moving limits, solved for its one periodic answer at once.

From one sample to the next v goes through x ↦ clip(α x + b, low, high). Such maps, put one behind the other, give such a map again:
log₂ M doublings give those over whole periods, whose fixed points are the answer at every sample. No period is run through.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.kernels.layout import Floats

THIN = 1e-4  # leak · step below which the weights are taken from their series


class Stage(NamedTuple):
    """An integrator with a leak: rate (1/s, volts per second and volt heard), leak (1/s), slew (V/s)."""

    rate: float
    leak: Floats | float
    slew: float = np.inf


def spans(leak: Floats | float, step: float) -> tuple[Floats, Floats, Floats]:
    """What is left of v after a step, and the weights (s) of the signal at its start and its end, linear in between."""
    held = np.asarray(leak, dtype=np.float64)
    x = np.where(np.abs(held * step) < THIN, 1.0, held * step)
    whole, late = -np.expm1(-x) / x, (1.0 + np.expm1(-x) / x) / x
    thin = np.abs(held * step) < THIN
    whole = np.where(thin, 1.0 - 0.5 * held * step, whole)
    late = np.where(thin, 0.5 - held * step / 6.0, late)
    return np.exp(-held * step), step * (whole - late), step * late


def clamped(heard: Floats, stage: Stage, period: float, low: Floats, high: Floats) -> Floats:
    """Periodic answer of a clamped stage.

    Parameters
    ----------
    heard : (…, M) ndarray
        What it hears over one period, V; M a power of two.
    stage : Stage
    period : float
        s.
    low, high : ndarray
        Limits, as `heard` or broadcast to it, V.

    Returns
    -------
    (…, M) ndarray
        At the same moments, V.
    """
    count = heard.shape[-1]
    rest, early, late = spans(stage.leak, period / count)
    most = stage.slew / stage.rate
    driven = np.clip(heard, -most, most)
    add = stage.rate * (early * np.roll(driven, 1, axis=-1) + late * driven)
    maps = np.empty((3, *heard.shape))
    maps[0], maps[1], maps[2] = add, low, high
    reach = 1
    while reach < count:
        first = np.concatenate([maps[..., count - reach :], maps[..., : count - reach]], axis=-1)
        first *= rest
        first += maps[0]
        np.maximum(first[1:], maps[1], out=first[1:])
        np.minimum(first[1:], maps[2], out=first[1:])
        maps, rest, reach = first, rest * rest, 2 * reach
    still = np.maximum(1.0 - rest, np.finfo(float).tiny)
    return np.asarray(np.minimum(np.maximum(maps[0] / still, maps[1]), maps[2]), dtype=np.float64)
