"""Eddy currents in a head's solid parts by finite elements, reduced to a few decaying modes.

curl(ν curl A) + σ ∂A/∂t = J is K a + M ȧ = f, with symmetric matrices K > 0 and M ≥ 0. On the space spanned by
(K + s₀ M)⁻¹ f, (K + s₀ M)⁻¹ M (K + s₀ M)⁻¹ f … (one factorisation, a few solves) it becomes a sum of modes that each
follow the coil's current as 1/(1 + jωτ). All τ and all their shares in the inductance are positive: the reduced head is a
passive one, whatever was left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import eigh

from wirebloom.physics.axisymmetric import Factors, isotropic, stiffness, winding_load
from wirebloom.physics.geometry import Block
from wirebloom.physics.head_mesh import head_basis, materials

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

FINEST, COARSEST, SHARE = 1e-4, 1.5e-3, 1 / 20  # mesh: twice as coarse as for the field itself costs 0.2 % of the ratios
SHIFT = 2e3  # s⁻¹: s₀, in the middle of 0 … 10 kHz on the scale of skin depths
MODES = 18  # from rest to 10 kHz the reduced inductance is within 1e-4 of the whole system's, cores of 40 mm included


@dataclass(frozen=True)
class Reduced:
    """A head with eddy currents, for 1 A at any frequency in its coil.

    Attributes
    ----------
    delay : (M,) ndarray
        Time constants τ of the modes, s; 0 where nothing conducts.
    linkage : (M,) ndarray
        Flux of each mode's potential that links with the coil, Wb/A: also how far 1 A excites it at rest.
    radius : (F,) ndarray
        Radii of the nodes in the face plane, m.
    face : (F, M) ndarray
        A_φ of each mode in the face plane at 1 A and no frequency, T m/A.
    """

    delay: Floats
    linkage: Floats
    radius: Floats
    face: Floats

    def lag(self, frequency: ArrayLike) -> Complexes:
        """1/(1 + jωτ) of every mode at frequencies (Hz): (…, M)."""
        return np.asarray(1.0 / (1.0 + 2j * pi * np.asarray(frequency)[..., None] * self.delay))

    def inductance(self, frequency: ArrayLike) -> Complexes:
        """Complex inductance L(ω) at frequencies (Hz), H; the loss in the iron is −ω Im L ohms."""
        return np.asarray(self.lag(frequency) @ self.linkage)


def reduced_head(blocks: Sequence[Block], finest: float = FINEST, coarsest: float | None = None) -> Reduced:
    """Reduce a head to the modes that its coil excites.

    Parameters
    ----------
    blocks : sequence of Block
        Their conductivities count; iron has a constant permeability, that for small changes.
    finest, coarsest : float
        Mesh cell at the edges and largest cell near the head, m; None: 1.5 mm or 1/20 of the head's size.

    Returns
    -------
    Reduced

    References
    ----------
    R. L. Stoll, "The Analysis of Eddy Currents" (the equations); A. Ruhe, Linear Algebra Appl. 58 (1984) 391 (the subspace); from
    memory.
    """
    size = max(max(block.outer, -block.bottom) for block in blocks)
    basis = head_basis(blocks, finest, max(COARSEST, SHARE * size) if coarsest is None else coarsest)
    made = materials(blocks, basis)
    curl, load = stiffness(basis, isotropic(made.reluctivity)), winding_load(basis, made.current)
    conduction = _mass(basis, np.array([*(block.conductivity for block in blocks), 0.0])[made.owner])
    modes, delay = _modes(basis, curl, conduction, load)
    linked = modes.T @ load
    place = basis.doflocs
    rows = np.flatnonzero(np.abs(place[1]) < 1e-9)
    rows = rows[np.argsort(place[0, rows])]
    return Reduced(delay, 2 * pi * linked**2, place[0, rows], modes[rows] * linked)


def _mass(basis: Any, conductivity: Floats) -> Any:
    """Sparse matrix of ∫ σ u v r dr dz."""
    from skfem import BilinearForm  # noqa: PLC0415 - as in head_mesh

    @BilinearForm  # type: ignore[untyped-decorator]
    def conduct(u: Any, v: Any, w: Any) -> Any:
        return w.conductivity * u * v * w.x[0]

    return conduct.assemble(basis, conductivity=conductivity[:, None])


def _modes(basis: Any, curl: Any, conduction: Any, load: Floats) -> tuple[Floats, Floats]:
    """Vectors w (D, M) with wᵀ K w = 1 and wᵀ M w = τ, and the τ."""
    factors = Factors(basis, curl + SHIFT * conduction)
    space = np.zeros((load.size, 0))
    vector = factors.solve(load)
    for _ in range(MODES):
        size = float(np.linalg.norm(vector))
        for _ in range(2):  # once more for the digits that the first pass loses
            vector = vector - space @ (space.T @ vector)
        if np.linalg.norm(vector) <= 1e-12 * size:
            break
        space = np.column_stack([space, vector / np.linalg.norm(vector)])
        vector = factors.solve(conduction @ space[:, -1])
    delay, mixed = eigh(space.T @ (conduction @ space), space.T @ (curl @ space))
    return space @ mixed, np.maximum(delay, 0.0)
