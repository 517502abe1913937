"""Mesh of a head's half-plane, and what is where on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.geometry import Block
from wirebloom.physics.grading import graded_lines
from wirebloom.physics.wire import MU0

Floats = NDArray[np.float64]

NEAREST_WALL, WALL = 0.2, 10.0  # far wall at least there, m, and at least so many times the head's size away
FINEST = 4e-5  # cell at every edge, m: the field is singular there
COARSEST, SHARE = 6e-4, 1 / 50  # largest cell within and beside the head: m, or this share of the head's size

ORDER = 5  # of the quadrature: exact for products of second-order elements


class Materials(NamedTuple):
    """What every element is made of.

    Attributes
    ----------
    reluctivity, current, remanence : (E,) ndarray
        m/H, A/m² for 1 A in the coil, T.
    owner : (E,) ndarray of int
        Index of its block; −1: air.
    """

    reluctivity: Floats
    current: Floats
    remanence: Floats
    owner: NDArray[np.int64]


def head_basis(blocks: Sequence[Block], finest: float = FINEST, coarsest: float | None = None) -> Any:
    """Second-order quadrilaterals on a graded tensor mesh around a head.

    Parameters
    ----------
    blocks : sequence of Block
    finest, coarsest : float
        Cell at the edges and largest cell near the head, m; None: 0.6 mm or 1/50 of the head's size.

    Returns
    -------
    skfem.Basis
    """
    from skfem import Basis, ElementQuad2, MeshQuad  # noqa: PLC0415 - half a second, and a cached table needs none of it

    return Basis(MeshQuad.init_tensor(*mesh_lines(blocks, finest, coarsest)), ElementQuad2(), intorder=ORDER)


def mesh_lines(blocks: Sequence[Block], finest: float, coarsest: float | None) -> tuple[Floats, Floats]:
    """Radii and heights of the mesh lines, m."""
    outermost, lowest = max(block.outer for block in blocks), min(block.bottom for block in blocks)
    size = max(outermost, -lowest)
    wall = max(NEAREST_WALL, WALL * size)
    coarsest = max(COARSEST, SHARE * size) if coarsest is None else coarsest
    radii = {0.0, wall} | {edge for block in blocks for edge in block.edges[:2]}
    heights = {-wall, 0.0, wall} | {edge for block in blocks for edge in block.edges[2:]}
    r = graded_lines(sorted(radii), finest, coarsest, (0.0, outermost + 1e-3))
    return r, graded_lines(sorted(heights), finest, coarsest, (lowest - 1e-3, 1e-3))


def materials(blocks: Sequence[Block], basis: Any) -> Materials:
    """What every element is made of; later blocks win where two overlap."""
    r, z = basis.mesh.p[:, basis.mesh.t].mean(axis=1)
    owner = np.full(r.size, -1)
    for index, block in enumerate(blocks):
        owner[(r > block.inner) & (r < block.outer) & (z > block.bottom) & (z < block.top)] = index
    return Materials(
        reluctivity=1 / (MU0 * _of_owner(owner, [block.permeability for block in blocks], 1.0)),
        current=_of_owner(owner, [block.turns / block.section for block in blocks], 0.0),
        remanence=_of_owner(owner, [block.remanence for block in blocks], 0.0),
        owner=owner,
    )


def _of_owner(owner: NDArray[np.int64], values: Sequence[float], air: float) -> Floats:
    """A block's value in each of its elements; the last entry, which −1 picks, is that of air."""
    return np.array([*values, air], dtype=np.float64)[owner]
