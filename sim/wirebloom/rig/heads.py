"""The heads of a rig: a coil, with a core and magnets or as a measured curve, and the strings it stands under."""

from __future__ import annotations

from typing import Annotated, Any, Literal, NamedTuple, Self

from pydantic import Field, model_validator

from wirebloom.rig import dimensions
from wirebloom.rig.base import Table
from wirebloom.rig.depths import fill_depths
from wirebloom.rig.fields import Field as Wanted
from wirebloom.rig.fields import Name, Quantity, Reference, capacitance_in, force_in, inductance_in, length_in, position_in, resistance_in
from wirebloom.rig.known import Measured, Tolerance
from wirebloom.rig.parts import Coil, Core, Face, Magnet, Plate
from wirebloom.rig.sentences import refusal

Gap = Annotated[float, length_in("0.05 mm", "12 mm")]
Factor = Annotated[float, Quantity(dimensions.FORCE_FACTOR, "0 N/A", "100 N/A")]
Pull = Annotated[float, force_in("0 N", "100 N")]
Offset = Annotated[float, length_in("-10 mm", "10 mm")]
Along = Annotated[float, position_in("0 mm", "5 m")]


class Place(Table):
    """Where a head stands: string, position from the bridge end, gap to the string's surface, sideways offset (m)."""

    string: Annotated[str, Reference("string")]
    position: Along
    gap: Gap
    offset: Offset = 0.0


class Head(Table):
    """What every head has, however its force is known.

    Attributes
    ----------
    name : str
        Its name.
    string, position, gap, offset
        Short form for a head under one string, see :class:`Place`.
    over : tuple of Place
        Long form for a head under several strings.
    like : str or None
        Head whose build was copied.
    reversed : bool
        Winding (or connection) the other way round.
    contact : Face
        What the string meets when it touches.
    """

    name: Annotated[str, Name()]
    kind: str
    string: Annotated[str, Reference("string")] | None = None
    position: Along | None = None
    gap: Gap | None = None
    offset: Offset = 0.0
    over: tuple[Place, ...] = ()
    like: Annotated[str, Reference("head")] | None = None
    reversed: bool = False
    contact: Face = Face()

    @property
    def places(self) -> tuple[Place, ...]:
        """Every place where this head stands, from the short form or the long one."""
        if self.string is None or self.position is None or self.gap is None:
            return self.over
        return (Place(string=self.string, position=self.position, gap=self.gap, offset=self.offset),)

    @property
    def outer_radius(self) -> float:
        """Half of the widest part, m."""
        raise NotImplementedError

    @model_validator(mode="after")
    def _placed_once(self) -> Self:
        short = {"string": self.string, "position": self.position, "gap": self.gap}
        for key, value in short.items():
            if self.over and value is not None:
                raise refusal("left out when over is given", "both", key=key)
            if not self.over and value is None:
                field = Place.model_fields[key].metadata[0]
                what = field.wanted() if isinstance(field, Wanted) else key
                raise refusal(f"given, {what} (or over, for several strings)", "nothing", key=key)
        if len({place.string for place in self.over}) < len(self.over):
            raise refusal("a list with each string once", [place.string for place in self.over], key="over")
        return self


