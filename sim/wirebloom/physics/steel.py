"""How a string's steel takes up magnetisation: a bias curve, small reversible changes about it, and the wrap of a wound string.

Standing in the magnets' field the wire is on its anhysteretic curve, here M = M_s tanh(χH/M_s) or Fröhlich's
M = χH/(1 + χ|H|/M_s). Small changes about that state follow the smaller *reversible* susceptibility; by Gans's rule it
depends on the magnetisation alone, here χ_rev (1 − (M/M_s)²), which for χ_rev = χ is the slope of the tanh.

References
----------
R. M. Bozorth, "Ferromagnetism" (1951), ch. 11 on reversible permeability and Gans's curve (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
FARTHEST = 300.0  # tanh and cosh are flat there


@dataclass(frozen=True)
class WireMaterial:
    """Steel of a string. Every number may also be an array (B, 1), one material for each wire of a batch.

    Attributes
    ----------
    susceptibility : float
        χ of the anhysteretic curve at small fields.
    saturation : float
        M_s, A/m.
    reversible : float or None
        χ_rev at small magnetisation; None: as the anhysteretic curve.
    roundness : float
        0: the tanh, 1: Fröhlich's curve, which bends earlier and saturates later; between, a mixture.
    wrap_share : float
        Section of a magnetic wrap's steel over that of the core.
    wrap_susceptibility : float
        Of the wrap along the string: its turns touch, but every one is a gap.
    """

    susceptibility: float | Floats
    saturation: float | Floats
    reversible: float | Floats | None = None
    roundness: float | Floats = 0.0
    wrap_share: float = 0.0
    wrap_susceptibility: float = 0.0

    @property
    def transverse(self) -> float | Floats:
        """Susceptibility across the wire, χ/(1 + χ/2) (a long cylinder's demagnetising factor is 1/2), wrap included."""
        across = self.susceptibility / (1.0 + self.susceptibility / 2.0)
        return across * (1.0 + self.wrap_share)

    def magnetisation(self, field: Floats) -> Floats:
        """M(H), A/m: moment per volume of the core, that of the wrap included."""
        x = self._reduced(field)
        curve = (1.0 - self.roundness) * np.tanh(x) + self.roundness * x / (1.0 + np.abs(x))
        return np.asarray(self.saturation * (curve + self.wrap_share * np.tanh(self._softer * x)))

    def slope(self, field: Floats) -> Floats:
        """dM/dH of the bias curve."""
        x = np.minimum(np.abs(self._reduced(field)), FARTHEST)
        curve = (1.0 - self.roundness) / np.cosh(x) ** 2 + self.roundness / (1.0 + x) ** 2
        return np.asarray(self.susceptibility * curve + self._wrap_slope(x))

    def reversible_slope(self, field: Floats) -> Floats:
        """dM/dH of small changes about the state that stands in a field H."""
        if self.reversible is None:
            return self.slope(field)
        x = np.minimum(np.abs(self._reduced(field)), FARTHEST)
        taken = (1.0 - self.roundness) * np.tanh(x) + self.roundness * x / (1.0 + x)
        return np.asarray(self.reversible * (1.0 - taken**2) + self._wrap_slope(x))

    def energy(self, field: Floats) -> Floats:
        """∫ H dM from 0 to M(H), A²/m²: what magnetising costs against the material's own law."""
        x = np.abs(self._reduced(field))
        smooth = (1.0 - self.roundness) * _log_cosh(x) + self.roundness * (x - np.log1p(x))
        wrap = self.wrap_share / self._softer * _log_cosh(self._softer * x) if self._softer else 0.0
        return np.asarray(np.abs(field * self.magnetisation(field)) - self.saturation**2 / self.susceptibility * (smooth + wrap))

    @property
    def _softer(self) -> float | Floats:
        """Susceptibility of the wrap over that of the core."""
        return self.wrap_susceptibility / self.susceptibility if self.wrap_share else 0.0

    def _reduced(self, field: Floats) -> Floats:
        return np.asarray(self.susceptibility * field / self.saturation)

    def _wrap_slope(self, x: Floats) -> Floats:
        return np.asarray(self.wrap_share * self.wrap_susceptibility / np.cosh(np.minimum(self._softer * x, FARTHEST)) ** 2)


def _log_cosh(x: Floats) -> Floats:
    """ln cosh x of x ≥ 0, without overflow: ∫ tanh."""
    return np.asarray(x + np.log1p(np.exp(-2.0 * x)) - np.log(2.0))
