"""The strings of a rig: what they are made of, how they are tuned and how they lose their motion."""

from __future__ import annotations

from typing import Annotated, NamedTuple, Self

from pydantic import model_validator

from wirebloom.rig import dimensions
from wirebloom.rig.base import Table
from wirebloom.rig.fields import Name, Number, Quantity, Reference, Whole, force_in, frequency_in, length_in, pitch_in, position_in, time_in
from wirebloom.rig.quantities import metres
from wirebloom.rig.sentences import refusal


class DecayTime(NamedTuple):
    """A measured decay: partial number and its T60, s."""

    partial: Annotated[int, Whole(1, 500)]
    t60: Annotated[float, time_in("1 ms", "1000 s")]


class Damping(Table):
    """How the partials die away when nothing feeds them.

    Attributes
    ----------
    air, viscoelastic, thermoelastic : bool
        Whether the loss is counted.
    support_q : float or None
        Quality factor of the loss into the supports, polarisation towards the heads; None for none.
    t60 : tuple of DecayTime
        Measured decay times (s) that override all of it, in rising order of partial.
    """

    air: bool = True
    viscoelastic: bool = True
    thermoelastic: bool = True
    support_q: Annotated[float, Number(10, 1e9)] | None = 6000.0
    t60: tuple[DecayTime, ...] = ()

    @model_validator(mode="after")
    def _rising(self) -> Self:
        partials = [entry.partial for entry in self.t60]
        if partials != sorted(set(partials)):
            raise refusal("a list in rising order of partial, each once", partials, key="t60")
        return self


class Sideways(Table):
    """How the polarisation across the heads differs: frequency shift (cent) and its own support loss."""

    detune: Annotated[float, Quantity(dimensions.INTERVAL, "-100 cent", "100 cent")] = 0.5
    support_q: Annotated[float, Number(10, 1e9)] | None = 3000.0


class PointDamper(Table):
    """A finger or a felt on the string: place (m), resistance (N s/m), from when to when (s; None: to the end)."""

    position: Annotated[float, position_in("0 mm", "5 m")]
    resistance: Annotated[float, Quantity(dimensions.DASHPOT, "0 kg/s", "1000 kg/s")]
    start: Annotated[float, time_in("0 s", "600 s")] = 0.0
    end: Annotated[float, time_in("0 s", "600 s")] | None = None

    @model_validator(mode="after")
    def _ends_after_start(self) -> Self:
        if self.end is not None and self.end <= self.start:
            raise refusal(f"later than start ({self.start:g} s)", f"{self.end:g} s", key="end")
        return self


class Magnetism(Table):
    """Measured magnetism of the string's steel, over that of its material.

    Attributes
    ----------
    susceptibility : float or None
        Anhysteretic, at small fields.
    reversible : float or None
        Of small changes about a state of rest, at small magnetisation.
    saturation : float or None
        Saturation polarisation, T.
    """

    susceptibility: Annotated[float, Number(1, 5000)] | None = None
    reversible: Annotated[float, Number(1, 5000)] | None = None
    saturation: Annotated[float, Quantity(dimensions.FLUX_DENSITY, "0.1 T", "2.5 T")] | None = None


class String(Table):
    """One string, bridge end at x = 0.

    Attributes
    ----------
    name : str
        Its name.
    material : str
        A name of :data:`wirebloom.rig.materials.MATERIALS`.
    diameter, core_diameter : float
        Outer diameter and, for a wound string only, that of the core, m.
    length : float
        Speaking length, m.
    pitch, tension : float or None
        Exactly one of them: frequency of partial 1 (Hz) or tension (N).
    partials_to : float
        Partials are kept up to this frequency, Hz.
    damping, sideways, dampers, magnetism
        See :class:`Damping`, :class:`Sideways`, :class:`PointDamper`, :class:`Magnetism`.
    """

    name: Annotated[str, Name()]
    material: Annotated[str, Reference("material")]
    diameter: Annotated[float, length_in("0.05 mm", "3 mm")]
    core_diameter: Annotated[float, length_in("0.05 mm", "3 mm")] | None = None
    length: Annotated[float, length_in("50 mm", "5 m")]
    pitch: Annotated[float, pitch_in("10 Hz", "5 kHz")] | None = None
    tension: Annotated[float, force_in("0.1 N", "5 kN")] | None = None
    partials_to: Annotated[float, frequency_in("200 Hz", "40 kHz")] = 10_000.0
    damping: Damping = Damping()
    sideways: Sideways = Sideways()
    dampers: tuple[PointDamper, ...] = ()
    magnetism: Magnetism | None = None

    @model_validator(mode="after")
    def _tuned_once(self) -> Self:
        if self.pitch is None and self.tension is None:
            raise refusal("given, or tension instead of it", "neither", key="pitch")
        if self.pitch is not None and self.tension is not None:
            raise refusal("left out when tension is given", "both", key="pitch")
        return self

    @model_validator(mode="after")
    def _core_within(self) -> Self:
        if self.core_diameter is not None and self.core_diameter >= self.diameter:
            raise refusal(f"less than diameter ({metres(self.diameter)})", metres(self.core_diameter), key="core_diameter")
        return self
