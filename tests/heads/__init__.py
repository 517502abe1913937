"""Heads that several magnetic tests share."""

from functools import cache
from math import pi

from wirebloom.physics.fem import Solution, solve_head
from wirebloom.physics.field import HeadField, field_above
from wirebloom.physics.geometry import Block, blocks_of
from wirebloom.physics.head_table import HeadTable, head_table
from wirebloom.rig.heads import MeasuredHead, RoundHead
from wirebloom.rig.magnetism import Magnetism

MU0 = 4e-7 * pi
WIRE = 0.38e-3


def steel(susceptibility: float = 100.0, saturation: float = 1.7 / MU0, reversible: float | None = None) -> Magnetism:
    """Steel of the prototype's wire, chi 100 and 1.7 T, or another; small changes follow the bias curve unless said otherwise."""
    reversible = susceptibility if reversible is None else reversible
    ranges = ((v / 2, 2 * v) for v in (susceptibility, reversible, saturation))
    return Magnetism(susceptibility, reversible, saturation, *ranges)


def prototype_head(**changes):
    """Core 5 x 10 mm, 420 turns of 0.10 mm, one ferrite disc 8 x 3 mm behind the core."""
    parts = {
        "core": {"diameter": 5e-3, "length": 10e-3, "permeability": 1000.0},
        "coil": {"turns": 420, "wire": "0.10 mm", "inner_diameter": 5.6e-3, "outer_diameter": 11.2e-3, "top": 0.5e-3, "bottom": 8.5e-3},
        "magnets": [{"shape": "disc", "diameter": 8e-3, "thickness": 3e-3, "remanence": 0.38, "recoil_permeability": 1.0}],
    }
    return RoundHead(name="proto", string="g", position=0.1, gap=1e-3, **{**parts, **changes})


def measured_head(**curve):
    """A head with a measured curve or law."""
    sizes = {"resistance": 10.0, "inductance": 1e-3, "face_diameter": 5e-3, "aperture": 5e-3}
    return MeasuredHead(name="bench", string="g", position=0.1, gap=1e-3, **sizes, **curve)


@cache
def prototype_table(offset: float = 0.0) -> HeadTable:
    """Table of the prototype, computed once a session."""
    return head_table(prototype_head(), WIRE, steel(), offset)


@cache
def solved(*blocks: Block, finest: float = 4e-5, coarsest: float | None = None) -> tuple[Solution, HeadField]:
    """Finite elements of some blocks and the field above them, computed once a session."""
    solution = solve_head(blocks, finest, coarsest)
    return solution, field_above(solution)


def prototype_blocks() -> tuple[Block, ...]:
    """The prototype's core, coil and magnet."""
    return blocks_of(prototype_head())
