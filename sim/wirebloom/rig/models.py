"""A whole scenario: the rig on the bench, and what is done with it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from wirebloom.rig import dimensions
from wirebloom.rig.base import Table
from wirebloom.rig.fields import Number, Quantity, frequency_in, temperature_in
from wirebloom.rig.heads import AnyHead, Coupling
from wirebloom.rig.loops import Loop
from wirebloom.rig.plan import Run, Start
from wirebloom.rig.strings import String
from wirebloom.rig.supplies import AnySupply

ROOM_TEMPERATURE = 293.15


class Mains(Table):
    """Stray field of mains wiring and transformers at the heads, along their axes.

    Attributes
    ----------
    field : float
        Of the fundamental, rms, T.
    frequency : float
        Hz.
    harmonics : tuple of float
        Share of the 2nd, 3rd … harmonic in the field, of the fundamental.
    """

    field: Annotated[float, Quantity(dimensions.FLUX_DENSITY, "0 T", "1 mT")]
    frequency: Annotated[float, frequency_in("10 Hz", "1 kHz")] = 50.0
    harmonics: tuple[Annotated[float, Number(0, 10)], ...] = (0.1, 0.2, 0.05, 0.1)


class Room(Table):
    """Temperature of the room, and that at which the strings were tuned, K; and the mains' stray field, if any."""

    temperature: Annotated[float, temperature_in("-30 degC", "60 degC")] = ROOM_TEMPERATURE
    tuning_temperature: Annotated[float, temperature_in("-30 degC", "60 degC")] = ROOM_TEMPERATURE
    mains: Mains | None = None


class Bench(Table):
    """What stands on the bench."""

    title: str
    story: str = ""
    strings: Annotated[tuple[String, ...], Field(min_length=1)]
    heads: tuple[AnyHead, ...] = ()
    loops: tuple[Loop, ...] = ()
    supplies: tuple[AnySupply, ...] = ()
    couplings: tuple[Coupling, ...] = ()
    room: Room = Room()


class Scenario(Bench):
    """The file as it is written: format 1."""

    format: Literal[1]
    start: Start = Start()
    run: Run = Run()


class Rig(Bench):
    """What stands on the bench, and where it was written.

    Attributes
    ----------
    title, story : str
        For people.
    strings, heads, loops, supplies, couplings, room
        See their models.
    text : str
        The scenario as it was read.
    overrides : tuple of str
        Changes that came with it, ``path=value``.
    """

    text: str = Field(default="", exclude=True, repr=False)
    overrides: tuple[str, ...] = Field(default=(), exclude=True, repr=False)
