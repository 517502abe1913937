"""From the gaps at which a wire is magnetised to the nodes of a table.

The wire's axis never stands nearer than 0.25 mm to the iron, where its answer is known. What is nearer, a thin string within a
hair of the face or pressed into it, goes on from there as a parabola.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline

from wirebloom.physics.exposure import NEAREST_AXIS
from wirebloom.physics.head_table import gap_axis

Floats = NDArray[np.float64]

NEAREST, FARTHEST = -1e-4, 12.05e-3  # m
RATIO, SOFT = 1.09, 0.45e-3  # the gaps grow by this ratio, counted from so far (m) below the face: within 5e-4 of force and K
DEGREE = 5


def solved_gaps(diameter: float) -> Floats:
    """Gaps at which a wire of an outer diameter (m) is magnetised, m, spaced as the field varies."""
    first = max(NEAREST, NEAREST_AXIS - diameter / 2.0) + SOFT
    count = int(np.ceil(np.log((FARTHEST + SOFT) / first) / np.log(RATIO)))
    return np.geomspace(first, FARTHEST + SOFT, count + 1) - SOFT


def at_nodes(gaps: Floats, values: Floats) -> Floats:
    """Values (G, …) at the table's gaps from those at the solved ones, as a parabola below the first of them."""
    return _continued(make_interp_spline(gaps, values, DEGREE), gaps[0], gap_axis(), 2)


def held_at_nodes(gaps: Floats, values: Floats) -> Floats:
    """The same, but below the first gap what they are there."""
    return _continued(make_interp_spline(gaps, values, DEGREE), gaps[0], gap_axis(), 0)


def remaining(gaps: Floats, values: Floats) -> Floats:
    """∫ of values (G, …) from each of the table's gaps to the last solved one."""
    inwards = make_interp_spline(gaps, values, DEGREE).antiderivative()
    return np.asarray(inwards(gaps[-1])) - _continued(inwards, gaps[0], gap_axis(), 2)


def _continued(spline: BSpline, first: float, x: Floats, order: int) -> Floats:
    """A spline, and below its first point its Taylor series there."""
    beyond = np.minimum(x - first, 0.0).reshape(-1, *([1] * (spline.c.ndim - 1)))
    series = sum(spline(first, nu=k) * beyond**k / max(1, k) for k in range(1, order + 1))
    return np.asarray(spline(np.maximum(x, first)) + series)
