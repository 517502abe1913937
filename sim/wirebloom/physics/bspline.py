"""Uniform cubic B-splines on a table's nodes, in the convention the time loop reads.

value(s) = Σ_k b_k(t) c[cell + k], b = ((1 − t)³, 3t³ − 6t² + 4, −3t³ + 3t² + 3t + 1, t³)/6, s = (x − start)/step.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Axes = tuple[tuple[float, float], tuple[float, float]]


def coefficients(values: Floats, axis: int) -> Floats:
    """Coefficients through the values at uniform nodes; two more than nodes.

    At both ends the third derivative is continuous over the last inner node ("not a knot").

    Parameters
    ----------
    values : ndarray
        At least four nodes along `axis`.
    axis : int
        Axis to turn into coefficients.

    Returns
    -------
    ndarray
        As `values` with two more entries along `axis`.
    """
    nodes = values.shape[axis]
    matrix = np.zeros((nodes + 2, nodes + 2))
    for k in range(nodes):
        matrix[k + 1, k : k + 3] = 1 / 6, 4 / 6, 1 / 6
    matrix[0, :5] = matrix[-1, -5:] = 1, -4, 6, -4, 1
    moved = np.moveaxis(values, axis, 0)
    ends = np.zeros((1, *moved.shape[1:]))
    right = np.concatenate([ends, moved, ends])
    solved = np.linalg.solve(matrix, right.reshape(nodes + 2, -1)).reshape(right.shape)
    return np.moveaxis(solved, 0, axis)


def weights(place: Floats, start: float, step: float, count: int, derivative: int = 0) -> tuple[NDArray[np.int64], Floats]:
    """First coefficient and the four weights of the value or of a derivative with respect to `place`.

    Parameters
    ----------
    place : (K,) ndarray
        Coordinate; held at the ends of the axis, where derivatives are zero outside.
    start, step : float
        Of the nodes.
    count : int
        Coefficients along the axis.
    derivative : int
        0 or 1.

    Returns
    -------
    first : (K,) ndarray of int
    weight : (K, 4) ndarray
    """
    s = (np.asarray(place, dtype=float) - start) / step
    held = np.clip(s, 0.0, count - 3)
    first = np.minimum(held.astype(np.int64), count - 4)
    t = held - first
    if derivative == 0:
        return first, np.stack(_values(t), axis=-1)
    return first, np.stack(_slopes(t), axis=-1) / step * (held == s)[..., None]


def weights_at(place: float, start: float, step: float, count: int) -> tuple[int, Floats, Floats]:
    """First coefficient, and the four weights of the value and of the slope, as `weights` at one place, ten times as fast."""
    s = (place - start) / step
    held = min(max(s, 0.0), count - 3.0)
    first = min(int(held), count - 4)
    slope = np.array(_slopes(held - first)) / step
    return first, np.array(_values(held - first)), slope if held == s else 0.0 * slope


def _values(t: Any) -> tuple[Any, Any, Any, Any]:
    """The four cubic B-splines at t, a number or an array."""
    u = 1.0 - t
    return u * u * u / 6.0, ((3.0 * t - 6.0) * t * t + 4.0) / 6.0, ((3.0 * u - 6.0) * u * u + 4.0) / 6.0, t * t * t / 6.0


def _slopes(t: Any) -> tuple[Any, Any, Any, Any]:
    """Their derivatives."""
    u = 1.0 - t
    return -u * u / 2.0, (3.0 * t - 4.0) * t / 2.0, (4.0 - 3.0 * u) * u / 2.0, t * t / 2.0


def evaluate(coefficient: Floats, axes: Axes, x: Floats, y: Floats, *, dx: int = 0, dy: int = 0) -> Floats:
    """Value or first derivative of a two-dimensional table at points (x, y).

    Parameters
    ----------
    coefficient : (G, Y, …) ndarray
    axes : ((float, float), (float, float))
        Start and step of both axes.
    x, y : (K,) ndarray
        Points.
    dx, dy : int
        Order of the derivative, 0 or 1.

    Returns
    -------
    (K, …) ndarray
    """
    row, bx = weights(x, *axes[0], coefficient.shape[0], dx)
    column, by = weights(y, *axes[1], coefficient.shape[1], dy)
    four = np.arange(4)
    patch = coefficient[row[:, None, None] + four[None, :, None], column[:, None, None] + four[None, None, :]]
    return np.asarray(np.einsum("ka,kb,kab...->k...", bx, by, patch))
