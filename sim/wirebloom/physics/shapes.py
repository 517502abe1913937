"""How forces and shapes meet the partials: φ_n(x) = sin k_n x, modal mass m = μL/2."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wirebloom.physics.string import StringModes

Floats = NDArray[np.float64]
STANDARD_GRAVITY = 9.80665  # m/s²


def point_weights(position: ArrayLike, modes: StringModes) -> Floats:
    """φ_n at points: the share of a point force (tap, damper, contact) that each partial feels.

    Parameters
    ----------
    position : (…) array
        From the bridge end, m.
    modes : StringModes

    Returns
    -------
    (…, N) ndarray
    """
    return np.sin(np.asarray(position, dtype=float)[..., None] * modes.wavenumber)


def static_amplitudes(force: Floats, weights: Floats, stiffness: Floats) -> Floats:
    """Modal displacements that steady forces hold, q_pn = Σ_j w_jn F_jp/stiffness_pn.

    Parameters
    ----------
    force : (J, 2) ndarray
        Of each pole, both polarisations, N.
    weights : (J, N) ndarray
    stiffness : (2, N) ndarray
        Modal, m ω_n², N/m.

    Returns
    -------
    (2, N) ndarray
        m.
    """
    return np.asarray((force.T @ weights) / stiffness)


def point_compliance(position: float, modes: StringModes) -> float:
    """Deflection of a stiff pinned string under a unit force at the same point, all partials, m/N.

    (1/T)[x(L − x)/L − sinh κx sinh κ(L − x)/(κ sinh κL)], κ² = T/(E I): the tight string's triangle less its rounded corner.
    """
    x, rest, length = position, modes.length - position, modes.length
    triangle = x * rest / length
    if modes.stiffness == 0.0:
        return triangle / modes.tension
    bend = np.sqrt(modes.tension / modes.stiffness)
    corner = np.expm1(-2.0 * bend * x) * np.expm1(-2.0 * bend * rest) / (-2.0 * bend * np.expm1(-2.0 * bend * length))
    return float((triangle - corner) / modes.tension)


def pluck_force(height: float, position: float, modes: StringModes) -> float:
    """Force that lifts the string by `height` at a point; T h/(b(1 − b)L) at x = bL without stiffness, N."""
    return height / point_compliance(position, modes)


def pluck_amplitudes(height: float, position: float, modes: StringModes) -> Floats:
    """Partials of a string drawn aside at one point and held.

    Without stiffness the triangle 2 h sin(nπb)/(n²π² b(1 − b)), b = x/L; with it the corner is round.

    Parameters
    ----------
    height : float
        At the point, m.
    position : float
        From the bridge end, m, inside the string.
    modes : StringModes

    Returns
    -------
    (N,) ndarray
        Modal displacements of the polarisation towards the heads, m.
    """
    return np.asarray(pluck_force(height, position, modes) * point_weights(position, modes) / modes.modal_stiffness[0])


def tap_force(peak: float, duration: float, time: ArrayLike) -> Floats:
    """A short push: one raised cosine from t = 0 to `duration`, N."""
    t = np.asarray(time, dtype=float)
    return np.where((t >= 0.0) & (t <= duration), peak / 2.0 * (1.0 - np.cos(2.0 * np.pi * t / duration)), 0.0)


def gravity_sag(pitch: float) -> float:
    """Sag of a level string in its middle, g/(32 f₁²), m."""
    return STANDARD_GRAVITY / (32.0 * pitch**2)


def shape_along(x: Floats, amplitudes: Floats, length: float) -> Floats:
    """Displacement along a string, Σ q_n sin(nπx/L).

    Parameters
    ----------
    x : (X,) ndarray
        m.
    amplitudes : (…, N) ndarray
        Modal displacements, m.
    length : float
        m.

    Returns
    -------
    (…, X) ndarray
        m.
    """
    numbers = np.arange(1, amplitudes.shape[-1] + 1)
    return np.asarray(amplitudes @ np.sin(np.pi / length * numbers[:, None] * x))
