"""Where the permeability of a round head changes: interfaces between its parts, cut into panels graded towards rims.

Parts may touch, overlap (the later wins) or stand a hundredth of a millimetre apart: the interfaces come from the grid of all edges.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label

from wirebloom.physics.geometry import Block

Floats = NDArray[np.float64]

IRON = 1.5  # permeability from which a part counts as iron: recoil permeabilities of ferrite and rare earths are below
ORDER = 4  # Gauss nodes on each panel
GAUSS_NODES, GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(ORDER)
LONGEST, SHARE = 0.4e-3, 0.5  # longest panel near the face, m; its growth with the distance from the face and beyond NEAR
NEAR = 13e-3  # radius within which strings come near the face, m
SHORTEST, FINENESS = 1e-6, 5e-3  # panel at a rim, m, where the charge goes as the distance to the power −1/3; its growth likewise
CONTRAST = 10.0  # ratio of permeabilities from which the flux through a body's whole surface is set to zero


class Interface(NamedTuple):
    """A straight piece in the (r, z) half-plane between two materials.

    Attributes
    ----------
    start, end : (float, float)
        Its ends (r, z), m.
    normal : (float, float)
        Into the less permeable side.
    inside, outside : float
        Permeabilities, inside > outside.
    inner_cell : (int, int)
        A cell of the grid that it bounds on its more permeable side.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    normal: tuple[float, float]
    inside: float
    outside: float
    inner_cell: tuple[int, int]

    def turned(self) -> Interface:
        """With r and z exchanged."""
        return Interface(self.start[::-1], self.end[::-1], self.normal[::-1], self.inside, self.outside, self.inner_cell[::-1])


@dataclass(frozen=True)
class Panels:
    """Panels with their Gauss nodes.

    Attributes
    ----------
    middle, half : (P, 2) ndarray
        Middle of each panel and the way from there to its end, (r, z), m.
    normal : (P, 2) ndarray
    inside, outside : (P,) ndarray
        Permeabilities on the two sides.
    bodies : tuple of (P,) ndarray of bool
        The panels that bound each body through whose surface no net flux goes.
    """

    middle: Floats
    half: Floats
    normal: Floats
    inside: Floats
    outside: Floats
    bodies: tuple[NDArray[np.bool_], ...]

    @cached_property
    def nodes(self) -> Floats:
        """Gauss nodes (P, ORDER, 2), m."""
        return np.asarray(self.middle[:, None] + self.half[:, None] * GAUSS_NODES[:, None])

    @cached_property
    def weights(self) -> Floats:
        """Radius times length belonging to each node (P, ORDER), m²."""
        return np.asarray(self.nodes[..., 0] * np.hypot(*self.half.T)[:, None] * GAUSS_WEIGHTS)


def panels_of(blocks: Sequence[Block], fineness: float = 1.0) -> Panels | None:
    """Panels on all interfaces of the iron.

    Parameters
    ----------
    blocks : sequence of Block
    fineness : float
        Divides the length of all panels.

    Returns
    -------
    Panels or None
        None without iron.
    """
    if not blocks:
        return None
    radii, heights = _grid(blocks)
    cells = _permeabilities(blocks, radii, heights)
    pieces = [piece for axis in (0, 1) for piece in _merged(_interfaces(cells, radii, heights, axis))]
    if not pieces:
        return None
    rims = _rims(pieces)
    cuts = [_cut(piece, rims, fineness) for piece in pieces]
    owner = np.repeat(np.arange(len(pieces)), [len(cut) for cut in cuts])
    start, end = np.moveaxis(np.array([ends for cut in cuts for ends in cut]), 1, 0)
    normal = np.array([piece.normal for piece in pieces])[owner]
    inside, outside = (np.array(side)[owner] for side in zip(*((piece.inside, piece.outside) for piece in pieces), strict=True))
    bodies = tuple(member[owner] for member in _bodies(cells, pieces))
    return Panels((start + end) / 2, (end - start) / 2, normal, inside, outside, bodies)


