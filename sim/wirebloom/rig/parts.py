"""The parts of a round head."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import model_validator

from wirebloom.rig import dimensions
from wirebloom.rig.base import Table
from wirebloom.rig.fields import Number, Quantity, Whole, inductance_in, length_in, resistance_in
from wirebloom.rig.quantities import metres
from wirebloom.rig.sentences import refusal
from wirebloom.rig.wires import Copper, CopperWire, wire

Diameter = Annotated[float, length_in("0.2 mm", "100 mm")]
Depth = Annotated[float, length_in("0 mm", "100 mm")]


class Core(Table):
    """A soft round core, its top in the face plane: diameter and length (m), relative permeability."""

    diameter: Diameter
    length: Annotated[float, length_in("0.5 mm", "100 mm")]
    permeability: Annotated[float, Number(1, 1e5)] = 1000.0


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
    """

    turns: Annotated[int, Whole(1, 100_000)]
    wire: Annotated[str, Copper()]
    inner_diameter: Diameter
    outer_diameter: Diameter
    top: Depth
    bottom: Depth
    resistance: Annotated[float, resistance_in("0.01 ohm", "100 kohm")] | None = None
    inductance: Annotated[float, inductance_in("1 uH", "100 H")] | None = None

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


class Magnet(Table):
    """A permanent magnet, magnetised along the axis.

    Attributes
    ----------
    shape : {"disc", "ring", "rod"}
        What it is called; only a ring has an ``inner_diameter``.
    diameter, inner_diameter, thickness : float
        Size, m.
    top : float
        Depth of its upper face below the face plane, m.
    remanence : float
        B_r, T.
    recoil_permeability : float
        Relative.
    direction : {"up", "down"}
        Of its magnetisation; up is towards the string.
    """

    shape: Literal["disc", "ring", "rod"]
    diameter: Diameter
    inner_diameter: Annotated[float, length_in("0 mm", "100 mm")] = 0.0
    thickness: Annotated[float, length_in("0.1 mm", "100 mm")]
    top: Depth
    remanence: Annotated[float, Quantity(dimensions.FLUX_DENSITY, "0.01 T", "1.6 T")]
    recoil_permeability: Annotated[float, Number(1, 10)] = 1.05
    direction: Literal["up", "down"] = "up"

    @model_validator(mode="after")
    def _a_ring_has_a_hole(self) -> Self:
        if self.shape == "ring" and not 0.0 < self.inner_diameter < self.diameter:
            raise refusal(f"between 0 and diameter ({metres(self.diameter)}) for a ring", metres(self.inner_diameter), key="inner_diameter")
        if self.shape != "ring" and self.inner_diameter:
            raise refusal(f"left out for a {self.shape}", metres(self.inner_diameter), key="inner_diameter")
        return self


class Face(Table):
    """What the string meets when it touches: F = stiffness · δ^exponent · (1 + loss · δ̇), N/m^exponent and s/m."""

    stiffness: Annotated[float, Quantity(dimensions.FACE_STIFFNESS, "100 N/m^1.5", "1e11 N/m^1.5")] = 1e7
    exponent: Annotated[float, Number(1, 3)] = 1.5
    loss: Annotated[float, Quantity(dimensions.IMPACT_LOSS, "0 s/m", "10 s/m")] = 0.3


def fill_depths(head: dict[str, Any]) -> dict[str, Any]:
    """Give magnets without a depth the one behind the core, and the flange that of the coil.

    Parameters
    ----------
    head : dict
        A round head as written, values in words or in SI alike.

    Returns
    -------
    dict
        A copy with the defaults filled in; what cannot be filled in is left to be refused by name.
    """
    core, coil, magnets = head.get("core"), head.get("coil"), head.get("magnets")
    filled = dict(head)
    behind = _behind(core, coil)
    if isinstance(magnets, (tuple, list)) and behind is not None:
        filled["magnets"] = tuple({"top": behind, **magnet} if isinstance(magnet, dict) else magnet for magnet in magnets)
    for key, source in (("flange_diameter", "outer_diameter"), ("flange_recess", "top")):
        value = coil.get(source) if isinstance(coil, dict) else getattr(coil, source, None)
        if value is not None:
            filled.setdefault(key, value)
    return filled


def _behind(core: Any, coil: Any) -> Any:
    """Depth just behind the core, or behind the coil if there is no core."""
    part, key = (core, "length") if core is not None else (coil, "bottom")
    return part.get(key) if isinstance(part, dict) else getattr(part, key, None)
