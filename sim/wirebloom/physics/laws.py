"""H for a given B, and its slope dH/dB, in soft iron that saturates and in magnets with a knee."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from wirebloom.physics.axisymmetric import Tensor
from wirebloom.physics.demagnetising import DemagnetisingCurve
from wirebloom.physics.wire import MU0

Floats = NDArray[np.float64]
Points = tuple[tuple[float, float], ...]

FAINT = 1e-3  # T: below it iron has the permeability that it has there


class Response(NamedTuple):
    """Field strength (A/m) and its slope at given flux densities."""

    radial: Floats
    axial: Floats
    slope: Tensor


@dataclass(frozen=True)
class SteelLaw:
    """Soft iron by its magnetisation curve, the same in all directions; beyond the curve's end as steep as air.

    Attributes
    ----------
    points : tuple of (float, float)
        H (A/m) and B (T) from (0, 0) upwards.
    """

    points: Points

    def __call__(self, b_r: Floats, b_z: Floats) -> Response:
        """Field strength at flux densities of any shape, T."""
        flux = np.maximum(np.hypot(b_r, b_z), FAINT)
        chord, tangent = self.reluctivities(flux)
        share = (tangent - chord) / flux**2
        slope = Tensor(chord + share * b_r**2, chord + share * b_z**2, share * b_r * b_z)
        return Response(chord * b_r, chord * b_z, slope)

    def reluctivities(self, flux: Floats) -> tuple[Floats, Floats]:
        """H/B and dH/dB at flux densities above 0, m/H."""
        field, slope = _curve(self.points)
        last = self.points[-1]
        inside = np.minimum(flux, last[1])
        beyond = flux > last[1]
        strength = field(inside) + (flux - inside) / MU0
        return strength / flux, np.where(beyond, 1 / MU0, slope(inside))


@lru_cache(maxsize=64)
def _curve(points: Points) -> tuple[PchipInterpolator, PchipInterpolator]:
    """H over B, and its slope."""
    table = np.array(points)
    field = PchipInterpolator(table[:, 1], table[:, 0])
    return field, field.derivative()


@dataclass(frozen=True)
class KneeLaw:
    """A magnet that has already lost some of its remanence, magnetised along the axis.

    Attributes
    ----------
    curve : DemagnetisingCurve
    sign : float
        +1: magnetised upwards, −1: downwards.
    left : ndarray
        Remanence that is left, T.
    """

    curve: DemagnetisingCurve
    sign: float
    left: Floats

    def __call__(self, b_r: Floats, b_z: Floats) -> Response:
        """Field strength at flux densities of the shape of `left`, T."""
        against, slope = self.against(self.sign * b_z)
        line = np.full_like(slope, 1 / (MU0 * self.curve.recoil))
        return Response(line * b_r, -self.sign * against, Tensor(line, slope, np.zeros_like(slope)))

    def against(self, flux: Floats) -> tuple[Floats, Floats]:
        """Field h against the magnetisation at flux densities along it, A/m, and −dh/dB: on the recoil line or on the curve.

        B = min(left, R(h)) − μ0 μ_rec h falls with h, so that h is the lower of the two.
        """
        line = MU0 * self.curve.recoil
        field, steep = np.array(self.curve.against), self.curve.slope() + line
        on_curve = self.curve.flux_density(field)
        cell = np.clip(np.searchsorted(-on_curve, -flux) - 1, 0, steep.size - 1)
        curve = field[cell] + (on_curve[cell] - flux) / steep[cell]
        recoil = (self.left - flux) / line
        return np.minimum(curve, recoil), np.where(curve < recoil, 1 / steep[cell], 1 / line)

    def remaining(self, b_z: Floats) -> Floats:
        """Remanence that is left after these flux densities, T."""
        along = self.sign * b_z
        return np.minimum(self.left, along + MU0 * self.curve.recoil * self.against(along)[0])
