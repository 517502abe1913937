"""Axisymmetric magnetostatics by finite elements: A_φ of a head's coil and magnets.

curl(ν(curl A − B_rem)) = J with A = A_φ(r, z), zero on the axis and on a far wall; second-order quadrilaterals on a graded
tensor mesh. First-order elements for ψ = r A cannot represent ψ ~ r² and are 12 % low beside the axis.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import pi
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.linalg import splu

from wirebloom.physics.geometry import Block
from wirebloom.physics.grading import graded_lines
from wirebloom.physics.wire import MU0

Floats = NDArray[np.float64]

NEAREST_WALL, WALL = 0.2, 10.0  # far wall at least there, m, and at least so many times the head's size away
FINEST = 4e-5  # cell at every edge, m: the field is singular there
COARSEST, SHARE = 6e-4, 1 / 50  # largest cell within and beside the head: m, or this share of the head's size
COIL, MAGNET = 0, 1  # columns of the solution


@dataclass(frozen=True)
class Solution:
    """A_φ of a head, for 1 A in its coil and for its magnets.

    Attributes
    ----------
    blocks : tuple of Block
    basis : skfem.Basis
    reluctivity, current, remanence : (E,) ndarray
        Of every element: m/H, A/m² for 1 A, T.
    potential : (D, 2) ndarray
        A_φ at the unknowns, T m/A (coil) and T m (magnets).
    """

    blocks: tuple[Block, ...]
    basis: Any
    reluctivity: Floats
    current: Floats
    remanence: Floats
    potential: Floats

    @cached_property
    def radius(self) -> Floats:
        """Radius of every quadrature point, m."""
        return np.asarray(self.basis.global_coordinates()[0])

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
        """Energy of the coil's field at 1 A, ½∫ ν B² dV, J: half the inductance, by another way."""
        b_r, b_z = self.flux_density(COIL)
        return 0.5 * self._integral(self.reluctivity[:, None] * (b_r**2 + b_z**2))

    def dipole(self) -> float:
        """Magnetic moment per ampere, A m²/A: turns times their mean area, and the magnetisation of the iron."""
        iron = self._integral((1 / MU0 - self.reluctivity[:, None]) * self.flux_density(COIL)[1])
        return iron + sum(b.turns * pi * (b.outer**2 + b.outer * b.inner + b.inner**2) / 3 for b in self.blocks)

    def peak_in_iron(self) -> float:
        """Flux density that 2 % of the iron's elements exceed, T; the corners, where a linear solution is singular, are left out."""
        iron = self.reluctivity < 0.2 / MU0
        if not iron.any():
            return 0.0
        return float(np.quantile(np.hypot(*self.flux_density(MAGNET))[iron].mean(axis=1), 0.98))

    def flux_density(self, source: int) -> tuple[Floats, Floats]:
        """B_r and B_z in every quadrature point (E, Q), T or T/A."""
        a = self.basis.interpolate(self.potential[:, source])
        return -a.grad[1], a.grad[0] + np.asarray(a) / self.radius

    def _integral(self, density: Floats) -> float:
        """Volume integral of a density given at the quadrature points."""
        return float(2 * pi * np.sum(density * self.radius * self.basis.dx))


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
    from skfem import Basis, ElementQuad2, MeshQuad  # noqa: PLC0415 - half a second, and a cached table needs none of it

    basis = Basis(MeshQuad.init_tensor(*_mesh_lines(blocks, finest, coarsest)), ElementQuad2(), intorder=5)
    materials = _materials(blocks, basis)
    return Solution(tuple(blocks), basis, *materials, _solve(basis, *materials))


def _mesh_lines(blocks: Sequence[Block], finest: float, coarsest: float | None) -> tuple[Floats, Floats]:
    """Radii and heights of the mesh lines, m."""
    outermost, lowest = max(block.outer for block in blocks), min(block.bottom for block in blocks)
    size = max(outermost, -lowest)
    wall = max(NEAREST_WALL, WALL * size)
    coarsest = max(COARSEST, SHARE * size) if coarsest is None else coarsest
    radii = {0.0, wall} | {edge for block in blocks for edge in block.edges[:2]}
    heights = {-wall, 0.0, wall} | {edge for block in blocks for edge in block.edges[2:]}
    r = graded_lines(sorted(radii), finest, coarsest, (0.0, outermost + 1e-3))
    return r, graded_lines(sorted(heights), finest, coarsest, (lowest - 1e-3, 1e-3))


def _materials(blocks: Sequence[Block], basis: Any) -> tuple[Floats, Floats, Floats]:
    """Reluctivity, current density for 1 A and remanence of every element."""
    middle = basis.mesh.p[:, basis.mesh.t].mean(axis=1)
    reluctivity = np.full(middle.shape[1], 1 / MU0)
    current, remanence = np.zeros_like(reluctivity), np.zeros_like(reluctivity)
    for block in blocks:
        inside = _inside(block, middle)
        reluctivity[inside] = 1 / (MU0 * block.permeability)
        current[inside] = block.turns / block.section
        remanence[inside] = block.remanence
    return reluctivity, current, remanence


def _inside(block: Block, points: Floats) -> NDArray[np.bool_]:
    """Which points (2, …) lie in a block."""
    r, z = points
    return np.asarray((r > block.inner) & (r < block.outer) & (z > block.bottom) & (z < block.top))


def _solve(basis: Any, reluctivity: Floats, current: Floats, remanence: Floats) -> Floats:
    """A_φ of the coil at 1 A and of the magnets (D, 2)."""
    from skfem import BilinearForm, LinearForm  # noqa: PLC0415

    @BilinearForm  # type: ignore[untyped-decorator]
    def curl_curl(u: Any, v: Any, w: Any) -> Any:
        r = w.x[0]
        return w.nu * (u.grad[1] * v.grad[1] + (u.grad[0] + u / r) * (v.grad[0] + v / r)) * r

    @LinearForm  # type: ignore[untyped-decorator]
    def winding(v: Any, w: Any) -> Any:
        return w.current * v * w.x[0]

    @LinearForm  # type: ignore[untyped-decorator]
    def magnetised(v: Any, w: Any) -> Any:
        return w.nu * w.remanence * (v.grad[0] * w.x[0] + v)

    nu = reluctivity[:, None]
    matrix = curl_curl.assemble(basis, nu=nu)
    coil = winding.assemble(basis, current=current[:, None])
    magnet = magnetised.assemble(basis, nu=nu, remanence=remanence[:, None])
    free = basis.complement_dofs(basis.get_dofs())
    potential = np.zeros((basis.N, 2))
    factors = splu(matrix[free][:, free].tocsc(), permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
    potential[free] = factors.solve(np.column_stack([coil, magnet])[free])
    return potential