class RoundHead(Head):
    """A head of round parts about one axis. Depths count downwards from the face plane.

    Attributes
    ----------
    core : Core or None
        Soft core; its top is the face plane.
    coil : Coil
        The winding.
    magnets : tuple of Magnet
        Permanent magnets.
    plates : tuple of Plate
        Soft discs and rings behind the rest or around it.
    flange_diameter, flange_recess : float
        The flat part around the core that a string can also meet, and how far below the face it lies, m.
    measured : Measured or None
        What was measured on the finished head.
    tolerance : Tolerance
        How far it may be off.
    """

    kind: Literal["round"] = "round"
    core: Core | None = None
    coil: Coil
    magnets: tuple[Magnet, ...] = ()
    plates: tuple[Plate, ...] = ()
    flange_diameter: Annotated[float, length_in("0.5 mm", "100 mm")]
    flange_recess: Annotated[float, length_in("0 mm", "60 mm")]
    measured: Measured | None = None
    tolerance: Tolerance = Tolerance()

    @model_validator(mode="before")
    @classmethod
    def _depths(cls, data: Any) -> Any:
        return fill_depths(data) if isinstance(data, dict) else data

    @property
    def face_radius(self) -> float:
        """Radius of the part whose top is the face plane, m."""
        if self.core is not None:
            return self.core.diameter / 2.0
        at_face = [magnet.diameter for magnet in self.magnets if magnet.top == 0.0]
        return max(at_face, default=self.flange_diameter) / 2.0

    @property
    def outer_radius(self) -> float:
        """Half of the widest part, m."""
        core = self.core.diameter if self.core else 0.0
        magnets, plates = (magnet.diameter for magnet in self.magnets), (plate.diameter for plate in self.plates)
        return max(core, self.coil.outer_diameter, self.flange_diameter, *magnets, *plates) / 2.0

    @model_validator(mode="after")
    def _directions_told(self) -> Self:
        for index, magnet in enumerate(self.magnets):
            if len(self.magnets) > 1 and "direction" not in magnet.model_fields_set:
                what = "given, 'up' or 'down', where a head has several magnets"
                raise refusal(what, "nothing", key=f"magnets[{index}].direction")
        return self


class Point(NamedTuple):
    """One measured point: gap (m), force factor (N/A), static pull (N)."""

    gap: Gap
    factor: Factor
    pull: Pull


class Law(Table):
    """One measured point and how fast the field falls off: factor(g) = factor · exp(−(g − gap)/decay_length)."""

    gap: Gap
    factor: Factor
    pull: Pull
    decay_length: Annotated[float, length_in("0.1 mm", "50 mm")]


class MeasuredHead(Head):
    """A head known by measurement.

    Attributes
    ----------
    points : tuple of Point
        Measured curve, in rising order of gap; or
    law : Law
        one point with a law.
    resistance, inductance : float
        Of the coil without a string, ohm and H.
    face_diameter, aperture : float
        Face that a string can meet, and length of string that the head looks at, m.
    dipole : float or None
        Far-field moment per current, m²; None: no computed crosstalk.
    """

    kind: Literal["measured"] = "measured"
    points: tuple[Point, ...] = ()
    law: Law | None = None
    resistance: Annotated[float, resistance_in("0.01 ohm", "100 kohm")]
    inductance: Annotated[float, inductance_in("1 uH", "100 H")]
    face_diameter: Annotated[float, length_in("0.5 mm", "100 mm")]
    aperture: Annotated[float, length_in("0.1 mm", "100 mm")]
    dipole: Annotated[float, Quantity(dimensions.DIPOLE, "0 m2", "100 m2")] | None = None

    @property
    def face_radius(self) -> float:
        """Radius of the face, m."""
        return self.face_diameter / 2.0

    @property
    def outer_radius(self) -> float:
        """Half of the widest part, m."""
        return self.face_diameter / 2.0

    @model_validator(mode="after")
    def _one_curve(self) -> Self:
        if (self.law is None) == (not self.points):
            raise refusal("given, or law instead of it", "neither" if self.law is None else "both", key="points")
        gaps = [point.gap for point in self.points]
        if self.points and (len(gaps) < 3 or gaps != sorted(set(gaps))):
            raise refusal("a list of at least 3 points in rising order of gap", gaps, key="points")
        return self


AnyHead = Annotated[RoundHead | MeasuredHead, Field(discriminator="kind")]


class Coupling(Table):
    """How two heads' coils reach one another.

    Attributes
    ----------
    heads : (str, str)
    mutual : float or None
        Mutual inductance, H; None: computed from their far fields.
    capacitance : float or None
        Between the live ends of their coils and leads, F; None: none.
    """

    heads: tuple[Annotated[str, Reference("head")], Annotated[str, Reference("head")]]
    mutual: Annotated[float, Quantity(dimensions.INDUCTANCE, "-1 H", "1 H")] | None = None
    capacitance: Annotated[float, capacitance_in("0.001 pF", "1 uF")] | None = None

    @model_validator(mode="after")
    def _two(self) -> Self:
        if self.heads[0] == self.heads[1]:
            raise refusal("the names of two heads", list(self.heads), key="heads")
        if self.mutual is None and self.capacitance is None:
            raise refusal("given, or capacitance in its place", "nothing", key="mutual")
        return self
