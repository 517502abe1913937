"""Kinds of amplifying devices by what their data sheets have in common: least, typical and greatest values.

All of it is data-sheet class, from memory: what one finds for devices of a kind at room temperature, not the promise of any one
of them. Offsets come with either sign; the typical value is taken as positive. A typical value is what a preset stands for.
"""

from __future__ import annotations

from typing import NamedTuple


class Spread(NamedTuple):
    """Least, typical and greatest value as a scenario would write them."""

    low: str
    typical: str
    high: str


class Preset(NamedTuple):
    """A kind of device: which kinds of block it can be, what it is, and its keys."""

    kinds: tuple[str, ...]
    about: str
    keys: dict[str, Spread]


PRESETS: dict[str, Preset] = {
    "general op-amp": Preset(
        ("op-amp",),
        "for general use, with field-effect inputs; on 7 to 36 V",
        {
            "open_gain": Spread("2.5e4", "2e5", "1e6"),
            "gain_bandwidth": Spread("1 MHz", "3 MHz", "5 MHz"),
            "slew": Spread("0.5 V/us", "8 V/us", "16 V/us"),
            "noise": Spread("12 nV/rtHz", "18 nV/rtHz", "35 nV/rtHz"),
            "input_offset": Spread("-6 mV", "2 mV", "6 mV"),
            "input_resistance": Spread("1e9 ohm", "1e12 ohm", "1e12 ohm"),
            "input_capacitance": Spread("3 pF", "10 pF", "20 pF"),
            "output_resistance": Spread("30 ohm", "100 ohm", "200 ohm"),
            "headroom_up": Spread("1 V", "1.5 V", "2.5 V"),
            "headroom_down": Spread("1 V", "1.5 V", "2.5 V"),
            "current_limit": Spread("10 mA", "25 mA", "50 mA"),
            "quiescent_current": Spread("0.5 mA", "1.6 mA", "2.8 mA"),
            "supply_rejection": Spread("70 dB", "90 dB", "100 dB"),
            "second_pole": Spread("4 MHz", "9 MHz", "20 MHz"),
            "highest_supply": Spread("30 V", "36 V", "44 V"),
        },
    ),
    "low-noise op-amp": Preset(
        ("op-amp",),
        "for faint sources of low resistance, with bipolar inputs; on 6 to 40 V",
        {
            "open_gain": Spread("1.5e4", "1e5", "1e6"),
            "gain_bandwidth": Spread("7 MHz", "10 MHz", "20 MHz"),
            "slew": Spread("5 V/us", "9 V/us", "20 V/us"),
            "noise": Spread("1 nV/rtHz", "5 nV/rtHz", "7 nV/rtHz"),
            "input_offset": Spread("-4 mV", "0.5 mV", "4 mV"),
            "input_resistance": Spread("30 kohm", "300 kohm", "10 Mohm"),
            "input_capacitance": Spread("5 pF", "12 pF", "30 pF"),
            "output_resistance": Spread("20 ohm", "60 ohm", "100 ohm"),
            "headroom_up": Spread("1 V", "1.5 V", "2.5 V"),
            "headroom_down": Spread("1 V", "1.5 V", "2.5 V"),
            "current_limit": Spread("20 mA", "38 mA", "60 mA"),
            "quiescent_current": Spread("2 mA", "4 mA", "8 mA"),
            "supply_rejection": Spread("80 dB", "100 dB", "120 dB"),
            "second_pole": Spread("10 MHz", "25 MHz", "60 MHz"),
            "highest_supply": Spread("36 V", "40 V", "44 V"),
        },
    ),
    "rail-to-rail op-amp": Preset(
        ("op-amp",),
        "for one or two cells; on 1.8 to 5.5 V",
        {
            "open_gain": Spread("3e4", "3e5", "3e6"),
            "gain_bandwidth": Spread("0.6 MHz", "1 MHz", "10 MHz"),
            "slew": Spread("0.3 V/us", "0.6 V/us", "7 V/us"),
            "noise": Spread("7 nV/rtHz", "28 nV/rtHz", "50 nV/rtHz"),
            "input_offset": Spread("-4.5 mV", "1 mV", "4.5 mV"),
            "input_resistance": Spread("1e10 ohm", "1e12 ohm", "1e12 ohm"),
            "input_capacitance": Spread("2 pF", "6 pF", "10 pF"),
            "output_resistance": Spread("50 ohm", "200 ohm", "1 kohm"),
            "headroom_up": Spread("5 mV", "25 mV", "100 mV"),
            "headroom_down": Spread("5 mV", "25 mV", "100 mV"),
            "headroom_resistance": Spread("5 ohm", "20 ohm", "60 ohm"),
            "current_limit": Spread("6 mA", "20 mA", "50 mA"),
            "quiescent_current": Spread("0.05 mA", "0.1 mA", "1 mA"),
            "supply_rejection": Spread("70 dB", "85 dB", "100 dB"),
            "second_pole": Spread("1.5 MHz", "3 MHz", "30 MHz"),
            "highest_supply": Spread("5.5 V", "6 V", "7 V"),
        },
    ),
    "small audio power chip": Preset(
        ("power chip",),
        "for a small speaker from a battery, gain 20 or with a bypass capacitor up to 200; on 4 to 12 V",
        {
            "open_gain": Spread("1e3", "5e3", "2e4"),
            "gain_bandwidth": Spread("3 MHz", "6 MHz", "12 MHz"),
            "slew": Spread("0.5 V/us", "1.5 V/us", "5 V/us"),
            "noise": Spread("20 nV/rtHz", "50 nV/rtHz", "150 nV/rtHz"),
            "input_offset": Spread("-5 mV", "1 mV", "5 mV"),
            "input_resistance": Spread("35 kohm", "50 kohm", "65 kohm"),
            "input_capacitance": Spread("5 pF", "20 pF", "50 pF"),
            "output_resistance": Spread("0.1 ohm", "0.5 ohm", "1 ohm"),
            "headroom_up": Spread("0.5 V", "0.9 V", "1.3 V"),
            "headroom_down": Spread("0.2 V", "0.5 V", "0.9 V"),
            "headroom_resistance": Spread("1 ohm", "2 ohm", "4 ohm"),
            "current_limit": Spread("0.4 A", "0.6 A", "1 A"),
            "quiescent_current": Spread("2 mA", "4 mA", "8 mA"),
            "supply_rejection": Spread("30 dB", "50 dB", "60 dB"),
            "highest_supply": Spread("12 V", "15 V", "22 V"),
        },
    ),
    "medium power chip": Preset(
        ("power chip",),
        "for a few watts from a mains supply or a car's battery; on 8 to 28 V",
        {
            "open_gain": Spread("3e3", "3e4", "1e5"),
            "gain_bandwidth": Spread("2 MHz", "5 MHz", "10 MHz"),
            "slew": Spread("5 V/us", "8 V/us", "20 V/us"),
            "noise": Spread("5 nV/rtHz", "20 nV/rtHz", "50 nV/rtHz"),
            "input_offset": Spread("-20 mV", "2 mV", "20 mV"),
            "input_resistance": Spread("50 kohm", "100 kohm", "5 Mohm"),
            "input_capacitance": Spread("5 pF", "20 pF", "50 pF"),
            "output_resistance": Spread("0.05 ohm", "0.2 ohm", "0.5 ohm"),
            "headroom_up": Spread("1 V", "1.8 V", "3 V"),
            "headroom_down": Spread("0.8 V", "1.5 V", "2.5 V"),
            "headroom_resistance": Spread("0.2 ohm", "0.4 ohm", "0.8 ohm"),
            "current_limit": Spread("2 A", "3 A", "4.5 A"),
            "quiescent_current": Spread("20 mA", "50 mA", "100 mA"),
            "supply_rejection": Spread("30 dB", "50 dB", "60 dB"),
            "highest_supply": Spread("18 V", "28 V", "44 V"),
        },
    ),
    "class-AB buffer": Preset(
        ("buffer",),
        "one to follow an op-amp that cannot drive a coil; on 5 to 36 V",
        {
            "gain_bandwidth": Spread("5 MHz", "30 MHz", "150 MHz"),
            "slew": Spread("20 V/us", "200 V/us", "2000 V/us"),
            "noise": Spread("2 nV/rtHz", "5 nV/rtHz", "10 nV/rtHz"),
            "input_offset": Spread("-100 mV", "20 mV", "100 mV"),
            "input_resistance": Spread("0.5 Mohm", "2 Mohm", "8 Mohm"),
            "input_capacitance": Spread("2 pF", "8 pF", "15 pF"),
            "output_resistance": Spread("2 ohm", "6 ohm", "12 ohm"),
            "headroom_up": Spread("1 V", "1.5 V", "2.5 V"),
            "headroom_down": Spread("1 V", "1.5 V", "2.5 V"),
            "headroom_resistance": Spread("2 ohm", "4 ohm", "8 ohm"),
            "current_limit": Spread("150 mA", "250 mA", "400 mA"),
            "quiescent_current": Spread("1 mA", "5 mA", "15 mA"),
            "supply_rejection": Spread("30 dB", "60 dB", "80 dB"),
            "highest_supply": Spread("30 V", "36 V", "40 V"),
        },
    ),
}


def presets_of(kind: str) -> tuple[str, ...]:
    """Names of the presets that a kind of block can have."""
    return tuple(name for name, preset in PRESETS.items() if kind in preset.kinds)


def preset_values(name: object) -> dict[str, str]:
    """Typical value of every key that a preset knows; nothing for a name that is none."""
    known = PRESETS.get(name) if isinstance(name, str) else None
    return {} if known is None else {key: spread.typical for key, spread in known.keys.items()}
