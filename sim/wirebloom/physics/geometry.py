"""A round head as what the field equations see: rectangles turned about the axis."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wirebloom.rig.heads import RoundHead


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
        Relative (recoil) permeability.
    remanence : float
        Along the axis, T; positive: the magnet's flux leaves its upper face.
    turns : int
        Windings of a coil that fills the section; 0 for iron and magnets.
    """

    inner: float
    outer: float
    bottom: float
    top: float
    permeability: float = 1.0
    remanence: float = 0.0
    turns: int = 0

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
    """Blocks of a round head in its own frame: core, coil, magnets.

    Parameters
    ----------
    head : RoundHead

    Returns
    -------
    tuple of Block
        In this order where present: core, coil, magnets.
    """
    blocks = []
    if head.core is not None:
        core = head.core
        blocks.append(Block(0.0, core.diameter / 2, -core.length, 0.0, permeability=core.permeability))
    coil = head.coil
    blocks.append(Block(coil.inner_diameter / 2, coil.outer_diameter / 2, -coil.bottom, -coil.top, turns=coil.turns))
    for magnet in head.magnets:
        remanence = magnet.remanence if magnet.direction == "up" else -magnet.remanence
        radii = magnet.inner_diameter / 2, magnet.diameter / 2
        blocks.append(Block(*radii, -magnet.top - magnet.thickness, -magnet.top, magnet.recoil_permeability, remanence))
    return tuple(blocks)
