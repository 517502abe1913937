"""A head as a warm body: what its coil gives off to air and to what it sits on, and what heat it holds, both as ranges.

Low end of what is given off: the winding alone in still air that hardly moves, the head hanging free. High end: air that moves as it
likes, and the head seated on a board, G = 4 k a for a warm disc of radius a on a thick body. What is held lies between the copper
alone and the whole head.

Sources
-------
- Still air: `wirebloom.physics.heat`.
- Disc on a half-space: conduction shape factor S = 2 D (Incropera et al., Fundamentals of Heat and Mass Transfer, table 4.1, from memory);
  oak across its grain 0.17 W/(m K) (the same, appendix A, from memory).
- Copper 385 J/(kg K) (the same, from memory). Iron, ferrite, alnico and neodymium hold 3.3 to 3.6 MJ/(m³ K), plastics and enamel
  1.4 to 1.9 MJ/(m³ K) (from density and specific heat in handbooks, from memory).
"""

from __future__ import annotations

from math import pi
from typing import NamedTuple

from wirebloom.physics.coil import winding
from wirebloom.physics.heat import FILM, cooled_surface
from wirebloom.rig.heads import RoundHead

COPPER = 385.0  # J/(kg K)
METAL = 3.5e6  # J/(m³ K), magnets as well
PLASTIC = 1.6e6  # J/(m³ K)
WOOD = 0.17  # W/(m K)

Range = tuple[float, float]


class WarmBody(NamedTuple):
    """Low and high end of what a coil gives off (W/K) and holds (J/K)."""

    conductance: Range
    capacity: Range


def warm_body(head: RoundHead) -> WarmBody:
    """Thermal conductance and capacity of a head's coil.

    Parameters
    ----------
    head : RoundHead

    Returns
    -------
    WarmBody

    Examples
    --------
    >>> from wirebloom.rig import Coil, Core, RoundHead
    >>> coil = Coil(turns=420, wire="0.10 mm", inner_diameter=5.6e-3, outer_diameter=11.2e-3, top=0.5e-3, bottom=8.5e-3)
    >>> core = Core(diameter=5e-3, length=10e-3)
    >>> place = {"name": "drive", "string": "pier", "position": 0.2, "gap": 1e-3}
    >>> body = warm_body(RoundHead(**place, coil=coil, core=core, flange_diameter=11.2e-3, flange_recess=0.5e-3))
    >>> f"{1e3 * body.conductance[0]:.1f} to {1e3 * body.conductance[1]:.1f} mW/K, {body.capacity[0]:.2f} to {body.capacity[1]:.2f} J/K"
    '5.2 to 12.4 mW/K, 0.30 to 1.86 J/K'
    """
    coil = head.coil
    surface = cooled_surface(coil.inner_diameter, coil.outer_diameter, coil.bottom - coil.top)
    copper = winding(coil).mass * COPPER
    seat = 4.0 * WOOD * seat_radius(head)
    return WarmBody((FILM[0] * surface, FILM[1] * surface + seat), (copper, copper + _rest(head)))


def seat_radius(head: RoundHead) -> float:
    """Radius of the lowest part, on which the head sits, m."""
    core = [(head.core.length, head.core.diameter)] if head.core else []
    magnets = [(magnet.top + magnet.height, magnet.diameter) for magnet in head.magnets]
    plates = [(plate.top + plate.thickness, plate.diameter) for plate in head.plates]
    return max([(head.coil.bottom, head.coil.outer_diameter), *core, *magnets, *plates])[1] / 2.0


def _rest(head: RoundHead) -> float:
    """All of the head but its copper, J/K: enamel and former, core, magnets, plates."""
    coil, core = head.coil, head.core
    filled = core.diameter if core else 0.0
    former = ring(coil.outer_diameter, min(filled, coil.inner_diameter)) * (coil.bottom - coil.top) - _copper(head)
    metal = core.length * ring(core.diameter, 0.0) if core else 0.0
    metal += sum(magnet.height * ring(magnet.diameter, magnet.inner_diameter) for magnet in head.magnets)
    metal += sum(plate.thickness * ring(plate.diameter, plate.inner_diameter) for plate in head.plates)
    return PLASTIC * max(former, 0.0) + METAL * metal


def _copper(head: RoundHead) -> float:
    """Volume of the copper, m³."""
    return winding(head.coil).length * head.coil.copper.area


def ring(outer: float, inner: float) -> float:
    """Area between two diameters, m²."""
    return pi / 4.0 * (outer**2 - inner**2)
