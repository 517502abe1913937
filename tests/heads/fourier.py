"""How a head's iron answers magnetic charge above it, by finite elements of the scalar potential: an oracle, slow and plain.

H = -grad phi, div(mu_r grad phi) = -rho. Two equal charges q at (x, 0, z) and (-x, 0, z) have the Fourier modes
rho_m = e_m q/(pi r) delta(r - x) delta(z - z0), m = 0, 2, 4, ..., e_0 = 1 and else 2. Every mode is one plane problem in (r, z),
solved with the iron and without it on the same mesh: the difference is the answer, and the elements' error at the charges,
where the potential is singular, cancels. Nothing here knows of boundary elements or of the package's terms.
"""

from dataclasses import dataclass
from functools import cached_property
from math import pi

import numpy as np
from scipy.interpolate import make_interp_spline
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementQuad2, MeshQuad

from wirebloom.physics.geometry import Block

WALL = 0.15  # m
SPACING, EVEN_TO, GROWTH = 3e-4, 4.0e-3, 1.4  # of the charges along the wire, m; beyond, the spacing grows so


def places(reach=0.026):
    """Distances x of the charges from the axis, m: as far as a wire is magnetised."""
    even = np.arange(0.0, EVEN_TO, SPACING)
    far = even[-1] + np.cumsum(SPACING * GROWTH ** np.arange(1, 60))
    return np.concatenate([even, far[: np.searchsorted(far, reach) + 1]])


def spread(nodes, x):
    """Matrix (x, nodes) that interpolates what is even in x."""
    mirrored = np.concatenate([-nodes[:0:-1], nodes])
    half = np.eye(nodes.size)
    return make_interp_spline(mirrored, np.concatenate([half[:0:-1], half]), k=5)(x)


@BilinearForm
def gradients(u, v, w):
    return w.mu * (u.grad[0] * v.grad[0] + u.grad[1] * v.grad[1]) * w.x[0]


@BilinearForm
def around(u, v, w):
    return w.mu * u * v / w.x[0]


@dataclass(frozen=True)
class Oracle:
    """Charges in five planes z - 2s ... z + 2s about a height z, on the nodes of two rows of elements.

    ``answer`` (5, N, 5, N): potential (A, times metres: per A m) in a plane at a place, of the pair of charges in another.
    """

    blocks: tuple[Block, ...]
    height: float
    step: float = 2.5e-5
    modes: tuple[int, ...] = (0, 2, 4, 6, 8, 10)
    fineness: float = 0.35

    @cached_property
    def nodes(self):
        return places()

    @cached_property
    def planes(self):
        return self.height + self.step * np.arange(-2, 3)

    @cached_property
    def answer(self):
        return sum(self.answers)

    @cached_property
    def answers(self):
        """Share of every mode (modes, 5, N, 5, N).

        In the plane y = 0 they add up. A pair at (r cos a, r sin a) and its image at -x makes, at an angle b, even modes times
        cos(m a) cos(m b) and odd ones times sin(m a) sin(m b).
        """
        basis = self._basis
        dofs = self._sources(basis)
        middle = basis.mesh.p[:, basis.mesh.t].mean(axis=1)
        mu = np.ones(middle.shape[1])
        for block in self.blocks:
            inside = (middle[0] > block.inner) & (middle[0] < block.outer) & (middle[1] > block.bottom) & (middle[1] < block.top)
            mu[inside] = block.permeability
        shares = [self._mode(basis, mu, dofs, m) - self._mode(basis, np.ones_like(mu), dofs, m) for m in self.modes]
        return np.reshape(shares, (len(self.modes), 5, self.nodes.size, 5, self.nodes.size))

    @cached_property
    def _basis(self):
        lines = self._radii(), self._heights()
        return Basis(MeshQuad.init_tensor(*lines), ElementQuad2(), intorder=5)

    def _radii(self):
        """All places are lines; finer ones stand at the edges of the iron."""
        edges = {e for b in self.blocks for e in (b.inner, b.outer) if 0.0 < e < WALL and b.permeability != 1.0}
        return _lines({*self.nodes, WALL}, edges, 5e-5 / self.fineness, 1e-3 / self.fineness)

    def _heights(self):
        """Two rows of elements about the height, as their nodes lie in the five planes."""
        edges = {e for b in self.blocks for e in (b.bottom, b.top) if b.permeability != 1.0 and e > -WALL}
        return _lines({-WALL, WALL, *self.planes[::2]}, {0.0, *edges}, 5e-5 / self.fineness, 1e-3 / self.fineness)

    def _sources(self, basis):
        r, z = basis.doflocs
        found = [np.flatnonzero(np.hypot(r - x, z - plane) < 1e-9) for plane in self.planes for x in self.nodes]
        return np.concatenate(found)

    def _mode(self, basis, mu, dofs, m):
        matrix = gradients.assemble(basis, mu=mu[:, None]) + m**2 * around.assemble(basis, mu=mu[:, None])
        r, z = basis.doflocs
        free = (r < WALL - 1e-9) & (np.abs(z) < WALL - 1e-9) & ((m == 0) | (r > 1e-9))
        row = np.cumsum(free) - 1
        used = free[dofs]
        load = np.zeros((int(free.sum()), int(used.sum())))
        load[row[dofs[used]], np.arange(load.shape[1])] = (1 if m == 0 else 2) / pi
        matrix = matrix.tocsc()[free][:, free]
        found = splu(matrix, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}).solve(load)
        full = np.zeros((dofs.size, dofs.size))
        full[np.ix_(used, used)] = found[row[dofs[used]]]
        return full


def _lines(fixed, edges, finest, coarsest):
    """Lines through all of these, fine at the edges, growing away from them in proportion to the distance."""
    points = sorted({round(p, 9) for p in {0.0, *fixed, *edges}})
    lines = [points[0]]
    near = np.array(sorted({0.0, *edges}))
    for end in points[1:]:
        while end - lines[-1] > 1e-9:
            away = np.min(np.abs(near - lines[-1]))
            ahead = np.min(np.abs(near - end))
            cell = finest + 0.35 * min(away, ahead + 0.6 * (end - lines[-1]))
            cell = cell if abs(lines[-1]) > 0.02 or abs(end) > 0.05 else min(cell, coarsest)
            left = end - lines[-1]
            lines.append(end if left < 1.4 * cell else lines[-1] + min(cell, left / 2))
    return np.array(lines)
