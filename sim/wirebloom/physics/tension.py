"""Tension that follows the motion: ΔT = (E A/4) Σ k_n² (q_n0² + q_n1²), and the rise of pitch that comes of it.

For one partial of amplitude a it makes q̈ + ω² q (1 + ε |q|²) = 0 with ε = E A k⁴/(4 μ ω²), a Duffing oscillator.
References: Legge & Fletcher 1984, Journal of the Acoustical Society of America 76; Gough 1984, ibid. 75.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ellipk

from wirebloom.physics.string import StringModes

Floats = NDArray[np.float64]


def tension_rise(displacement: Floats, modes: StringModes) -> Floats:
    """Extra tension at one moment, N; `displacement` is (…, 2, N) modal, m."""
    return np.asarray(modes.axial / 4.0 * np.einsum("n,...pn->...", modes.wavenumber**2, displacement**2))


def mean_tension_rise(amplitude: Floats, modes: StringModes) -> Floats:
    """Extra tension averaged over time when partials swing with amplitudes (…, 2, N), N."""
    return tension_rise(amplitude, modes) / 2.0


def stretched_stiffness(extra: float, modes: StringModes) -> Floats:
    """(2, N) modal stiffness m ω² + (L/2) ΔT k² under a steady extra tension, N/m."""
    return modes.modal_stiffness + modes.length / 2.0 * extra * modes.wavenumber**2


def hardening(modes: StringModes, partial: int = 1) -> float:
    """ε of one partial, polarisation 0, 1/m²; E A π² n²/(4 L² T) without bending stiffness."""
    k = modes.wavenumber[partial - 1]
    return float(modes.axial * k**4 / (4.0 * modes.density * (2.0 * np.pi * modes.frequency[0, partial - 1]) ** 2))


def pitch_rise_small(shift: ArrayLike) -> Floats:
    """f/f₀ − 1 of a planar motion to first order, (3/8) e, e = ε a²."""
    return 0.375 * np.asarray(shift, dtype=float)


def pitch_rise_planar(shift: ArrayLike) -> Floats:
    """f/f₀ − 1 of a planar motion, exact: π √(1 + e)/(2 K(m)) − 1, m = e/(2(1 + e)), e = ε a²."""
    e = np.asarray(shift, dtype=float)
    return np.asarray(np.pi * np.sqrt(1.0 + e) / (2.0 * ellipk(e / (2.0 * (1.0 + e)))) - 1.0)


def pitch_rise_circular(shift: ArrayLike) -> Floats:
    """f/f₀ − 1 of a circular whirl, exact: √(1 + e) − 1."""
    return np.sqrt(1.0 + np.asarray(shift, dtype=float)) - 1.0
