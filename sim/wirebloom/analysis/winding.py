"""A round head's parts, and whether its winding goes into its window."""

from __future__ import annotations

from math import pi

from wirebloom.physics.coil import winding
from wirebloom.rig import RoundHead
from wirebloom.rig.iron import Plate
from wirebloom.rig.permanent import Magnet
from wirebloom.rig.wires import turns_that_fit
from wirebloom.take.head_parts import PartSheet, WindingSheet


def part_sheets(head: RoundHead) -> tuple[PartSheet, ...]:
    """Every part of a head as a section: core, coil, magnets, plates."""
    coil = head.coil
    core = [] if head.core is None else [PartSheet("core", 0.0, head.core.diameter / 2, -head.core.length, 0.0, head.core.steel or "")]
    wound = PartSheet("coil", coil.inner_diameter / 2, coil.outer_diameter / 2, -coil.bottom, -coil.top)
    return (*core, wound, *(_magnet(magnet) for magnet in head.magnets), *(_plate(plate) for plate in head.plates))


def _magnet(magnet: Magnet) -> PartSheet:
    """A magnet, or a stack of them."""
    radii = magnet.inner_diameter / 2, magnet.diameter / 2
    return PartSheet("magnet", *radii, -magnet.top - magnet.height, -magnet.top, magnet.grade or "", magnet.direction)


def _plate(plate: Plate) -> PartSheet:
    radii = plate.inner_diameter / 2, plate.diameter / 2
    return PartSheet("plate", *radii, -plate.top - plate.thickness, -plate.top, plate.steel or "")


def winding_sheet(head: RoundHead) -> WindingSheet:
    """Turns against the window, and the copper in it."""
    coil, copper = head.coil, head.coil.copper
    width, height = (coil.outer_diameter - coil.inner_diameter) / 2, coil.bottom - coil.top
    wound = winding(coil)
    return WindingSheet(
        turns=coil.turns,
        wire=coil.wire,
        bare_m=copper.diameter,
        overall_m=copper.overall_diameter,
        most_overall_m=copper.most_overall,
        window_width_m=width,
        window_height_m=height,
        closest_turns=turns_that_fit(copper.overall_diameter, width, height),
        certain_turns=turns_that_fit(copper.most_overall, width, height),
        filling=coil.turns * copper.overall_diameter**2 / (width * height),
        copper_share=coil.turns * copper.area / (width * height),
        wire_length_m=wound.length,
        copper_kg=wound.mass,
        mean_turn_m=pi * (coil.inner_diameter + coil.outer_diameter) / 2,
    )
