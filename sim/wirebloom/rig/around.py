"""What lies around a loop's amplifier: at its input, between its output and the drive coils, and the phase network."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from wirebloom.rig.base import Table
from wirebloom.rig.fields import capacitance_in, frequency_in, resistance_in
from wirebloom.rig.sentences import refusal


class Input(Table):
    """What hangs on the sense coils ahead of the first stage.

    Attributes
    ----------
    coil_capacitance : float
        The sense coils' own and their cable's, F.
    resistor : float or None
        Load across the sense coils, ohm.
    """

    coil_capacitance: Annotated[float, capacitance_in("0 F", "1 uF")] = 30e-12
    resistor: Annotated[float, resistance_in("10 ohm", "1e12 ohm")] | None = None


class Snubber(Table):
    """Resistor (ohm) and capacitor (F) in series from a power stage's output to ground, which keep it from oscillating."""

    resistor: Annotated[float, resistance_in("0.1 ohm", "10 kohm")]
    capacitor: Annotated[float, capacitance_in("100 pF", "100 uF")]


class Output(Table):
    """What lies between the amplifier and the drive coils.

    Attributes
    ----------
    capacitor : float or None
        Series capacitor (F), or None for a direct connection.
    level_resistor : float
        In series with the drive coils, ohm; with stages only.
    snubber : Snubber or None
        At the last stage's output; with stages only.
    """

    capacitor: Annotated[float, capacitance_in("10 nF", "1 F")] | None = None
    level_resistor: Annotated[float, resistance_in("0 ohm", "100 kohm")] = 0.0
    snubber: Snubber | None = None


class Phase(Table):
    """Phase network: a capacitor in series with the drive coils, or an idealised quarter-period lead or lag at one frequency."""

    kind: Literal["none", "series capacitor", "ideal lead", "ideal lag"] = "none"
    capacitor: Annotated[float, capacitance_in("10 nF", "1 F")] | None = None
    frequency: Annotated[float, frequency_in("10 Hz", "20 kHz")] | None = None

    @model_validator(mode="after")
    def _complete(self) -> Self:
        wanted = {"series capacitor": "capacitor", "ideal lead": "frequency", "ideal lag": "frequency"}.get(self.kind)
        for key in ("capacitor", "frequency"):
            given = getattr(self, key) is not None
            if given != (key == wanted):
                verb = "left out" if given else "given"
                raise refusal(f'{verb} when kind is "{self.kind}"', getattr(self, key) if given else "nothing", key=key)
        return self
