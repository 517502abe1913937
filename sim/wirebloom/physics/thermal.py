"""Noise of resistances."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

BOLTZMANN = 1.380649e-23  # J/K, exact in the SI of 2019


def thermal_noise(resistance: float | NDArray[np.float64], temperature: float) -> NDArray[np.float64]:
    """One-sided density √(4kTR) of resistances (Ω) at a temperature (K), V/√Hz.

    References
    ----------
    Nyquist 1928, Phys. Rev. 32:110.

    Examples
    --------
    >>> f"{thermal_noise(1000.0, 293.15):.3e}"
    '4.024e-09'
    """
    return np.asarray(np.sqrt(4.0 * BOLTZMANN * temperature * np.asarray(resistance)), dtype=np.float64)
