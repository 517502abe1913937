"""A head's static field anywhere in the half-plane through its axis, straight from the finite elements.

The mesh is a tensor product of lines, so that the second-order elements' unknowns lie on a grid of corners and of points halfway:
in each cell A_φ = Σ_ab N_a(s) N_b(t) A_ab, with N = (2(s − ½)(s − 1), 4s(1 − s), 2s(s − ½)).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.fem import Solution

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class FieldMap:
    """Field on a grid of Z heights and R radii, of coil (per ampere) and magnets (last axis).

    Attributes
    ----------
    radial, axial : (Z, R, 2) ndarray
        Flux density, T/A and T.
    flux : (Z, R, 2) ndarray
        Upwards through the disc of that radius, 2π r A_φ, Wb/A and Wb: its contours are field lines.
    """

    radial: Floats
    axial: Floats
    flux: Floats


def field_map(solution: Solution, radius: Floats, height: Floats) -> FieldMap:
    """Evaluate a solution on a grid.

    Parameters
    ----------
    solution : Solution
    radius : (R,) ndarray
        Greater than 0, within the far wall, m.
    height : (Z,) ndarray
        m.

    Returns
    -------
    FieldMap
    """
    r_lines, z_lines, grid = _on_lines(solution)
    across, across_slope = _weights(r_lines, radius)
    upwards, upwards_slope = _weights(z_lines, height)

    def summed(over_z: Floats, over_r: Floats) -> Floats:
        return np.asarray(np.moveaxis(over_z @ np.moveaxis(grid, -1, 0) @ over_r.T, 0, -1))

    potential = summed(upwards, across)
    r = radius[None, :, None]
    return FieldMap(
        radial=-summed(upwards_slope, across),
        axial=summed(upwards, across_slope) + potential / r,
        flux=2 * pi * r * potential,
    )


def _on_lines(solution: Solution) -> tuple[Floats, Floats, Floats]:
    """Radii (I,) and heights (K,) of the unknowns, corners at even places, and A_φ on them (K, I, 2)."""
    place = np.round(solution.basis.doflocs, 12)
    radii, column = np.unique(place[0], return_inverse=True)
    heights, row = np.unique(place[1], return_inverse=True)
    grid = np.empty((heights.size, radii.size, 2))
    grid[row, column] = solution.potential
    return radii, heights, grid


def _weights(lines: Floats, places: Floats) -> tuple[Floats, Floats]:
    """Weights (P, I) of the values on the lines in value and slope at places."""
    corners = lines[::2]
    cell = np.clip(np.searchsorted(corners, places, side="right") - 1, 0, corners.size - 2)
    width = corners[cell + 1] - corners[cell]
    s = (places - corners[cell]) / width
    value, slope = np.zeros((places.size, lines.size)), np.zeros((places.size, lines.size))
    own = 2 * cell[:, None] + np.arange(3)
    np.put_along_axis(value, own, np.stack([(2 * s - 1) * (s - 1), 4 * s * (1 - s), s * (2 * s - 1)], axis=1), axis=1)
    np.put_along_axis(slope, own, np.stack([4 * s - 3, 4 - 8 * s, 4 * s - 1], axis=1) / width[:, None], axis=1)
    return value, slope
