"""A round head's table from its geometry: finite elements, field above the face, magnetised wire."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import make_interp_spline
from threadpoolctl import threadpool_limits

from wirebloom.physics.coil import winding
from wirebloom.physics.fem import Solution, solve_head
from wirebloom.physics.field import HeadField, field_above
from wirebloom.physics.geometry import blocks_of
from wirebloom.physics.head_table import HeadTable, Magnetic, assemble, gap_axis
from wirebloom.physics.sweep import sweep
from wirebloom.physics.wire import WireGrid, WireMaterial
from wirebloom.rig.heads import RoundHead
from wirebloom.rig.parts import Coil

Floats = NDArray[np.float64]

# Gaps at which the wire is magnetised, m: spaced as the field varies, interpolated between.
SOLVED_GAPS = np.concatenate([np.arange(-0.1, 0.975, 0.05), np.arange(1.0, 3.95, 0.1), np.arange(4.0, 12.1, 0.25)]) * 1e-3


def round_table(head: RoundHead, string: tuple[float, float], material: Magnetic, offsets: Floats, rest: float) -> HeadTable:
    """Compute the table of a string over a round head.

    Parameters
    ----------
    head : RoundHead
    string : (float, float)
        Outer diameter of the string and diameter of its magnetic part, m.
    material : Magnetic
    offsets : (Y,) ndarray
        Nodes, m.
    rest : float
        Offset for which the load along the string is wanted, m.

    Returns
    -------
    HeadTable
    """
    with threadpool_limits(1, "blas"):  # the matrices are small: more threads only get into each other's way
        solution = solve_head(blocks_of(head))
        grid = _wire_over(solution, string[1] / 2)
        field = field_above(solution, float(np.hypot(grid.half_length, np.max(np.abs(offsets)))))
        distance, back = np.unique(np.round(np.abs(offsets), 9).astype(np.float64), return_inverse=True)  # even in the offset
        nearest = int(np.argmin(np.abs(distance - abs(rest))))
        law = WireMaterial(material.susceptibility, material.saturation)
        half = sweep(field, grid, law, SOLVED_GAPS + string[0] / 2, distance, load_at=nearest)
    parts = _at_nodes(np.stack([half.coenergy, half.flux, half.inductance], axis=-1))
    load = _normalised(_at_nodes(half.load), grid.cell)
    return assemble(offsets, np.moveaxis(parts[:, back], -1, 0), (grid.both_sides, load), **_numbers(head.coil, solution, field))


def _wire_over(solution: Solution, radius: float) -> WireGrid:
    """Wire long enough to leave the field of a wide head, in cells of 0.2 mm as long as these are not too many."""
    widest = max(block.outer for block in solution.blocks)
    half_length = max(25e-3, 2.5 * widest)
    return WireGrid(radius, half_length, min(round(half_length / 2e-4), 250))


def _at_nodes(values: Floats) -> Floats:
    """Values (G, …) at the table's gaps from those at the solved ones."""
    return np.asarray(make_interp_spline(SOLVED_GAPS, values, k=5)(gap_axis()))


def _numbers(coil: Coil, solution: Solution, field: HeadField) -> dict[str, float]:
    """What a table holds besides arrays."""
    copper = winding(coil)
    return {
        "resistance": copper.resistance,
        "inductance": solution.inductance() if coil.inductance is None else coil.inductance,
        "dipole": solution.dipole(),
        "face_field": float(field.magnet.at(1e-3, np.zeros(1)).upwards[0]),
        "core_field": solution.peak_in_iron(),
        "copper_mass": copper.mass,
        "wire_length": copper.length,
    }


def _normalised(load: Floats, spacing: float) -> Floats:
    """Load with a sum of 1 at each gap; its magnitude where the load's two signs all but cancel (a ring magnet's null)."""
    total = load.sum(axis=1, keepdims=True)
    size = np.abs(load).sum(axis=1, keepdims=True)
    cancels = np.abs(total) < 0.1 * size
    return np.asarray(np.where(cancels, np.abs(load), load) / (np.where(cancels, size, total) * spacing))
