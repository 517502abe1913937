"""A bill of materials: every part of the electronics that is bought, its preferred value and what it must bear.

What is called a resistance or a capacitance is a property of something else; what is called a resistor or a capacitor is bought,
unless it sits inside a device or stands for an idealised network.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import NamedTuple

from wirebloom.circuit.marks import marks, written
from wirebloom.circuit.parts import Capacitor, Inductor, Netlist, Part, Resistor, Stage
from wirebloom.circuit.series import E12, E24, POWERS, VOLTAGES, nearest, rating
from wirebloom.circuit.stress import Stress

COOL = 2.0  # a resistor of twice the power stays touchable longer (common practice, no source)
SPARE = 1.5  # of a capacitor's voltage (common practice, no source)
INSIDE = ("internal", "all-pass")  # within a device or an ideal network: nothing to buy
UPPER = "pot, upper part"
PURPOSE = {
    "level resistor": "less drive, more clearance",
    "output capacitor": "keeps the resting voltage off the drive coil; too small a one starves low strings",
    "phase capacitor": "the drive current leads by it",
    "snubber resistor": "with its capacitor keeps the output stage calm",
    "snubber capacitor": "with its resistor keeps the output stage calm",
    "coupling capacitor": "passes the note, keeps offsets back",
    "coupling resistor": "with its capacitor sets the lowest note that passes",
    "feedback resistor": "sets the gain",
    "feedback capacitor": "less gain above the notes",
    "resistor to ground": "sets the gain, with the feedback resistor",
    "input resistor": "sets the gain, with the feedback resistor and the sense coil's own resistance",
    "bypass capacitor": "more gain; low notes get less of it, and early",
    "load resistor": "loads the sense coil",
    "divider resistor": "makes half the supply, where the output rests",
    "divider capacitor": "steadies half the supply",
    "decoupling capacitor": "gives the current that the supply is too slow for",
    "pot": "sets how much goes on to the next stage",
}


class Item(NamedTuple):
    """A line of the bill, as texts: marks, how many, what, value, nearest preferred value, what it must bear, what it does."""

    marks: str
    quantity: int
    what: str
    value: str
    nearest: str
    bears: str
    purpose: str


def electronics(netlist: Netlist, stress: Stress) -> tuple[Item, ...]:
    """All electronics of a rig that are bought; coils and supplies are not among them."""
    mark, values = marks(netlist.parts), {part.name: part for part in netlist.parts}
    return tuple(item for part in netlist.parts for item in _items(part, mark[part.name], values, stress))


def is_bought(part: Part) -> bool:
    """Whether a part is one of the bill's: not a property of another, nor inside one."""
    words = part.name.split()
    if any(word in words for word in INSIDE):
        return False
    if isinstance(part, Resistor):
        return "resistor" in words or part.name.endswith(UPPER)
    return isinstance(part, Inductor | Stage) or (isinstance(part, Capacitor) and "capacitor" in words)


def _items(part: Part, mark: str, values: dict[str, Part], stress: Stress) -> Iterator[Item]:
    if not is_bought(part):
        return
    if isinstance(part, Stage):
        yield _device(part, mark, stress.current[part.name])
    elif isinstance(part, Capacitor):
        yield _passive(part.name, mark, part.farad, "F", f"{rating(SPARE * stress.voltage[part.name], VOLTAGES):g} V")
    elif isinstance(part, Inductor):
        yield Item(mark, 1, part.name, written(part.henry, "H"), "", "", "")
    elif isinstance(part, Resistor) and part.ohm > 0.0:
        yield _resistor(part, mark, values, stress)


def _resistor(part: Resistor, mark: str, values: dict[str, Part], stress: Stress) -> Item:
    """A resistor, or a pot of both its parts."""
    ohm, power, name = part.ohm, stress.power[part.name], part.name
    if part.name.endswith(UPPER):
        name = part.name.removesuffix(", upper part")
        lower = values[f"{name}, lower part"]
        ohm += lower.ohm if isinstance(lower, Resistor) else 0.0
    return _passive(name, mark, ohm, "ohm", f"{rating(COOL * power, POWERS):g} W")


def _passive(name: str, mark: str, value: float, unit: str, bears: str) -> Item:
    series, label = (E24, "E24") if unit == "ohm" else (E12, "E12")
    near = nearest(value, series)
    off = 100.0 * (near / value - 1.0)
    text = f"{written(near, unit)} ({label}{'' if abs(off) < 0.05 else f', {off:+.1f} %'})"
    return Item(mark, 1, name, written(value, unit), text, bears, purpose(name))


def purpose(name: str) -> str:
    """What a part does, by the end of its name."""
    return next((what for ending, what in PURPOSE.items() if f" {name}".endswith(f" {ending}")), "")


def _device(stage: Stage, mark: str, current: float) -> Item:
    slew = f", slew {stage.slew / 1e6:.3g} V/us" if isfinite(stage.slew) else ""
    value = f"gain times bandwidth {written(stage.bandwidth, 'Hz')}{slew}"
    current = min(current, stage.limit)
    return Item(mark, 1, stage.name, value, "", f"{stage.supply:g} V, gives {written(current, 'A', 2)}", "")
