"""A permeable rod in an even field along it, by finite elements of the scalar potential: demagnetising factors at any chi.

Half the rod (z > 0), of radius 1; phi = 0 in the middle plane and -z far away: H0 = 1. Mesh cells grow away from the rim.
"""

from typing import NamedTuple

import numpy as np
from scipy.sparse.linalg import splu
from skfem import Basis, ElementQuad2, MeshQuad

from heads.fourier import gradients

FINEST, GROWTH, SIZES = 1e-2, 1.4, 12  # of the cells at the rim; distance of the wall in half-lengths


class Factors(NamedTuple):
    """Fluxmetric: H0/M - 1/chi of the middle plane's mean M; magnetometric: of the whole rod's."""

    fluxmetric: float
    magnetometric: float


def factors(slenderness: float, permeability: float) -> Factors:
    """Of a rod whose length is so many times its diameter."""
    half, wall = slenderness, SIZES * slenderness + 10.0
    r = np.concatenate([_towards(1.0, 0.2), 1.0 + _away(wall)])
    z = np.concatenate([_towards(half, max(half / 30, 2 * FINEST)), half + _away(wall)])
    basis = Basis(MeshQuad.init_tensor(r, z), ElementQuad2(), intorder=5)
    middle = basis.mesh.p[:, basis.mesh.t].mean(axis=1)
    inside = (middle[0] < 1.0) & (middle[1] < half)
    slope = -basis.interpolate(_potential(basis, np.where(inside, permeability, 1.0))).grad[1]
    chi, weight = permeability - 1.0, basis.global_coordinates()[0] * basis.dx
    first = inside & (middle[1] < z[1])

    def factor(part):
        return np.sum(weight[part]) / np.sum((chi * slope * weight)[part]) - 1 / chi

    return Factors(factor(first), factor(inside))


def _potential(basis, mu):
    matrix = gradients.assemble(basis, mu=mu[:, None]).tocsc()
    r, z = basis.doflocs
    fixed = (z < 1e-9) | (z > z.max() - 1e-6) | (r > r.max() - 1e-6)
    potential, free = -z, ~fixed
    factored = splu(matrix[free][:, free], permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
    potential[free] = factored.solve(-(matrix[free][:, fixed] @ potential[fixed]))
    return potential


def _away(wall):
    return np.cumsum(FINEST * GROWTH ** np.arange(np.ceil(np.log(wall / FINEST) / np.log(GROWTH))))


def _towards(end, coarsest):
    """Lines from 0 to an end, the finest there."""
    steps = np.minimum(FINEST * GROWTH ** np.arange(200), coarsest)
    steps = steps[: np.searchsorted(np.cumsum(steps), end) + 1]
    return np.concatenate([[0.0], np.cumsum(steps[::-1]) * end / steps.sum()])
