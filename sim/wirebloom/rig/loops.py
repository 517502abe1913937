"""The loops of a rig: sense coils, an amplifier, a phase network, drive coils."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from wirebloom.rig import dimensions
from wirebloom.rig.base import Table
from wirebloom.rig.fields import Name, Number, Quantity, Reference, capacitance_in, frequency_in, resistance_in, voltage_in
from wirebloom.rig.sentences import refusal

HeadName = Annotated[str, Reference("head")]


class Amplifier(Table):
    """An amplifier with one gain, one bandwidth, a slew limit and an output that stops at its swing.

    Attributes
    ----------
    gain : float
        Open or closed, as the circuit has it.
    gain_bandwidth : float
        Product of gain and bandwidth, Hz.
    slew : float
        Fastest change of the output, V/s.
    supply : float
        V; the whole of it for ``single``, each half for ``split``.
    supply_kind : {"single", "split"}
        A single supply rests at half of it.
    headroom : float
        What the output stays away from either rail, V.
    polarity : {"normal", "reversed"}
        Connection of the drive coils.
    input_resistance, input_capacitance, coil_capacitance : float
        Load of the sense coil and its own capacitance, ohm and F.
    noise : float
        Input voltage noise, V/√Hz.
    input_offset : float
        V.
    output_resistance, level_resistor : float
        In series with the drive coils, ohm.
    quiescent_current : float
        Drawn without a signal, A.
    """

    gain: Annotated[float, Number(0.1, 1e9)]
    gain_bandwidth: Annotated[float, frequency_in("1 kHz", "10 GHz")]
    slew: Annotated[float, Quantity(dimensions.SLEW_RATE, "1 V/s", "10000 V/us")]
    supply: Annotated[float, voltage_in("0.5 V", "100 V")]
    supply_kind: Literal["single", "split"]
    headroom: Annotated[float, voltage_in("0 V", "20 V")] = 1.5
    polarity: Literal["normal", "reversed"] = "normal"
    input_resistance: Annotated[float, resistance_in("10 ohm", "1e12 ohm")] = 10e6
    input_capacitance: Annotated[float, capacitance_in("1 pF", "1 uF")] = 100e-12
    coil_capacitance: Annotated[float, capacitance_in("0 F", "1 uF")] = 30e-12
    noise: Annotated[float, Quantity(dimensions.NOISE, "0 V/rtHz", "10 uV/rtHz")] = 10e-9
    input_offset: Annotated[float, voltage_in("-100 mV", "100 mV")] = 0.0
    output_resistance: Annotated[float, resistance_in("0 ohm", "10 kohm")] = 0.5
    level_resistor: Annotated[float, resistance_in("0 ohm", "100 kohm")] = 0.0
    quiescent_current: Annotated[float, Quantity(dimensions.CURRENT, "0 A", "10 A")] = 0.005


class Output(Table):
    """Output coupling: a series capacitor (F), or None for a direct connection."""

    capacitor: Annotated[float, capacitance_in("10 nF", "1 F")] | None = None


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


class Loop(Table):
    """One loop: sense heads in series, amplifier, phase network, drive heads in series."""

    name: Annotated[str, Name()]
    sense: tuple[HeadName, ...]
    drive: tuple[HeadName, ...]
    amplifier: Amplifier
    output: Output = Output()
    phase: Phase = Phase()

    @model_validator(mode="after")
    def _has_both_ends(self) -> Self:
        for key, heads in (("sense", self.sense), ("drive", self.drive)):
            if not heads:
                raise refusal("a list of at least one head", "an empty list", key=key)
        return self
