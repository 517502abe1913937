"""Axisymmetric magnetostatics by finite elements: A_φ of a head's coil and magnets.

curl(ν(curl A − B_rem)) = J with A = A_φ(r, z), zero on the axis and on a far wall; second-order quadrilaterals on a graded
tensor mesh. First-order elements for ψ = r A cannot represent ψ ~ r² and are 12 % low beside the axis. Iron with a curve and
magnets with a knee bend the straight lines where they matter; the coil then meets the iron's reluctivity for small changes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import pi
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.axisymmetric import Factors, Tensor, field_load, flux_density, isotropic, radius, stiffness, winding_load
from wirebloom.physics.geometry import Block
from wirebloom.physics.head_mesh import FINEST, head_basis, materials
from wirebloom.physics.nonlinear import Settled, bends, settled
from wirebloom.physics.wire import MU0
from wirebloom.physics.working import WorkingPoint, working_point

Floats = NDArray[np.float64]

COIL, MAGNET = 0, 1  # columns of the solution
IRON = 1.5  # relative permeability from which a part that is no magnet counts as iron


@dataclass(frozen=True)
class Solution:
    """A_φ of a head, for 1 A in its coil and for its magnets.

    Attributes
    ----------
    blocks : tuple of Block
    basis : skfem.Basis
    reluctivity, current, remanence : (E,) ndarray
        Of every element: m/H on straight lines, A/m² for 1 A, T (of a magnet with a knee, what is left of it).
    potential : (D, 2) ndarray
        A_φ at the unknowns, T m/A (coil) and T m (magnets).
    owner : (E,) ndarray of int
        Block of every element; −1: air.
    incremental : Tensor of (E,) ndarray
        Reluctivity that the coil's small current meets, m/H.
    bent : tuple of int
        Blocks whose curves were followed.
    """

    blocks: tuple[Block, ...]
    basis: Any
    reluctivity: Floats
    current: Floats
    remanence: Floats
    potential: Floats
    owner: NDArray[np.int64]
    incremental: Tensor
    bent: tuple[int, ...] = ()

    @cached_property
    def radius(self) -> Floats:
        """Radius of every quadrature point, m."""
        return radius(self.basis)

    def face_potential(self) -> tuple[Floats, Floats]:
        """Radii of the nodes in the face plane (K,), m, and A_φ there (K, 2)."""
        place = self.basis.doflocs
        rows = np.flatnonzero(np.abs(place[1]) < 1e-9)
        rows = rows[np.argsort(place[0, rows])]
        return place[0, rows], self.potential[rows]

    def inductance(self) -> float:
        """Flux linked with the winding at 1 A, ∫ A·J dV, H: twice the energy of the field."""
        a = np.asarray(self.basis.interpolate(self.potential[:, COIL]))
        return self._integral(a * self.current[:, None])

    def field_energy(self) -> float:
        """Energy of the coil's field at 1 A, ½∫ B·ν B dV, J: half the inductance, by another way."""
        b_r, b_z = self.flux_density(COIL)
        radial, axial, mixed = (part[:, None] for part in self.incremental)
        return 0.5 * self._integral(radial * b_r**2 + axial * b_z**2 + 2 * mixed * b_r * b_z)

    def dipole(self) -> float:
        """Magnetic moment per ampere, A m²/A: turns times their mean area, and the magnetisation of the iron."""
        b_r, b_z = self.flux_density(COIL)
        _, axial, mixed = (part[:, None] for part in self.incremental)
        iron = self._integral((1 / MU0 - axial) * b_z - mixed * b_r)
        return iron + sum(b.turns * pi * (b.outer**2 + b.outer * b.inner + b.inner**2) / 3 for b in self.blocks)

    def peak_in_iron(self) -> float:
        """Flux density that 2 % of the iron's elements exceed, T; the corners, where a linear solution is singular, are left out."""
        return self._peak([index for index, block in enumerate(self.blocks) if is_iron(block)])

    def peak_in_linear_iron(self) -> float:
        """The same of the iron whose saturation is not known, T: above 1.4 T or so it is taken to carry too much."""
        return self._peak([index for index, block in enumerate(self.blocks) if is_iron(block) and block.steel is None])

    def working_points(self) -> tuple[WorkingPoint, ...]:
        """Where on their curves the magnets stand, one for each block with a remanence."""
        magnets = [index for index, block in enumerate(self.blocks) if block.remanence]
        b_z, weight = self.flux_density(MAGNET)[1], self.radius * self.basis.dx
        return tuple(working_point(self.blocks[i], self.remanence[self.owner == i], *self._of(i, b_z, weight)) for i in magnets)

    def flux_density(self, source: int) -> tuple[Floats, Floats]:
        """B_r and B_z in every quadrature point (E, Q), T or T/A."""
        return flux_density(self.basis, self.potential[:, source])

    def _of(self, index: int, *fields: Floats) -> tuple[Floats, ...]:
        return tuple(field[self.owner == index] for field in fields)

    def _peak(self, indices: Sequence[int]) -> float:
        iron = np.isin(self.owner, indices)
        if not iron.any():
            return 0.0
        return float(np.quantile(np.hypot(*self.flux_density(MAGNET))[iron].mean(axis=1), 0.98))

    def _integral(self, density: Floats) -> float:
        """Volume integral of a density given at the quadrature points."""
        return float(2 * pi * np.sum(density * self.radius * self.basis.dx))


def is_iron(block: Block) -> bool:
    """Whether a block is soft iron."""
    return block.permeability >= IRON and not block.remanence


def solve_head(blocks: Sequence[Block], finest: float = FINEST, coarsest: float | None = None) -> Solution:
    """Solve the field of a head's coil (1 A) and of its magnets.

    Parameters
    ----------
    blocks : sequence of Block
        The head, all of it below the face plane z = 0; later blocks win where two overlap.
    finest, coarsest : float
        Mesh cell at the edges and largest cell near the head, m; None: 0.6 mm or 1/50 of the head's size.

    Returns
    -------
    Solution

    References
    ----------
    O. C. Zienkiewicz, R. L. Taylor, "The Finite Element Method" (axisymmetric field problems).
    """
    basis = head_basis(blocks, finest, coarsest)
    made = materials(blocks, basis)
    factors = Factors(basis, stiffness(basis, isotropic(made.reluctivity)))
    winding = winding_load(basis, made.current)
    magnet = field_load(basis, np.zeros_like(made.current), made.reluctivity * made.remanence)
    potential = factors.solve(np.column_stack([winding, magnet]))
    bent = bends(blocks, made.owner, basis, potential[:, MAGNET])
    state = Settled(potential[:, MAGNET], made.remanence, isotropic(made.reluctivity))
    coil = potential[:, COIL]
    if bent:
        state = settled(blocks, basis, made, factors, bent)
    if any(blocks[index].steel for index in bent):
        coil = Factors(basis, stiffness(basis, state.incremental)).solve(winding)
    potential = np.column_stack([coil, state.potential])
    known = made.reluctivity, made.current, state.remanence, potential
    return Solution(tuple(blocks), basis, *known, made.owner, state.incremental, bent)
