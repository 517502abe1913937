"""Ratios as people read them: decibels and cents."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def decibels(ratio: ArrayLike) -> Floats:
    """20 log₁₀ of a ratio of amplitudes (displacements, pressures, voltages); −inf for 0."""
    with np.errstate(divide="ignore"):
        return np.asarray(20.0 * np.log10(np.asarray(ratio, dtype=float)))


def cents(ratio: ArrayLike) -> Floats:
    """1200 log₂ of a ratio of frequencies."""
    return np.asarray(1200.0 * np.log2(np.asarray(ratio, dtype=float)))


def interval_ratio(interval: ArrayLike) -> Floats:
    """Ratio of frequencies that are `interval` cents apart."""
    return np.asarray(np.exp2(np.asarray(interval, dtype=float) / 1200.0))
