"""How iron below a head's face answers magnetic charge above it: a few terms in place of an image.

A charge q (A m) at Q together with an equal one at its mirror image x → −x makes at P the potential φ = −Σ_k f_k(P) f_k(Q) q.
Every f_k is the potential of some charge on the iron's surface, in one harmonic cos mθ (m even) or sin mθ (m odd) around the
axis, θ from the string's direction x: harmonic above the face, and symmetric in P and Q by construction.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from wirebloom.physics.boundary import Iron
from wirebloom.physics.geometry import Block
from wirebloom.physics.image_terms import CEILING, DEGREE, LOWEST, ON_AXIS, REACH, WEAKEST, interpolation_lines, rim_radius, tabulated_terms
from wirebloom.physics.interfaces import panels_of

Floats = NDArray[np.float64]

FADED = 2e-3  # share of the strongest term below which one is left out at a height: more would make the stiffness rough
FEWEST, MOST, PER_RIM = 8, 24, 6.4e3  # harmonics: so many per metre of the rim's radius, as they fade upwards as e^{−mz/r}


class Features(NamedTuple):
    """Terms at the points (…, K).

    Attributes
    ----------
    potential : ndarray
        f, m^(−½).
    sideways, upwards : ndarray
        −∂f/∂y and −∂f/∂z, m^(−3/2).
    potential_slope, sideways_slope, upwards_slope : ndarray
        ∂/∂z of these.
    """

    potential: Floats
    sideways: Floats
    upwards: Floats
    potential_slope: Floats
    sideways_slope: Floats
    upwards_slope: Floats


class Along(NamedTuple):
    """Potential of the terms and its ∂/∂z, as in `Features`."""

    potential: Floats
    potential_slope: Floats


class Across(NamedTuple):
    """Fields of the terms across the string and their ∂/∂z, as in `Features`."""

    sideways: Floats
    upwards: Floats
    sideways_slope: Floats
    upwards_slope: Floats


class Place(NamedTuple):
    """Points above the face: distance from the axis, m, and angle from the string's direction."""

    radius: Floats
    angle: Floats


