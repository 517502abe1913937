"""Field of a head's magnets where iron saturates or magnets have a knee: Newton's method on the finite elements.

All laws rise monotonically, so that the field is the minimum of a convex energy: Newton's step is always downhill, and halving it
where it overshoots makes the method converge from anywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.axisymmetric import Factors, Tensor, field_load, flux_density, isotropic, radius, stiffness
from wirebloom.physics.head_mesh import ORDER
from wirebloom.physics.laws import KneeLaw, Response, SteelLaw

Floats = NDArray[np.float64]
Law = SteelLaw | KneeLaw

MOST_STEPS, HALVINGS = 40, 8
ACCURACY = 2e-3  # rms change of flux density in the last step, of the flux density: the next would be about its square


@dataclass(frozen=True)
class Region:
    """Elements that share a law.

    Attributes
    ----------
    elements : (M,) ndarray of int
    basis : skfem.Basis
        On these elements alone, with the unknowns of all.
    law : SteelLaw or KneeLaw
    """

    elements: NDArray[np.int64]
    basis: Any
    law: Law

    def response(self, potential: Floats) -> Response:
        """Field strength and its slope for A_φ (D,)."""
        return self.law(*flux_density(self.basis, potential))


def part_of(basis: Any, elements: NDArray[np.int64]) -> Any:
    """A basis on some of its elements, with the unknowns of all."""
    return type(basis)(basis.mesh, basis.elem, intorder=ORDER, elements=elements)


class Straight(NamedTuple):
    """A head with straight lines H = ν (B − B_r) everywhere, ν and B_r in every element (m/H, T), and its factorised matrix."""

    basis: Any
    reluctivity: Floats
    remanence: Floats
    factors: Factors

    def field(self) -> Floats:
        """A_φ of the magnets (D,)."""
        return self.factors.solve(field_load(self.basis, np.zeros_like(self.reluctivity), self.reluctivity * self.remanence))


def settle(straight: Straight, regions: Sequence[Region]) -> Floats:
    """Solve curl H = 0 for A_φ with the laws of some regions and straight lines elsewhere.

    Parameters
    ----------
    straight : Straight
        The straight lines, also of the regions as far as a first guess needs them.
    regions : sequence of Region

    Returns
    -------
    (D,) ndarray
        A_φ, T m.

    Raises
    ------
    RuntimeError
        If it does not settle in 40 steps, which no monotone law should bring about.

    References
    ----------
    O. C. Zienkiewicz, R. L. Taylor, "The Finite Element Method" (Newton's method for non-linear field problems).
    """
    problem, potential = _problem(straight, regions), straight.field()
    step = straight.factors.solve(-problem.rest(potential))
    if _small(regions, step, potential):
        return potential + step
    for _ in range(MOST_STEPS):
        rest = problem.rest(potential)
        factors = Factors(straight.basis, problem.tangent(potential))
        step = factors.solve(-rest)
        share = problem.share(potential, step, abs(float(step @ rest)))
        potential = potential + share * step
        again = factors.solve(-problem.rest(potential))  # a second step with the same factors costs next to nothing
        if share == 1.0 and _strength(regions, again) < 0.5 * _strength(regions, step):
            potential, step = potential + again, again
        if share == 1.0 and _small(regions, step, potential):
            return potential
    raise RuntimeError(f"the field must settle within {MOST_STEPS} steps; instead it still changes.")


class _Problem(NamedTuple):
    """What the laws leave to be solved: matrix and load of the straight lines outside the regions."""

    regions: Sequence[Region]
    matrix: Any
    load: Floats
    fixed: NDArray[np.int64]

    def rest(self, potential: Floats) -> Floats:
        """What is left of curl H at every unknown, 0 on the axis and the wall."""
        rest = self.matrix @ potential - self.load
        for region in self.regions:
            found = region.response(potential)
            rest += field_load(region.basis, found.radial, found.axial)
        rest[self.fixed] = 0.0
        return np.asarray(rest)

    def tangent(self, potential: Floats) -> Any:
        """Slope of what is left over the unknowns."""
        return self.matrix + sum(stiffness(region.basis, region.response(potential).slope) for region in self.regions)

    def share(self, potential: Floats, step: Floats, before: float) -> float:
        """Largest of 1, ½, ¼ … of a step at the end of which the energy does not rise by more than half as steeply as it fell.

        The energy's slope along the step is the step times what is left of curl H.
        """
        share = 1.0
        for _ in range(HALVINGS):
            if float(step @ self.rest(potential + share * step)) <= 0.5 * before:
                break
            share /= 2.0
        return share


def _problem(straight: Straight, regions: Sequence[Region]) -> _Problem:
    outside = straight.reluctivity.copy()
    for region in regions:
        outside[region.elements] = 0.0
    load = field_load(straight.basis, np.zeros_like(outside), outside * straight.remanence)
    return _Problem(regions, stiffness(straight.basis, isotropic(outside)), load, straight.basis.get_dofs().all())


def _small(regions: Sequence[Region], step: Floats, potential: Floats) -> bool:
    """Whether a step changes the flux density in the regions by no more than the accuracy."""
    return _strength(regions, step) < ACCURACY * _strength(regions, potential)


def _strength(regions: Sequence[Region], potential: Floats) -> float:
    """Root of ∫ B² r dr dz over the regions: a rim where points change sides at the knee each time does not keep the search going."""
    squares = (b_r**2 + b_z**2 for b_r, b_z in (flux_density(region.basis, potential) for region in regions))
    weights = (radius(region.basis) * region.basis.dx for region in regions)
    return float(np.sqrt(sum(np.sum(square * weight) for square, weight in zip(squares, weights, strict=True))))


def mean_slope(region: Region, potential: Floats) -> Tensor:
    """Slope dH/dB of a region's elements at A_φ (D,), averaged over each, m/H."""
    return Tensor(*(part.mean(axis=1) for part in region.response(potential).slope))
