"""How a head's force factor goes over the gap, and which part of that curve a string's motion covers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class ForceCurve:
    """One string over one head.

    Attributes
    ----------
    head, string, role : str
    gap_m, factor_N_per_A : (G,) ndarray
        Magnitude.
    low_N_per_A, high_N_per_A : (G,) ndarray
        Weak and strong end of the band, as far as it is known.
    rest_gap_m : float
        Where it rests.
    reach_m : (float, float) or None
        Least and greatest gap of the motion it settles at; None for a string that settles at none.
    """

    head: str
    string: str
    role: str
    gap_m: Floats
    factor_N_per_A: Floats
    low_N_per_A: Floats
    high_N_per_A: Floats
    rest_gap_m: float
    reach_m: tuple[float, float] | None