@dataclass(frozen=True)
class Reaction:
    """Answer of a head's iron to charges at heights from 0.25 to 20 mm above the face; no terms without iron.

    Attributes
    ----------
    harmonic : (K,) ndarray of int
        Of each term.
    knots_r, knots_z : ndarray
        Of a tensor spline of degree 5 over radius, on both sides of the axis, and height, m.
    coefficient : (Z, R, K) ndarray
    reach : float
        Radius to which the terms hold, m.
    """

    harmonic: NDArray[np.int64]
    knots_r: Floats
    knots_z: Floats
    coefficient: Floats
    reach: float

    def features(self, height: float, x: Floats, y: Floats, *, whole: bool = False) -> Features:
        """Terms at one height and at points x ≥ 0 along the string and y beside it, all in m.

        Only products of terms at one height mean something, unless `whole` asks for all terms as they are stored.

        Parameters
        ----------
        height : float
            Held between 0.25 and 20 mm.
        x, y : ndarray
            Broadcast against each other.
        whole : bool
            All terms, in an order that is the same at all heights.

        Returns
        -------
        Features
        """
        potential, potential_slope = self.along(height, x, y, whole=whole)
        across = self.across(height, x, y, whole=whole)
        return Features(potential, across.sideways, across.upwards, potential_slope, across.sideways_slope, across.upwards_slope)

    def along(self, height: float, x: Floats, y: Floats, *, whole: bool = False) -> Along:
        """Of the features only the potential and its ∂/∂z."""
        lines, harmonic = self._lines(height, whole=whole)
        at = _place(x, y, self.reach)
        shape, _ = _shapes(at, harmonic)
        return Along(self._over_r(lines[0], at) * shape, self._over_r(lines[1], at) * shape)

    def across(self, height: float, x: Floats, y: Floats, *, whole: bool = False) -> Across:
        """Of the features only the fields across the string and their ∂/∂z.

        ∂/∂y of v(r) T(θ) is sin θ T ∂v/∂r + cos θ T′ v/r.
        """
        lines, harmonic = self._lines(height, whole=whole)
        at = _place(x, y, self.reach)
        shape, turning = _shapes(at, harmonic)
        over_r, over_angle = np.sin(at.angle)[..., None] * shape, (np.cos(at.angle) / at.radius)[..., None] * turning
        value, slope, curvature = (self._over_r(line, at) for line in lines)
        sideways = -(self._over_r(lines[0], at, nu=1) * over_r + value * over_angle)
        sideways_slope = -(self._over_r(lines[1], at, nu=1) * over_r + slope * over_angle)
        return Across(sideways, -slope * shape, sideways_slope, -curvature * shape)

    def _over_r(self, line: Floats, at: Place, nu: int = 0) -> Floats:
        """A spline over the radius, or its slope."""
        return np.asarray(BSpline(self.knots_r, line, DEGREE)(at.radius, nu=nu))

    def _lines(self, height: float, *, whole: bool) -> tuple[Floats, NDArray[np.int64]]:
        """Spline coefficients over r of the terms and their first two ∂/∂z (3, R, K), and the harmonics."""
        held = float(np.clip(height, LOWEST, CEILING))
        lines = np.stack([self._over_z(held, nu=order) for order in range(3)])
        return (lines, self.harmonic) if whole or self.harmonic.size == 0 else self._fewest(lines)

    def _fewest(self, lines: Floats) -> tuple[Floats, NDArray[np.int64]]:
        """The fewest terms whose products have the same sum: those of a harmonic turned into one another, weak ones left out."""
        strength = np.bincount(self.harmonic, np.sum(lines[0] ** 2, axis=0))
        weakest = FADED**2 * strength.max()
        kept, harmonic = [], []
        for m in np.flatnonzero(strength > weakest):
            own = lines[..., self.harmonic == m]
            squares, turn = np.linalg.eigh(own[0].T @ own[0])
            kept.append(own @ turn[:, squares > weakest])
            harmonic += [m] * kept[-1].shape[-1]
        return np.concatenate(kept, axis=-1), np.array(harmonic)

    @cached_property
    def _over_z(self) -> BSpline:
        return BSpline(self.knots_z, self.coefficient, DEGREE)


def _place(x: Floats, y: Floats, reach: float) -> Place:
    x, y = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
    return Place(np.clip(np.hypot(x, y), ON_AXIS, reach), np.arctan2(y, x))


def _shapes(at: Place, harmonic: NDArray[np.int64]) -> tuple[Floats, Floats]:
    """T = cos mθ (m even) or sin mθ (m odd) of each term, and its derivative T′ (…, K)."""
    order = np.arange(harmonic.max(initial=0) + 1)
    phase = np.exp(1j * at.angle)[..., None] ** order
    even = order % 2 == 0
    shape, turning = np.where(even, phase.real, phase.imag), order * np.where(even, -phase.imag, phase.real)
    return shape[..., harmonic], turning[..., harmonic]


def reaction_of(blocks: Sequence[Block], fineness: float = 1.0, harmonics: int | None = None, weakest: float = WEAKEST) -> Reaction:
    """Terms of the answer of a head's iron.

    Parameters
    ----------
    blocks : sequence of Block
        The head, all of it below the face plane z = 0.
    fineness : float
        Divides the size of all panels.
    harmonics : int, optional
        Highest m; by default as many as the width of the iron near the face asks for.
    weakest : float
        Share of the strongest term below which terms are dropped.

    Returns
    -------
    Reaction
    """
    panels = panels_of(blocks, fineness)
    if panels is None:
        knots = np.arange(2.0 * (DEGREE + 1))
        return Reaction(np.zeros(0, dtype=np.int64), knots, knots, np.zeros((DEGREE + 1, DEGREE + 1, 0)), REACH)
    rim = rim_radius(panels)
    iron = Iron(panels, int(np.clip(np.ceil(PER_RIM * rim), FEWEST, MOST)) if harmonics is None else harmonics)
    r, z = interpolation_lines(rim, 4 * float(np.max(panels.nodes[..., 0])))
    return Reaction(*tabulated_terms(iron, r, z, weakest), r[-1])
