"""A round head's field as a map, on its axis and along a string."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.fem import COIL, MAGNET, Solution, solve_head
from wirebloom.physics.field import AxialField, HeadField, field_above
from wirebloom.physics.field_map import field_map
from wirebloom.physics.geometry import blocks_of
from wirebloom.physics.head_table import HeadTable
from wirebloom.rig import RoundHead
from wirebloom.take.head_parts import FieldSheet, MagnetSheet
from wirebloom.take.head_study import AlongSheet

Floats = NDArray[np.float64]
COLUMNS, ROWS = 110, 170  # of the map
ABOVE, AROUND = 0.8, 1.5  # of the widest radius: how far the map goes above the face, and out (and, in half, below)
ALONG, PLACES = 2.5, 161  # of the widest radius to both sides, and at how many places
HIGHEST = 12e-3  # m, of the axis
STRONGER = 1e-6  # T: a calibration by a field below it would be noise


@dataclass(frozen=True)
class SolvedHead:
    """A head's finite elements, its field above the face, and how many times as strong its magnets were measured to be."""

    solution: Solution
    above: HeadField
    magnets: float
    widest: float


def solved_head(head: RoundHead, table: HeadTable) -> SolvedHead:
    """Solve a head anew; a table of it says how strong its magnets are after all that is known of them."""
    solution = solve_head(blocks_of(head))
    above = field_above(solution)
    own = float(above.magnet.at(1e-3, np.zeros(1)).upwards[0])
    known = own if table.face_field is None else table.face_field
    magnets = known / own if abs(own) > STRONGER else 1.0
    return SolvedHead(solution, above.with_magnets(magnets), magnets, max(block.outer for block in solution.blocks))


def field_sheet(solved: SolvedHead) -> FieldSheet:
    """Map through the axis, field on the axis, and how iron and magnets fare."""
    widest, lowest = solved.widest, min(block.bottom for block in solved.solution.blocks)
    radius = AROUND * widest * (np.arange(COLUMNS) + 0.5) / COLUMNS
    height = np.linspace(lowest - (AROUND - 1.0) * widest, max(ABOVE * widest, 4e-3), ROWS)
    found = field_map(solved.solution, radius, height)
    size = np.hypot(found.radial, found.axial)
    up = np.linspace(0.0, HIGHEST, PLACES)
    return FieldSheet(
        radius_m=radius,
        height_m=height,
        magnet_T=abs(solved.magnets) * size[..., MAGNET],
        coil_T_per_A=size[..., COIL],
        magnet_flux_Wb=solved.magnets * found.flux[..., MAGNET],
        coil_flux_Wb_per_A=found.flux[..., COIL],
        axis_height_m=up,
        axis_magnet_T=_on_axis(solved.above.magnet, up),
        axis_coil_T_per_A=_on_axis(solved.above.coil, up),
        core_T=abs(solved.magnets) * solved.solution.peak_in_iron(),
        magnets=tuple(MagnetSheet(*point) for point in solved.solution.working_points()),
    )


def along_sheet(solved: SolvedHead, table: HeadTable, gap: float, radius: float, offset: float) -> AlongSheet:
    """Field along the axis of a string of some radius, and how its force spreads."""
    x = np.linspace(-1.0, 1.0, PLACES) * min(ALONG * solved.widest, 0.029)
    reach = np.hypot(x, offset)
    magnet, coil = (field.at(gap + radius, reach) for field in (solved.above.magnet, solved.above.coil))
    share = np.divide(x, reach, out=np.zeros_like(x), where=reach > 0.0)
    near = int(np.argmin(np.abs(table.gap - gap)))
    return AlongSheet(
        x_m=x,
        magnet_up_T=magnet.upwards,
        magnet_along_T=share * magnet.outwards,
        coil_up_T_per_A=coil.upwards,
        coil_along_T_per_A=share * coil.outwards,
        load_x_m=table.load_x,
        load_per_m=table.load[1, near],
    )


def _on_axis(field: AxialField, heights: Floats) -> Floats:
    return np.array([float(field.at(float(height), np.zeros(1)).upwards[0]) for height in heights])
