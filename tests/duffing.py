"""Closed forms of one partial whose tension follows its motion: q̈ + ω² q (1 + ε |q|²) = 0, ε = E A k⁴/(4 μ ω²), Duffing's oscillator.

References: Legge & Fletcher 1984, Journal of the Acoustical Society of America 76; Gough 1984, ibid. 75 (from memory).
"""

import numpy as np
from scipy.special import ellipk


def hardening(modes, partial=1):
    """ε of one partial, polarisation 0, 1/m²; E A π² n²/(4 L² T) without bending stiffness."""
    k = modes.wavenumber[partial - 1]
    return float(modes.axial * k**4 / (4.0 * modes.density * (2.0 * np.pi * modes.frequency[0, partial - 1]) ** 2))


def pitch_rise_small(shift):
    """f/f₀ − 1 of a planar motion to first order, (3/8) e, e = ε a²."""
    return 0.375 * np.asarray(shift, dtype=float)


def pitch_rise_planar(shift):
    """f/f₀ − 1 of a planar motion, exact: π √(1 + e)/(2 K(m)) − 1, m = e/(2(1 + e)), e = ε a²."""
    e = np.asarray(shift, dtype=float)
    return np.asarray(np.pi * np.sqrt(1.0 + e) / (2.0 * ellipk(e / (2.0 * (1.0 + e)))) - 1.0)


def pitch_rise_circular(shift):
    """f/f₀ − 1 of a circular whirl, exact: √(1 + e) − 1."""
    return np.sqrt(1.0 + np.asarray(shift, dtype=float)) - 1.0
