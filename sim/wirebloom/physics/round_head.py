"""A round head's table from its geometry: finite elements, field above the face, iron's answer, magnetised wire."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from wirebloom.physics.coil import winding
from wirebloom.physics.eddies import ladder_of
from wirebloom.physics.exposure import expose
from wirebloom.physics.fem import Solution, solve_head
from wirebloom.physics.field import HeadField, field_above
from wirebloom.physics.geometry import blocks_of
from wirebloom.physics.head_table import HeadTable, assemble
from wirebloom.physics.nodes import at_nodes, held_at_nodes, remaining, solved_gaps
from wirebloom.physics.reaction import reaction_of
from wirebloom.physics.steel import WireMaterial
from wirebloom.physics.sweep import Sweep, sweep
from wirebloom.physics.variants import shifts
from wirebloom.physics.wire import WireGrid
from wirebloom.rig.heads import RoundHead
from wirebloom.rig.magnetism import Magnetism
from wirebloom.rig.parts import Coil

Floats = NDArray[np.float64]

BAND_GAPS = np.array([0.1, 0.3, 0.5, 0.7, 1.0, 1.5, 2.0, 3.0, 5.0, 8.0]) * 1e-3


def round_table(head: RoundHead, string: tuple[float, float], steel: Magnetism, offsets: Floats, rest: float) -> HeadTable:
    """Compute the table of a string over a round head.

    Parameters
    ----------
    head : RoundHead
    string : (float, float)
        Outer diameter of the string and diameter of its magnetic core, m.
    steel : Magnetism
    offsets : (Y,) ndarray
        Nodes, m.
    rest : float
        Offset for which the load along the string is wanted, m.

    Returns
    -------
    HeadTable
    """
    with threadpool_limits(1, "blas"):  # the matrices are small: more threads only get into each other's way
        blocks = blocks_of(head)
        solution, reaction = solve_head(blocks), reaction_of(blocks)
        grid = _wire_over(solution, string[1] / 2)
        field = _calibrated(head, field_above(solution, float(np.hypot(grid.half_length, np.max(np.abs(offsets))))))
        law = wire_material(steel)
        distance, back = np.unique(np.round(np.abs(offsets), 9).astype(np.float64), return_inverse=True)  # even in the offset
        nearest = int(np.argmin(np.abs(distance - abs(rest))))
        gaps = solved_gaps(string[0])
        half = sweep((field, reaction), grid, law, gaps + string[0] / 2, distance, load_at=nearest)
        exposures = [expose((field, reaction), grid, 0.0, gap + string[0] / 2, np.array([abs(rest)])) for gap in BAND_GAPS]
        band = shifts(exposures, steel, law)
    load = _normalised(np.moveaxis(held_at_nodes(gaps, np.moveaxis(half.load, 0, 1)), 1, 0), grid.cell)
    numbers = _numbers(head.coil, solution, field)
    with threadpool_limits(1, "blas"):
        ladder = ladder_of(solution, field, numbers["inductance"])
    known = {"band_gap": BAND_GAPS, "band": band, "ladder": ladder}
    return assemble(offsets, _parts(gaps, half)[:, :, back], (grid.both_sides, load), **known, **numbers)


def wire_material(steel: Magnetism) -> WireMaterial:
    """The wire's law at the nominal values."""
    return WireMaterial(
        steel.susceptibility,
        steel.saturation,
        steel.reversible,
        wrap_share=steel.wrap_share,
        wrap_susceptibility=steel.wrap_susceptibility,
    )


def _calibrated(head: RoundHead, field: HeadField) -> HeadField:
    """The magnets made as strong as a measured field on the axis says."""
    known = head.measured
    if known is None or known.face_field is None:
        return field
    return field.with_magnets(known.face_field / float(field.magnet.at(known.height, np.zeros(1)).upwards[0]))


def _parts(gaps: Floats, half: Sweep) -> Floats:
    """W₀, Λ and L₁ (3, G, Y) at the table's gaps, Λ such that −∂Λ/∂gap is the force factor of small changes."""
    parts = at_nodes(gaps, np.stack([half.coenergy, half.flux, half.inductance], axis=-1))
    parts[..., 1] += remaining(gaps, half.factor_change)
    return np.moveaxis(parts, -1, 0)


def _wire_over(solution: Solution, radius: float) -> WireGrid:
    """Wire long enough to leave the field of a wide head, in cells of 0.2 mm as long as these are not too many."""
    widest = max(block.outer for block in solution.blocks)
    half_length = max(25e-3, 2.5 * widest)
    return WireGrid(radius, half_length, min(round(half_length / 2e-4), 250))


def _numbers(coil: Coil, solution: Solution, field: HeadField) -> dict[str, float]:
    """What a table holds besides arrays."""
    copper = winding(coil)
    return {
        "resistance": copper.resistance,
        "inductance": solution.inductance() if coil.inductance is None else coil.inductance,
        "dipole": solution.dipole(),
        "face_field": float(field.magnet.at(1e-3, np.zeros(1)).upwards[0]),
        "core_field": solution.peak_in_linear_iron(),
        "copper_mass": copper.mass,
        "wire_length": copper.length,
    }


def _normalised(load: Floats, spacing: float) -> Floats:
    """Loads (3, G, X) with a sum of 1 at each gap; without magnets all as the one that goes with the square of the current.

    Where a load's two signs all but cancel (a ring magnet's null), its magnitude.
    """
    size = np.abs(load).sum(axis=2, keepdims=True)
    load = np.where(size > 0.0, load, load[2:])
    total, size = load.sum(axis=2, keepdims=True), np.abs(load).sum(axis=2, keepdims=True)
    cancels = np.abs(total) < 0.1 * size
    return np.asarray(np.where(cancels, np.abs(load), load) / (np.where(cancels, size, total) * spacing))
