"""Demagnetisation curve of a magnet with a knee: how much of its remanence a field against it leaves.

B = μ0 μ_rec H + R(h) with h = −H and R falling from B_r: what R has lost stays lost, and the magnet recoils along a line of slope
μ0 μ_rec from wherever its field was strongest.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from wirebloom.physics.wire import MU0
from wirebloom.rig.magnets import Knee

Floats = NDArray[np.float64]

SAMPLES = 400
SHARPEST = 400.0  # exponent: a corner as sharp as a table can show


@dataclass(frozen=True)
class DemagnetisingCurve:
    """Second quadrant by points, from a magnet that was magnetised to saturation.

    Attributes
    ----------
    against : tuple of float
        Fields against the magnetisation h = −H, rising from 0 to H_cB, A/m.
    left : tuple of float
        Remanence R(h) that a recoil line through the curve at h would reach at H = 0, falling, T.
    recoil : float
        Relative recoil permeability.
    """

    against: tuple[float, ...]
    left: tuple[float, ...]
    recoil: float

    @property
    def remanence(self) -> float:
        """B_r, T."""
        return self.left[0]

    @property
    def coercivity(self) -> float:
        """H_cB, A/m."""
        return self.against[-1]

    def flux_density(self, against: Floats) -> Floats:
        """B on the curve at fields h against the magnetisation, T."""
        return np.asarray(np.interp(against, self.against, self.left) - MU0 * self.recoil * against)

    def slope(self) -> Floats:
        """Falling slopes −dR/dh between neighbouring points, T/(A/m)."""
        return np.asarray(-np.diff(self.left) / np.diff(self.against))


@lru_cache(maxsize=64)
def demagnetising_curve(given: Knee | tuple[tuple[float, float], ...], recoil: float) -> DemagnetisingCurve:
    """Smooth curve through a magnet's usual figures, or through points.

    By figures R(h) = B_r − (B_r − μ0 μ_rec H_cB)(h/H_cB)^p, with the p at which the largest product B·h is (BH)max. By points,
    a monotone cubic through what they leave above the recoil line.

    Parameters
    ----------
    given : Knee or tuple of (float, float)
        Figures (T, A/m, J/m³), or points (H, B) from (−H_cB, 0) to (0, B_r), A/m and T.
    recoil : float
        Relative recoil permeability.

    Returns
    -------
    DemagnetisingCurve

    Examples
    --------
    >>> curve = demagnetising_curve(Knee(1.275, 50.1e3, 41e3), 3.6)
    >>> f"{curve.remanence:.3f} T, {max(curve.flux_density(h) * h for h in curve.against) / 1e3:.1f} kJ/m3"
    '1.275 T, 41.0 kJ/m3'
    """
    if isinstance(given, Knee):
        share = np.linspace(0.0, 1.0, SAMPLES) ** 0.5  # closer together towards the coercivity, where it bends
        field = given.coercivity * share
        left = given.remanence - _drop(given, recoil) * share ** _exponent(given, recoil)
    else:
        points = np.array(given)
        field = np.linspace(0.0, -points[0, 0], SAMPLES)
        rising = points[:, 1] - MU0 * recoil * points[:, 0]
        left = np.minimum.accumulate(PchipInterpolator(points[:, 0], rising)(-field))
    return DemagnetisingCurve(tuple(field.tolist()), tuple(left.tolist()), recoil)


def _drop(knee: Knee, recoil: float) -> float:
    """What R loses up to the coercivity, T."""
    return knee.remanence - MU0 * recoil * knee.coercivity


def _exponent(knee: Knee, recoil: float) -> float:
    """Exponent at which the largest product B·h is the energy product."""
    x = np.linspace(0.0, 1.0, 2001)
    line = knee.remanence - MU0 * recoil * knee.coercivity * x

    def excess(log_power: float) -> float:
        flux = line - _drop(knee, recoil) * x ** np.exp(log_power)
        return float(np.max(flux * x) * knee.coercivity - knee.energy_product)

    highest = np.log(SHARPEST)
    return float(np.exp(brentq(excess, 0.0, highest))) if excess(highest) > 0.0 else SHARPEST
