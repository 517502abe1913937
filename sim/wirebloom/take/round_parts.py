"""The parts of a round head as sections, for whoever draws or lists them."""

from __future__ import annotations

from wirebloom.rig import RoundHead
from wirebloom.rig.iron import Plate
from wirebloom.rig.permanent import Magnet
from wirebloom.take.head_parts import PartSheet


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
