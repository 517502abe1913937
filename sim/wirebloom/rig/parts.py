"""The parts of a round head: its winding, what its face is like, and the soft and permanent parts of other modules."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from wirebloom.rig import dimensions
from wirebloom.rig.base import Table
from wirebloom.rig.enamels import ENAMELS, USUAL
from wirebloom.rig.fields import Number, OneOf, Quantity, Whole, inductance_in, resistance_in
from wirebloom.rig.iron import Core, Depth, Diameter, Plate
from wirebloom.rig.permanent import Magnet
from wirebloom.rig.quantities import metres
from wirebloom.rig.sentences import refusal
from wirebloom.rig.wires import Copper, CopperWire, wire

__all__ = ["Coil", "Core", "Face", "Magnet", "Plate"]


class Coil(Table):
    """A winding: turns of a copper wire in a window of rectangular section.

    Attributes
    ----------
    turns : int
        Number of turns.
    wire : str
        Bare diameter such as ``0.10 mm``, or gauge such as ``AWG 38``.
    inner_diameter, outer_diameter : float
        Of the window, m.
    top, bottom : float
        Depths of the window below the face plane, m.
    resistance, inductance : float or None
        Measured values (ohm at 20 °C, H without a string) that override the computed ones.
    enamel : str
        Thermal class of the wire, a name of :data:`wirebloom.rig.enamels.ENAMELS`. No part of what a dump holds: no field depends on it.
    """

    turns: Annotated[int, Whole(1, 100_000)]
    wire: Annotated[str, Copper()]
    inner_diameter: Diameter
    outer_diameter: Diameter
    top: Depth
    bottom: Depth
    resistance: Annotated[float, resistance_in("0.01 ohm", "100 kohm")] | None = None
    inductance: Annotated[float, inductance_in("1 uH", "100 H")] | None = None
    enamel: Annotated[str, OneOf("thermal class", tuple(ENAMELS)), Field(exclude=True)] = USUAL

    @property
    def copper(self) -> CopperWire:
        """The wire's diameters and resistance per length."""
        return wire(self.wire)

    @model_validator(mode="after")
    def _has_a_window(self) -> Self:
        if self.outer_diameter <= self.inner_diameter:
            raise refusal(f"more than inner_diameter ({metres(self.inner_diameter)})", metres(self.outer_diameter), key="outer_diameter")
        if self.bottom <= self.top:
            raise refusal(f"more than top ({metres(self.top)})", metres(self.bottom), key="bottom")
        return self


class Face(Table):
    """What the string meets when it touches: F = stiffness · δ^exponent · (1 + loss · δ̇), N/m^exponent and s/m."""

    stiffness: Annotated[float, Quantity(dimensions.FACE_STIFFNESS, "100 N/m^1.5", "1e11 N/m^1.5")] = 1e7
    exponent: Annotated[float, Number(1, 3)] = 1.5
    loss: Annotated[float, Quantity(dimensions.IMPACT_LOSS, "0 s/m", "10 s/m")] = 0.3
