"""Rigs drawn by lot, the same for the same number: one string, one loop, two measured heads, one kind of electronics throughout.

So that all of them run on the same machine code: every one has a series capacitor, a level resistor and crosstalk, and each of these
may be so large or so small that it does not matter. Measured heads need no field to be solved. Ranges are those of benches that
somebody would build; a pull that catches the string is not among them.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from wirebloom.compile import Compiled, compile_rig
from wirebloom.rig import loads

TEXT = """
format = 1
title = "Bench {number}"

[[strings]]
name = "one"
material = "music wire"
diameter = "{diameter:.3f} mm"
length = "{length:.0f} mm"
pitch = "{pitch:.3f} Hz"
partials_to = "3.5 kHz"
damping = {{ support_q = {support_q:.0f} }}
sideways = {{ detune = "{detune:.3f} cent", support_q = {sideways_q:.0f} }}

[[heads]]
name = "sense"
kind = "measured"
string = "one"
position = "{sense_at:.4f} L"
gap = "{sense_gap:.3f} mm"
law = {{ gap = "1 mm", factor = "{sense_factor:.3f} mN/A", pull = "{sense_pull:.3f} mN", decay_length = "{sense_falls:.3f} mm" }}
resistance = "{sense_ohm:.2f} ohm"
inductance = "{sense_henry:.4f} mH"
face_diameter = "5 mm"
aperture = "{sense_sees:.2f} mm"

[[heads]]
name = "drive"
kind = "measured"
string = "one"
position = "{drive_at:.4f} L"
gap = "{drive_gap:.3f} mm"
law = {{ gap = "1 mm", factor = "{drive_factor:.3f} mN/A", pull = "{drive_pull:.3f} mN", decay_length = "{drive_falls:.3f} mm" }}
resistance = "{drive_ohm:.2f} ohm"
inductance = "{drive_henry:.4f} mH"
face_diameter = "5 mm"
aperture = "{drive_sees:.2f} mm"
reversed = {reversed}

[[couplings]]
heads = ["sense", "drive"]
mutual = "{mutual:.4f} uH"

[[loops]]
name = "main"
sense = ["sense"]
drive = ["drive"]
phase = {{ kind = "series capacitor", capacitor = "{capacitor:.3f} uF" }}

[loops.amplifier]
gain = {gain:.1f}
gain_bandwidth = "{bandwidth:.4f} MHz"
slew = "{slew:.2f} V/us"
supply = "{supply:.2f} V"
supply_kind = "split"
headroom = "1.5 V"
polarity = "{polarity}"
level_resistor = "{level:.2f} ohm"

[start]
kind = "noise"

[run]
duration = "8 s"
seed = 1
"""


class Ranges(NamedTuple):
    """Least and greatest of what the families of rigs differ in; all are drawn evenly in their logarithm.

    Attributes
    ----------
    gap : mm
    gain : 1
    capacitor : µF
    level : Ω
    support_q : 1
    reversed_share : share of loops whose drive coil, and of those whose amplifier, is connected the other way round
    """

    gap: tuple[float, float] = (0.5, 3.0)
    gain: tuple[float, float] = (50.0, 3e4)
    capacitor: tuple[float, float] = (5.0, 2000.0)
    level: tuple[float, float] = (1.0, 300.0)
    support_q: tuple[float, float] = (800.0, 6000.0)
    reversed_share: float = 0.3


ANY = Ranges()
CLEAR = Ranges(gap=(0.8, 2.0), gain=(1e3, 1e5), level=(10.0, 200.0), support_q=(1000.0, 4000.0), reversed_share=0.15)  # most sound
FAILING = Ranges(gap=(0.5, 3.0), gain=(100.0, 1e5), level=(1.0, 100.0), support_q=(500.0, 4000.0), reversed_share=0.3)  # most do not
PLUCKED = 'start={kind="pluck", string="one", position="0.37 L", height="20 um"}'


def random_values(number: int, ranges: Ranges = ANY) -> dict[str, Any]:
    """What is written into the text of rig `number`."""
    draw = np.random.default_rng(number)

    def between(low: float, high: float) -> float:
        return float(low * (high / low) ** draw.random())

    length, stress = between(350.0, 1100.0), between(300e6, 1100e6)  # mm, Pa: well below what music wire of any size bears
    pitch = np.sqrt(stress / 7850.0) / (2e-3 * length)
    strings = {"diameter": between(0.25, 0.6), "length": length, "pitch": pitch, "support_q": between(*ranges.support_q)}
    strings |= {"detune": draw.uniform(-2.0, 2.0), "sideways_q": between(*ranges.support_q)}
    places = _places(draw, length)
    sense = _head("sense", between, ranges.gap, resistance=(20.0, 400.0))
    drive = _head("drive", between, ranges.gap, resistance=(8.0, 60.0))
    turned = {"reversed": str(bool(draw.random() < ranges.reversed_share)).lower()}
    turned["polarity"] = "reversed" if draw.random() < ranges.reversed_share else "normal"
    loop = {"gain": between(*ranges.gain), "bandwidth": between(1.0, 10.0), "slew": between(2.0, 20.0), "supply": between(4.5, 12.0)}
    loop |= {"level": between(*ranges.level), "capacitor": between(*ranges.capacitor)}
    loop["mutual"] = between(0.001, 0.1) * draw.choice([-1.0, 1.0])
    return {"number": number} | strings | places | sense | drive | turned | loop


def _places(draw: np.random.Generator, length: float) -> dict[str, float]:
    """Two places for heads 16 mm apart or more."""
    while True:
        sense, drive = draw.uniform(0.08, 0.48, 2)
        if abs(sense - drive) * length >= 16.0:
            return {"sense_at": sense, "drive_at": drive}


def _head(name: str, between: Any, gap: tuple[float, float], resistance: tuple[float, float]) -> dict[str, float]:
    """One head: thinner wire on a thumb-sized former makes resistance, inductance in proportion, force factor as the root."""
    ohm = between(*resistance)
    made = {
        "gap": between(*gap),
        "factor": between(8.0, 20.0) * (ohm / 24.0) ** 0.5,
        "pull": between(0.5, 5.0),
        "falls": between(1.0, 3.0),
        "ohm": ohm,
        "henry": between(0.06, 0.2) * ohm,
        "sees": between(3.0, 12.0),
    }
    return {f"{name}_{key}": value for key, value in made.items()}


def random_text(number: int, ranges: Ranges = ANY) -> str:
    """The scenario of rig `number`."""
    return TEXT.format(**random_values(number, ranges))


def random_rig(number: int, ranges: Ranges = ANY, *overrides: str) -> Compiled:
    """Rig `number`, compiled."""
    return compile_rig(*loads(random_text(number, ranges), file=f"random_{number}.toml", overrides=overrides))
