"""Magnetisation curves of the soft steels that cores and plates are made of, as data with sources.

Sources
-------
- "mild steel": SAE 1010, as public libraries of finite-element programs and fieldp.com/magneticproperties print it (seen).
- "sheet steel": cold-rolled low-carbon sheet 1.0330 (EN 10130), fitted by μ_r(B) = 1 + (μ_i − 1 + c_a b)/(1 + c_b b + bⁿ), b = B/B_max
  (Roschke 1987, constants as in the standard library of an open modelling language: μ_i 5, B_max 1.1 T, c_a 6450, c_b 3.65, n 7.7; seen).
- "free-cutting steel": 1.0718 (EN 10087), of which turned parts and many screws are made; the same fit with 400, 1.488 T, 1200, 3,
  12.5 (seen).
- The fits are followed up to a polarisation of 2 T, which no steel of this kind exceeds by much.

A specimen differs by its cold work and heat treatment: by a factor of two and more in permeability, by few per cent in saturation.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from types import MappingProxyType

from wirebloom.rig.magnetism import MU_0

Points = tuple[tuple[float, float], ...]  # H, A/m, and B, T; from (0, 0), both rising

SATURATED = 2.0  # T: polarisation at which a fit ends
WORKING = 0.5  # T: flux density at which a curve's single permeability is read

_MILD: Points = (
    (0.0, 0.0),
    (238.7, 0.2003),
    (318.3, 0.3204),
    (358.1, 0.40045),
    (437.7, 0.50055),
    (477.5, 0.5606),
    (636.6, 0.7908),
    (795.8, 0.9310),
    (1114.1, 1.1014),
    (1273.2, 1.2016),
    (1591.5, 1.302),
    (2228.2, 1.4028),
    (3183.1, 1.524),
    (4774.6, 1.626),
    (6366.2, 1.698),
    (7957.7, 1.73),
    (15915.5, 1.87),
    (47746.5, 2.04),
    (63662.0, 2.07),
    (79577.5, 2.095),
    (159155.0, 2.2),
    (318310.0, 2.4),
)


def fitted(initial: float, peak: float, rise: float, width: float, power: float) -> Points:
    """Points of a curve fitted by μ_r(B) = 1 + (μ_i − 1 + c_a b)/(1 + c_b b + bⁿ), b = B/B_max.

    Parameters
    ----------
    initial, peak, rise, width, power : float
        μ_i, B_max (T), c_a, c_b, n.

    Returns
    -------
    tuple of (float, float)
        H (A/m) and B (T) in steps of 0.05 T up to where the steel is saturated.
    """
    points = [(0.0, 0.0)]
    for step in range(1, 60):
        flux = 0.05 * step
        b = flux / peak
        field = flux / (MU_0 * (1.0 + (initial - 1.0 + rise * b) / (1.0 + width * b + b**power)))
        if flux - MU_0 * field > SATURATED:
            break
        points.append((field, flux))
    return tuple(points)


def permeability_of(points: Points) -> float:
    """Relative permeability B/(μ0 H) of a curve at 0.5 T, or at its end if it stops below.

    Examples
    --------
    >>> round(permeability_of(STEELS["mild steel"]))
    910
    """
    for (low, b_low), (high, b_high) in pairwise(points):
        if b_high >= WORKING:
            field = low + (high - low) * (WORKING - b_low) / (b_high - b_low)
            return WORKING / (MU_0 * field)
    return points[-1][1] / (MU_0 * points[-1][0])


STEELS: Mapping[str, Points] = MappingProxyType(
    {
        "mild steel": _MILD,
        "sheet steel": fitted(5.0, 1.1, 6450.0, 3.65, 7.7),
        "free-cutting steel": fitted(400.0, 1.488, 1200.0, 3.0, 12.5),
    }
)
