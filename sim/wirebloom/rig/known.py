"""What is known of a finished head: measured values, and how far its parts may be off."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import model_validator

from wirebloom.rig import dimensions
from wirebloom.rig.base import Table
from wirebloom.rig.fields import Number, Quantity, Reference, force_in, length_in
from wirebloom.rig.sentences import refusal


class Measured(Table):
    """What was measured on the finished head; each value given narrows the band of what is computed.

    Attributes
    ----------
    string : str or None
        String over which pull or force factor were measured; None for the head's first.
    gap : float or None
        Gap at which they were measured, m; None for the gap at which the string stands.
    pull : float or None
        Static pull on the string, weighed, N.
    force_factor : float or None
        Force per ampere, or volts per speed of the string, N/A.
    face_field : float or None
        Flux density of the magnets on the head's axis, without a string, T.
    height : float
        Of the probe's sensitive spot above the face, m.
    accuracy : float
        Relative standard error of each of these.
    """

    string: Annotated[str, Reference("string")] | None = None
    gap: Annotated[float, length_in("0.05 mm", "12 mm")] | None = None
    pull: Annotated[float, force_in("1 uN", "100 N")] | None = None
    force_factor: Annotated[float, Quantity(dimensions.FORCE_FACTOR, "1 uN/A", "100 N/A")] | None = None
    face_field: Annotated[float, Quantity(dimensions.FLUX_DENSITY, "-2 T", "2 T")] | None = None
    height: Annotated[float, length_in("0.1 mm", "12 mm")] = 1e-3
    accuracy: Annotated[float, Number(0.001, 0.5)] = 0.05

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if self.pull is None and self.force_factor is None and self.face_field is None:
            raise refusal("given (or force_factor, or face_field)", "none of them", key="pull")
        return self


class Tolerance(Table):
    """How far a head as built may be off, as the standard deviation a maker would state: gap (m), shares of turns and remanence.

    A remanence of None stands for the range of the magnets' grade, or 0.1 where only a remanence is given.
    """

    gap: Annotated[float, length_in("0 mm", "2 mm")] = 1e-4
    turns: Annotated[float, Number(0, 0.5)] = 0.02
    remanence: Annotated[float, Number(0, 0.5)] | None = None
