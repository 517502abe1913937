"""Amplifier blocks that a loop can be composed of, from the sense coils to the drive coils.

An op-amp or a power chip is a device with its own large gain and the resistors that tame it; a buffer follows its input; a coupling
is a capacitor and a resistor between two of them. What a preset knows stands in for every key that is left out.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from wirebloom.rig import dimensions
from wirebloom.rig.base import Table
from wirebloom.rig.fields import Number, OneOf, Quantity, capacitance_in, frequency_in, resistance_in, time_in, voltage_in
from wirebloom.rig.presets import preset_values, presets_of
from wirebloom.rig.sentences import listed, perhaps, refusal

Ohms = Annotated[float, resistance_in("0.1 ohm", "100 Mohm")]
Farads = Annotated[float, capacitance_in("10 pF", "1 F")]
Headroom = Annotated[float, voltage_in("0 V", "20 V")]
Ampere = Annotated[float, Quantity(dimensions.CURRENT, "1 mA", "100 A")]


class Levelling(Table):
    """Automatic gain: once the mean size of the block's output exceeds `level` (V), its gain is turned down in proportion.

    `attack` and `release` (s) are the time constants of the envelope follower, upwards and downwards.
    """

    level: Annotated[float, voltage_in("1 mV", "100 V")]
    attack: Annotated[float, time_in("0.1 ms", "10 s")] = 0.01
    release: Annotated[float, time_in("0.1 ms", "60 s")] = 0.5


class Device(Table):
    """What every block with a supply has.

    Attributes
    ----------
    preset : str or None
        Kind of device whose typical values stand in for keys that are left out.
    gain_bandwidth : float
        Product of gain and bandwidth, Hz; of a buffer its bandwidth.
    slew : float
        Fastest change of the output, V/s.
    headroom_up, headroom_down : float
        What the output stays away from the upper and the lower rail, V.
    headroom_resistance : float
        What each ampere given takes off the swing besides, ohm: an output of class AB bends before it clips.
    current_limit : float or None
        Most that the output gives or takes, A.
    quiescent_current : float
        Drawn without a signal, A.
    supply_rejection : float or None
        dB, referred to the input; None for a device that does not hear its supply.
    noise, input_offset
        Referred to the input, V/√Hz and V.
    input_resistance, input_capacitance : float
        ohm and F, between its inputs (op-amp) or from its input to ground.
    output_resistance : float
        ohm, within the feedback where there is one.
    second_pole : float or None
        Hz; beyond it the device's own gain falls twice as steeply.
    highest_supply : float or None
        Most that the device bears between its rails, V.
    levelling : Levelling or None
        Of a buffer, in the device itself; of an op-amp, in an element behind its feedback; a power chip has none.
    """

    kind: str
    preset: str | None = None
    gain_bandwidth: Annotated[float, frequency_in("1 kHz", "10 GHz")]
    slew: Annotated[float, Quantity(dimensions.SLEW_RATE, "1 V/s", "10000 V/us")]
    headroom_up: Headroom = 1.5
    headroom_down: Headroom = 1.5
    headroom_resistance: Annotated[float, resistance_in("0 ohm", "1 kohm")] = 0.0
    current_limit: Ampere | None = None
    quiescent_current: Annotated[float, Quantity(dimensions.CURRENT, "0 A", "10 A")] = 0.002
    supply_rejection: Annotated[float, Quantity(dimensions.REJECTION, "0 dB", "200 dB")] | None = None
    noise: Annotated[float, Quantity(dimensions.NOISE, "0 V/rtHz", "10 uV/rtHz")] = 10e-9
    input_offset: Annotated[float, voltage_in("-100 mV", "100 mV")] = 0.0
    input_resistance: Annotated[float, resistance_in("10 ohm", "1e12 ohm")] = 1e6
    input_capacitance: Annotated[float, capacitance_in("0 F", "1 uF")] = 10e-12
    output_resistance: Annotated[float, resistance_in("1 mohm", "10 kohm")] = 0.1
    second_pole: Annotated[float, frequency_in("1 kHz", "10 GHz")] | None = None
    highest_supply: Annotated[float, voltage_in("0.5 V", "200 V")] | None = None
    levelling: Levelling | None = None

    @model_validator(mode="before")
    @classmethod
    def _preset_first(cls, data: Any) -> Any:
        """Put a preset's typical values behind the keys that are given."""
        name = data.get("preset") if isinstance(data, dict) else None
        if not isinstance(name, str):
            return data
        names = presets_of(str(data.get("kind")))
        if name not in names:
            raise refusal(f"the name of a preset of this kind ({listed(names)})", name, key="preset", hint=perhaps(name, names))
        return {**preset_values(name), **data}


