"""Graded lines for a tensor mesh: fine at every edge of the geometry, coarser by a fixed ratio away from it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

GROWTH = 1.3  # ratio of neighbouring cells; more makes second-order elements lose their order at the edges


def graded_lines(edges: Sequence[float], finest: float, coarsest: float, region: tuple[float, float]) -> Floats:
    """Lines through every edge, with cells that grow from `finest` at an edge up to `coarsest` within a region.

    Parameters
    ----------
    edges : sequence of float
        Coordinates that must be lines, m; the first and the last bound the mesh.
    finest : float
        Cell beside an inner edge, m.
    coarsest : float
        Largest cell inside `region`, m; outside cells grow freely.
    region : (float, float)
        Where the field will be read, m.

    Returns
    -------
    lines : (K,) ndarray
        Increasing coordinates, m.
    """
    marks = np.unique(np.round(edges, 9))
    centres = marks[1:-1] if marks[0] < 0 else marks[:-1]

    def size(x: Floats) -> Floats:
        free = finest + (GROWTH - 1) * np.min(np.abs(x[:, None] - centres), axis=1)
        return np.asarray(np.where((x >= region[0]) & (x <= region[1]), np.minimum(free, coarsest), free))

    pieces = [_filled(a, b, size) for a, b in pairwise(marks.tolist())]
    return np.concatenate([piece[:-1] for piece in pieces] + [marks[-1:]])


def _filled(a: float, b: float, wanted: Callable[[Floats], Floats]) -> Floats:
    """Lines from a to b whose spacing follows the wanted cell size."""
    x = np.linspace(a, b, 4001)
    size = wanted(x)
    count = np.concatenate([[0.0], np.cumsum(0.5 * (1 / size[1:] + 1 / size[:-1]) * np.diff(x))])
    cells = max(1, int(np.ceil(count[-1] - 1e-6)))
    lines = np.interp(np.linspace(0.0, count[-1], cells + 1), count, x)
    lines[0], lines[-1] = a, b
    return np.asarray(lines)
