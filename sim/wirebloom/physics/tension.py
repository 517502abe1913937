"""Tension that follows the motion: ΔT = (E A/4) Σ k_n² (q_n0² + q_n1²).

References: Legge & Fletcher 1984, Journal of the Acoustical Society of America 76; Gough 1984, ibid. 75.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.string import StringModes

Floats = NDArray[np.float64]


def tension_rise(displacement: Floats, modes: StringModes) -> Floats:
    """Extra tension at one moment, N; `displacement` is (…, 2, N) modal, m."""
    return np.asarray(modes.axial / 4.0 * np.einsum("n,...pn->...", modes.wavenumber**2, displacement**2))


def stretched_stiffness(extra: float, modes: StringModes) -> Floats:
    """(2, N) modal stiffness m ω² + (L/2) ΔT k² under a steady extra tension, N/m."""
    return modes.modal_stiffness + modes.length / 2.0 * extra * modes.wavenumber**2
