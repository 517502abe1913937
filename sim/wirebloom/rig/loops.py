"""The loops of a rig: sense coils, a plain amplifier or one composed of stages, a phase network, drive coils."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from wirebloom.rig import dimensions
from wirebloom.rig.around import Input, Output, Phase, Snubber
from wirebloom.rig.base import Table
from wirebloom.rig.fields import Name, Number, Quantity, Reference, capacitance_in, frequency_in, resistance_in, voltage_in
from wirebloom.rig.sentences import refusal
from wirebloom.rig.stages import AnyStage

__all__ = ["Amplifier", "Input", "Loop", "Output", "Phase", "Snubber"]

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
    supply : float or None
        V; the whole of it for ``single``, each half for ``split``. None where the loop names its supply.
    supply_kind : {"single", "split"} or None
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
    supply: Annotated[float, voltage_in("0.5 V", "100 V")] | None = None
    supply_kind: Literal["single", "split"] | None = None
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


class Loop(Table):
    """One loop: sense heads in series, amplifier, phase network, drive heads in series.

    Attributes
    ----------
    name : str
    sense, drive : tuple of str
        Heads in series.
    amplifier : Amplifier or None
        A plain one; else the loop has stages.
    stages : tuple of OpAmp, PowerChip, Buffer and Link
        Blocks in a row from the sense coils to the drive coils; the last is an active one.
    supply : str or None
        Name of the supply that feeds it; None for a plain amplifier with a supply of its own.
    input : Input
        With stages only.
    output, phase
        See there.
    """

    name: Annotated[str, Name()]
    sense: tuple[HeadName, ...]
    drive: tuple[HeadName, ...]
    amplifier: Amplifier | None = None
    stages: tuple[AnyStage, ...] = ()
    supply: Annotated[str, Reference("supply")] | None = None
    input: Input = Input()
    output: Output = Output()
    phase: Phase = Phase()

    @property
    def plain(self) -> Amplifier:
        """Its plain amplifier.

        Raises
        ------
        LookupError
            If the loop has stages.
        """
        if self.amplifier is None:
            raise LookupError(self.name)
        return self.amplifier

    @model_validator(mode="after")
    def _has_both_ends(self) -> Self:
        for key, heads in (("sense", self.sense), ("drive", self.drive)):
            if not heads:
                raise refusal("a list of at least one head", "an empty list", key=key)
        return self

    @model_validator(mode="after")
    def _amplifies_one_way(self) -> Self:
        """Either a plain amplifier or stages, and every key with the one it belongs to."""
        if self.amplifier is None and not self.stages:
            raise refusal("given, or stages in its place", "nothing", key="amplifier")
        if self.amplifier is not None:
            _only_plain(self, self.amplifier)
        elif self.supply is None:
            raise refusal("given with stages, the name of a supply", "nothing", key="supply")
        return self

    @model_validator(mode="after")
    def _ideal_phase_is_plain(self) -> Self:
        if self.stages and self.phase.kind in ("ideal lead", "ideal lag"):
            raise refusal('"none" or "series capacitor" with stages: no part shifts ideally', self.phase.kind, key="phase.kind")
        return self


def _only_plain(loop: Loop, amplifier: Amplifier) -> None:
    if loop.stages:
        raise refusal("left out where the loop has a plain amplifier", f"a list of {len(loop.stages)}", key="stages")
    if "input" in loop.model_fields_set:
        raise refusal("left out where the loop has a plain amplifier: its own keys say this", "a table", key="input")
    for key in ("level_resistor", "snubber"):
        if key in loop.output.model_fields_set:
            what = "left out where the loop has a plain amplifier" + (", whose own key it is" if key == "level_resistor" else "")
            raise refusal(what, "one that is given", key=f"output.{key}")
    for key in ("supply", "supply_kind"):
        given = getattr(amplifier, key) is not None
        if given == (loop.supply is not None):
            what, received = ("left out where the loop names its supply", "one that is given") if given else (_FEED[key], "nothing")
            raise refusal(what, received, key=f"amplifier.{key}")


_FEED = {
    "supply": "given, a voltage between 0.5 V and 100 V, or the loop's own supply named in its place",
    "supply_kind": 'given, "single" or "split", or the loop\'s own supply named in its place',
}
