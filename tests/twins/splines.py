"""Uniform cubic B-splines over gap and offset in plain numpy, both derivatives included."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from wirebloom.kernels.layout import Tables

Floats = NDArray[np.float64]


class Surface(NamedTuple):
    """W₀, Λ, L₁ (and the pad) at one place, and their slopes."""

    value: Floats  # (4,)
    by_gap: Floats  # (4,) per m
    by_offset: Floats  # (4,) per m


def basis(t: float) -> Floats:
    return np.array([(1 - t) ** 3, 3 * t**3 - 6 * t**2 + 4, -3 * t**3 + 3 * t**2 + 3 * t + 1, t**3]) / 6


def basis_slope(t: float) -> Floats:
    return np.array([-((1 - t) ** 2), 3 * t**2 - 4 * t, -3 * t**2 + 2 * t + 1, t**2]) / 2


def cell(x: float, start: float, step: float, coefficients: int) -> tuple[int, float, float]:
    """First coefficient, place within the cell, and the slope of that place: 1/step inside, 0 outside."""
    last = coefficients - 3
    place = (x - start) / step
    slope = 1 / step if 0 <= place <= last else 0.0
    place = min(max(place, 0.0), float(last))
    first = min(int(np.floor(place)), coefficients - 4)
    return first, place - first, slope


def surface(tables: Tables, row: int, gap: float, offset: float) -> Surface:
    table = tables.coefficient[row]
    g, t, dt = cell(gap, tables.gap_start[row], tables.gap_step[row], table.shape[0])
    y, r, dr = cell(offset, tables.offset_start[row], tables.offset_step[row], table.shape[1])
    patch = table[g : g + 4, y : y + 4]
    value = np.einsum("i,j,ijk->k", basis(t), basis(r), patch)
    by_gap = np.einsum("i,j,ijk->k", basis_slope(t), basis(r), patch) * dt
    by_offset = np.einsum("i,j,ijk->k", basis(t), basis_slope(r), patch) * dr
    return Surface(value, by_gap, by_offset)


def fit(function, gap: Floats, offset: Floats) -> Floats:
    """Coefficients (G, Y) of the least-squares spline whose cells are bounded by the nodes `gap`, `offset`."""
    fine_gap, fine_offset = densify(gap), densify(offset)
    samples = function(fine_gap[:, None], fine_offset[None, :]) * np.ones((len(fine_gap), len(fine_offset)))
    along_gap = np.linalg.lstsq(design(gap, fine_gap), samples, rcond=None)[0]
    return np.linalg.lstsq(design(offset, fine_offset), along_gap.T, rcond=None)[0].T


def densify(nodes: Floats, parts: int = 4) -> Floats:
    return np.linspace(nodes[0], nodes[-1], (len(nodes) - 1) * parts + 1)


def design(nodes: Floats, x: Floats) -> Floats:
    step = nodes[1] - nodes[0]
    knots = np.concatenate([nodes[0] - step * np.arange(3, 0, -1), nodes, nodes[-1] + step * np.arange(1, 4)])
    return BSpline.design_matrix(np.clip(x, nodes[0], nodes[-1]), knots, 3).toarray()
