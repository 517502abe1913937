"""The soft parts of a round head: core and plates."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import model_validator

from wirebloom.rig import dimensions
from wirebloom.rig.base import Table
from wirebloom.rig.curves import Curve, check_magnetisation
from wirebloom.rig.fields import Number, OneOf, Quantity, length_in
from wirebloom.rig.quantities import metres
from wirebloom.rig.sentences import refusal
from wirebloom.rig.steels import STEELS, Points, permeability_of

Diameter = Annotated[float, length_in("0.2 mm", "100 mm")]
Hole = Annotated[float, length_in("0 mm", "100 mm")]
Depth = Annotated[float, length_in("0 mm", "100 mm")]
Thickness = Annotated[float, length_in("0.1 mm", "100 mm")]
Permeability = Annotated[float, Number(1, 1e5)]
Steel = Annotated[str, OneOf("steel", tuple(STEELS))]
Resistivity = Annotated[float, Quantity(dimensions.RESISTIVITY, "10 nohm m", "1 ohm m")]
MILD_STEEL = 1.4e-7  # Ω m: handbook value of mild steel, from memory


class Iron(Table):
    """What a soft part is made of.

    Attributes
    ----------
    permeability : float
        Relative.
    steel : str or None
        A name of :data:`wirebloom.rig.steels.STEELS`, whose curve tells where it saturates; goes before a permeability.
    curve : tuple of CurvePoint
        Its own magnetisation curve; goes before a steel.
    resistivity : float
        Ω m; of mild steel by default.
    solid : bool
        Whether eddy currents flow in it; not in ferrite, powder or a bundle of insulated wires.
    """

    permeability: Permeability = 1000.0
    steel: Steel | None = None
    curve: Curve = ()
    resistivity: Resistivity = MILD_STEEL
    solid: bool = True

    @property
    def points(self) -> Points | None:
        """Its magnetisation curve, if one is known."""
        return _points(self.steel, self.curve)

    @property
    def linear_permeability(self) -> float:
        """One permeability for small flux densities, from the curve if there is one."""
        return self.permeability if self.points is None else permeability_of(self.points)

    @model_validator(mode="after")
    def _a_possible_curve(self) -> Self:
        if self.curve:
            check_magnetisation(self.curve)
        return self


class Core(Iron):
    """A soft round core, its top in the face plane: diameter and length, m."""

    diameter: Diameter
    length: Annotated[float, length_in("0.5 mm", "100 mm")]


class Plate(Iron):
    """A soft disc or ring behind a head or around it.

    Attributes
    ----------
    diameter, inner_diameter, thickness : float
        Size, m.
    top : float
        Depth of its upper face below the face plane, m.
    """

    diameter: Diameter
    inner_diameter: Hole = 0.0
    thickness: Thickness
    top: Depth

    @model_validator(mode="after")
    def _a_ring_has_a_hole(self) -> Self:
        if self.inner_diameter >= self.diameter:
            raise refusal(f"less than diameter ({metres(self.diameter)})", metres(self.inner_diameter), key="inner_diameter")
        return self


def _points(steel: str | None, curve: Curve) -> Points | None:
    if curve:
        return tuple((point.field, point.flux_density) for point in curve)
    return None if steel is None else STEELS[steel]
