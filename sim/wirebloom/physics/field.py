"""Static field above a round head's face: the finite elements' flux through the face plane, continued upwards.

All sources lie below the face plane z = 0, so above it B = −∇φ is fixed by B_z(r, 0) alone: the plane is replaced by rings
of charge that carry the flux 2π Δ(r A_φ) between neighbouring radii. The continuation is exactly harmonic and smooths the
elements' noise: second derivatives, on which force gradients hang, come out ten times better than from A_φ itself.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import pi
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline
from scipy.special import ellipk

from wirebloom.physics.fem import COIL, MAGNET, Solution

Floats = NDArray[np.float64]

DEGREE = 5  # of the interpolating spline: force gradients are its second derivative
REACH = 0.032  # radius to which the interpolants hold, m, and more for wide heads
LOWEST, CEILING = 3e-5, 0.018  # heights between which they hold, m
NEAR = 0.013  # radius within which strings come near the face of a head, m, and more for wide heads
RING = NEAR / 325  # widest ring within that radius: closer to the face than twice this (0.08 mm) the rings show
STEP, RATIO = NEAR / 260, 1.2  # spacing of the interpolation lines there; growth of the spacing beyond and upwards


class Slice(NamedTuple):
    """A field at one height, over the radius.

    Attributes
    ----------
    potential, upwards, outwards : (…) ndarray
        φ, B_z and B_r; in T m and T, or per ampere.
    """

    potential: Floats
    upwards: Floats
    outwards: Floats


@dataclass(frozen=True)
class AxialField:
    """One axisymmetric field above the face through its scalar potential φ(r, z), even in r: B = −∇φ.

    Holds for r ≤ 30 mm and 0.03 mm ≤ z ≤ 17 mm; below, it goes on along its tangent in z.

    Attributes
    ----------
    knots_r, knots_z : ndarray
        Of a tensor spline of degree 5.
    coefficient : (R, Z) ndarray
    """

    knots_r: Floats
    knots_z: Floats
    coefficient: Floats

    def at(self, height: float, r: Floats, *, slope: int = 0) -> Slice:
        """Field at one height (m) and any radii (m); with slope = 1 its ∂/∂z."""
        lines = np.stack([self._line(height, slope), -self._line(height, slope + 1)], axis=1)
        over_r = BSpline(self.knots_r, lines, DEGREE)
        value = over_r(r)
        return Slice(value[..., 0], value[..., 1], -over_r(r, nu=1)[..., 0])

    def _line(self, height: float, order: int) -> Floats:
        """Spline coefficients over r of ∂ᵒφ/∂zᵒ at one height; linear in z below LOWEST."""
        inside = max(height, LOWEST)
        line = self._over_z(inside, nu=order)
        if height < inside:
            line = line + (height - inside) * self._over_z(inside, nu=order + 1)
        return np.asarray(line)

    @cached_property
    def _over_z(self) -> BSpline:
        return BSpline(self.knots_z, self.coefficient.T, DEGREE)


@dataclass(frozen=True)
class HeadField:
    """Field of a head above its face: per ampere of its coil (T/A) and of all its magnets (T)."""

    coil: AxialField
    magnet: AxialField

    def with_magnets(self, strength: float) -> HeadField:
        """The same head with magnets so many times as strong."""
        return replace(self, magnet=replace(self.magnet, coefficient=strength * self.magnet.coefficient))


def field_above(solution: Solution, reach: float = REACH) -> HeadField:
    """Continue the finite elements' flux through the face plane upwards.

    Parameters
    ----------
    solution : Solution
    reach : float
        Radius to which the field is wanted, m.

    Returns
    -------
    HeadField
    """
    scale = max(1.0, (max(block.outer for block in solution.blocks) + 3e-3) / NEAR)
    radius, flux = _rings(*solution.face_potential(), scale)
    r, z = _interpolation_lines(scale, reach)
    potential = _ring_potential(r, z, radius) @ flux
    return HeadField(*(_interpolated(r, z, potential[:, :, source]) for source in (COIL, MAGNET)))


def upwards_above(nodes: Floats, potential: Floats, height: float, r: Floats) -> Floats:
    """B_z at one height and radii r (R,), m, of fields known by A_φ (F, K) at nodes (F,) in the face plane: (R, K)."""
    radius, flux = _rings(nodes, potential, max(1.0, float(r[-1]) / NEAR))
    lower, upper = (_ring_potential(r, np.array([height + side * STEP / 2]), radius)[:, 0] @ flux for side in (-1, 1))
    return np.asarray((lower - upper) / STEP)


def _interpolated(r: Floats, z: Floats, potential: Floats) -> AxialField:
    """Tensor spline through φ, mirrored at the axis."""
    over_r = make_interp_spline(np.concatenate([-r[:0:-1], r]), np.concatenate([potential[:0:-1], potential]), DEGREE)
    over_z = make_interp_spline(z, over_r.c.T, DEGREE)
    return AxialField(over_r.t, over_z.t, over_z.c.T)


def _rings(nodes: Floats, potential: Floats, scale: float) -> tuple[Floats, Floats]:
    """Radii (K,) and fluxes (K, 2) of the rings that carry the flux through the face plane.

    A_φ is a parabola along each element's edge (two corners and the node between), which is cut into narrow rings.
    """
    edges, values = [], []
    for k in range(0, nodes.size - 1, 2):
        width = nodes[k + 2] - nodes[k]
        cuts = int(np.ceil(width / (RING * scale))) if nodes[k] < NEAR * scale else 2
        t = (np.arange(cuts) / cuts)[:, None]
        edges.append(nodes[k] + width * t[:, 0])
        values.append(potential[k] * (1 - t) * (1 - 2 * t) + potential[k + 1] * 4 * t * (1 - t) + potential[k + 2] * t * (2 * t - 1))
    edge = np.concatenate([*edges, nodes[-1:]])
    value = np.concatenate([*values, potential[-1:]])
    return (edge[1:] + edge[:-1]) / 2, 2 * pi * np.diff(edge[:, None] * value, axis=0)


def _interpolation_lines(scale: float, reach: float) -> tuple[Floats, Floats]:
    """Radii and heights at which the potential is evaluated, m."""
    near = np.arange(0.0, NEAR, STEP) * scale
    far = near[-1] + np.cumsum(np.minimum(STEP * scale * RATIO ** np.arange(1.0, 300.0), 1e-3))
    count = int(np.ceil(np.log(CEILING / LOWEST) / np.log(RATIO)))
    return np.concatenate([near, far[far < reach + 2e-3]]), np.geomspace(LOWEST, CEILING, count + 1)


def _ring_potential(r: Floats, z: Floats, radius: Floats) -> Floats:
    """Potential (R, Z, K) at (r, z) of rings in the face plane of unit upward flux: K(m)/(π² √((r + ρ)² + z²)).

    Half of a ring's field lines go up, so that a ring of flux Φ is one of magnetic charge 2Φ.
    """
    far = (r[:, None, None] + radius) ** 2 + z[None, :, None] ** 2
    return np.asarray(ellipk(4 * r[:, None, None] * radius / far) / (pi**2 * np.sqrt(far)))