class OpAmp(Device):
    """Operational amplifier with its feedback.

    Attributes
    ----------
    topology : {"inverting", "non-inverting"}
        Inverting: the sense coil's own resistance and `input_resistor` set the gain, −feedback/(coil + input_resistor).
        Non-inverting: 1 + feedback/to_ground.
    feedback : float
        From output to inverting input, ohm.
    to_ground : float or None
        From inverting input to the resting point, ohm; non-inverting only.
    input_resistor : float
        In series with the source, ohm; inverting only.
    feedback_capacitor : float or None
        Across `feedback`, F: less gain above 1/(2π R C).
    open_gain : float
        Of the device alone.
    """

    kind: Literal["op-amp"]
    preset: Annotated[str, OneOf("preset", presets_of("op-amp"))] | None = None
    topology: Literal["inverting", "non-inverting"]
    feedback: Ohms
    to_ground: Ohms | None = None
    input_resistor: Annotated[float, resistance_in("0 ohm", "100 Mohm")] = 0.0
    feedback_capacitor: Farads | None = None
    open_gain: Annotated[float, Number(10, 1e9)]

    @model_validator(mode="after")
    def _fits_its_topology(self) -> Self:
        inverting = self.topology == "inverting"
        if inverting == (self.to_ground is not None):
            verb, received = ("left out", f"{self.to_ground:g} ohm") if self.to_ground is not None else ("given", "nothing")
            raise refusal(f'{verb} when topology is "{self.topology}"', received, key="to_ground")
        if not inverting and self.input_resistor:
            raise refusal('left out when topology is "non-inverting"', f"{self.input_resistor:g} ohm", key="input_resistor")
        return self


class PowerChip(Device):
    """Power amplifier chip whose gain is fixed inside: feedback over the resistors in series, inner and bypassed.

    Attributes
    ----------
    feedback : float
        As it counts for the gain, ohm.
    inner_resistor, outer_resistor : float
        ohm; gain feedback/(inner + outer), and feedback/inner where the bypass capacitor is a short.
    bypass : float or None
        Capacitor across `outer_resistor`, F: more gain, but less of it and early at low notes.
    open_gain : float
        Of the device alone.
    """

    kind: Literal["power chip"]
    preset: Annotated[str, OneOf("preset", presets_of("power chip"))] | None = None
    feedback: Ohms = 30e3
    inner_resistor: Ohms = 150.0
    outer_resistor: Ohms = 1350.0
    bypass: Farads | None = None
    open_gain: Annotated[float, Number(10, 1e9)]
    input_resistance: Annotated[float, resistance_in("10 ohm", "1e12 ohm")] = 50e3

    @model_validator(mode="after")
    def _fixed_gain(self) -> Self:
        if self.levelling is not None:
            what = "left out of a power chip, whose gain is fixed: it belongs to an op-amp or a buffer before it"
            raise refusal(what, "a table", key="levelling")
        return self


class Buffer(Device):
    """Output stage of gain 1 for more current, without feedback around it."""

    kind: Literal["buffer"]
    preset: Annotated[str, OneOf("preset", presets_of("buffer"))] | None = None


class Link(Table):
    """Coupling between two blocks: `capacitor` (F) in series, `resistor` (ohm) to the resting point behind it.

    With a `share` below 1 the resistor is a pot, and that much of the voltage goes on.
    """

    kind: Literal["coupling"]
    capacitor: Farads
    resistor: Ohms
    share: Annotated[float, Number(0.001, 1)] = 1.0


Active = OpAmp | PowerChip | Buffer
AnyStage = Annotated[OpAmp | PowerChip | Buffer | Link, Field(discriminator="kind")]
KINDS = ("op-amp", "power chip", "buffer", "coupling")
