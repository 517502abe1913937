"""A round head as what the field equations see: rectangles turned about the axis."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING, Literal

from wirebloom.physics.demagnetising import DemagnetisingCurve, demagnetising_curve

if TYPE_CHECKING:
    from wirebloom.rig.heads import RoundHead
    from wirebloom.rig.parts import Core, Magnet, Plate

Part = Literal["core", "coil", "magnet", "plate"]


@dataclass(frozen=True)
class Block:
    """A ring of rectangular section, coaxial with the head; z = 0 is the face plane, z > 0 towards the string.

    Attributes
    ----------
    inner, outer : float
        Radii, m.
    bottom, top : float
        Heights of the lower and the upper face, m (negative below the face plane).
    permeability : float
        Relative (recoil) permeability; of iron with a curve, that at small flux densities.
    remanence : float
        Along the axis, T; positive: the magnet's flux leaves its upper face.
    turns : int
        Windings of a coil that fills the section; 0 for iron and magnets.
    conductivity : float
        S/m, for eddy currents; 0 where none flow.
    part : {"core", "coil", "magnet", "plate"} or None
        What of the head it is.
    steel : tuple of (float, float) or None
        Magnetisation curve of iron, H (A/m) and B (T) from (0, 0) upwards; None: constant permeability.
    knee : DemagnetisingCurve or None
        Second quadrant of a magnet that is not a straight line.
    apart : bool
        Whether a magnet with a knee was magnetised on its own, before it came into the head.
    coercivity : float
        Demagnetising field at which the straight line of a magnet without a knee ends, A/m.
    """

    inner: float
    outer: float
    bottom: float
    top: float
    permeability: float = 1.0
    remanence: float = 0.0
    turns: int = 0
    conductivity: float = 0.0
    part: Part | None = None
    steel: tuple[tuple[float, float], ...] | None = None
    knee: DemagnetisingCurve | None = None
    apart: bool = True
    coercivity: float = float("inf")

    @property
    def section(self) -> float:
        """Area of the cross-section, m²."""
        return (self.outer - self.inner) * (self.top - self.bottom)

    @property
    def volume(self) -> float:
        """Volume of the ring, m³."""
        return pi * (self.outer**2 - self.inner**2) * (self.top - self.bottom)

    @property
    def edges(self) -> tuple[float, float, float, float]:
        """Inner and outer radius, bottom and top, m."""
        return self.inner, self.outer, self.bottom, self.top


def blocks_of(head: RoundHead) -> tuple[Block, ...]:
    """Blocks of a round head in its own frame: core, coil, magnets, plates.

    Parameters
    ----------
    head : RoundHead

    Returns
    -------
    tuple of Block
        In this order where present; a stack of magnets is one block.
    """
    coil = head.coil
    winding = Block(coil.inner_diameter / 2, coil.outer_diameter / 2, -coil.bottom, -coil.top, turns=coil.turns, part="coil")
    core = () if head.core is None else (_core(head.core),)
    return (*core, winding, *(_magnet(magnet) for magnet in head.magnets), *(_plate(plate) for plate in head.plates))


def _core(core: Core) -> Block:
    edges = 0.0, core.diameter / 2, -core.length, 0.0
    return Block(*edges, core.linear_permeability, conductivity=_conducting(core), part="core", steel=core.points)


def _plate(plate: Plate) -> Block:
    edges = plate.inner_diameter / 2, plate.diameter / 2, -plate.top - plate.thickness, -plate.top
    return Block(*edges, plate.linear_permeability, conductivity=_conducting(plate), part="plate", steel=plate.points)


def _conducting(iron: Core | Plate) -> float:
    return 1.0 / iron.resistivity if iron.solid else 0.0


def _magnet(magnet: Magnet) -> Block:
    data = magnet.data
    return Block(
        magnet.inner_diameter / 2,
        magnet.diameter / 2,
        -magnet.top - magnet.height,
        -magnet.top,
        data.recoil_permeability,
        data.remanence if magnet.direction == "up" else -data.remanence,
        conductivity=1.0 / data.resistivity,
        part="magnet",
        knee=None if data.curve is None else demagnetising_curve(data.curve, data.recoil_permeability),
        apart=magnet.magnetised == "apart",
        coercivity=data.coercivity,
    )