def _grid(blocks: Sequence[Block]) -> tuple[Floats, Floats]:
    """All edges of the blocks and the outside beyond them: radii and heights, m."""
    radii, heights = (np.unique(np.round([edge for b in blocks for edge in b.edges[k : k + 2]], 9)) for k in (0, 2))
    outside = 1.0
    return np.unique([0.0, *radii, radii[-1] + outside]), np.array([heights[0] - outside, *heights, heights[-1] + outside])


def _permeabilities(blocks: Sequence[Block], radii: Floats, heights: Floats) -> Floats:
    """Permeability of each cell (R, Z); what is below IRON counts as air."""
    r, z = ((lines[1:] + lines[:-1]) / 2 for lines in (radii, heights))
    cells = np.ones((r.size, z.size))
    for block in blocks:
        within = ((r > block.inner) & (r < block.outer))[:, None] & ((z > block.bottom) & (z < block.top))
        cells[within] = block.permeability if block.permeability >= IRON else 1.0
    return cells


def _interfaces(cells: Floats, radii: Floats, heights: Floats, axis: int) -> list[Interface]:
    """Between cells that are neighbours along r (axis 0: upright pieces) or along z (axis 1: level ones), in order along each line."""
    found = []
    turned, across, along = (cells, radii.tolist(), heights.tolist()) if axis == 0 else (cells.T, heights.tolist(), radii.tolist())
    for i, j in np.argwhere(turned[1:] != turned[:-1]).tolist():
        low, high = float(turned[i, j]), float(turned[i + 1, j])
        sign, inner = (1.0, i) if low > high else (-1.0, i + 1)
        start, end = (across[i + 1], along[j]), (across[i + 1], along[j + 1])
        piece = Interface(start, end, (sign, 0.0), max(low, high), min(low, high), (inner, j))
        found.append(piece if axis == 0 else piece.turned())
    return found


def _merged(pieces: Sequence[Interface]) -> list[Interface]:
    """Pieces that continue one another between the same materials as one."""
    merged: list[Interface] = []
    for piece in pieces:
        last = merged[-1] if merged else None
        if last is not None and last.end == piece.start and last[2:5] == piece[2:5]:
            merged[-1] = last._replace(end=piece.end)
        else:
            merged.append(piece)
    return merged


def _bodies(cells: Floats, pieces: Sequence[Interface]) -> list[NDArray[np.bool_]]:
    """Which pieces bound each connected body that is much more permeable than all around it."""
    levels = np.unique(cells)
    bodies = []
    for below, level in pairwise(levels.tolist()):
        if level < CONTRAST * below:
            continue
        region, count = label(cells >= level)
        for body in range(1, count + 1):
            bodies.append(np.array([p.outside < level <= p.inside and region[p.inner_cell] == body for p in pieces]))
    return bodies


def _rims(pieces: Sequence[Interface]) -> Floats:
    """Ends of pieces off the axis, (C, 2)."""
    return np.unique([end for piece in pieces for end in (piece.start, piece.end) if end[0] > 0.0], axis=0)


def _cut(piece: Interface, rims: Floats, fineness: float) -> list[tuple[Floats, Floats]]:
    """Panels of a piece: halved as long as they are too long for where they are."""
    waiting, done = [(np.array(piece.start), np.array(piece.end))], []
    while waiting:
        a, b = waiting.pop()
        if float(np.hypot(*(b - a))) * fineness > _allowed(a, b, rims):
            waiting += [(a, (a + b) / 2), ((a + b) / 2, b)]
        else:
            done.append((a, b))
    return done


def _allowed(a: Floats, b: Floats, rims: Floats) -> float:
    """Longest panel between two points, m."""
    away = float(np.min(np.hypot(*(np.array([a, b])[:, None] - rims).reshape(-1, 2).T)))
    far = float(max(-max(a[1], b[1]), min(a[0], b[0]) - NEAR, 0.0))
    return min(LONGEST + SHARE * far, max(away, SHORTEST + FINENESS * far))
