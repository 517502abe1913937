"""Loops written out part by part: one of each kind of circuit that an amplifier is made of. Figures are typical, none is measured."""

from collections.abc import Sequence
from math import pi

import numpy as np

from wirebloom.circuit.equivalents import Turn, Windings
from wirebloom.circuit.parts import GROUND, Capacitor, Coil, Follower, Inductor, Levelling, Meter, Netlist, Part, Resistor, Source, Stage

SENSE, DRIVE = 24.0, 25.0  # Ω
INDUCTANCE = np.array([[2.6e-3, -3e-7], [-3e-7, 2.9e-3]])  # H: what far heads do to one another
SOLID = (Turn(0, 1.1e-4, 0.4), Turn(0, 4.3e-4, 32.0), Turn(1, 2e-4, 1.2))


def stage(name: str, out: str, plus: str, minus: str, **changes) -> Stage:
    """An amplifying element on ± 5 V unless told otherwise."""
    made = Stage(
        name=name, out=out, plus=plus, minus=minus, ref=GROUND, high="plus", low="minus", loop=0, gain=2e5, bandwidth=3e6, slew=13e6,
        supply=10.0, headroom=(1.2, 1.5), quiescent=2e-3,
    )  # fmt: skip
    return made._replace(**changes)


def split(volts: float = 5.0) -> list[Part]:
    return [Source("upper supply", "plus", GROUND, volts, 1), Source("lower supply", "minus", GROUND, -volts, 1)]


def sense(near: str = "in", far: str = GROUND) -> list[Part]:
    return [Resistor("sense winding", near, "sense", SENSE, 0), Coil("sense coil", "sense", far, 0)]


def load(near: str) -> list[Part]:
    return [Resistor("drive winding", near, "drive", DRIVE, 1), Coil("drive coil", "drive", GROUND, 1)]


def input_load() -> list[Part]:
    return [Capacitor("input capacitance", "in", GROUND, 1.3e-10, 0), Resistor("input resistor", "in", GROUND, 47e3, 0)]


def netlist(parts: Sequence[Part], line: tuple[str, str] | None = None, node: tuple[str, str] = ("in", GROUND)) -> Netlist:
    across = () if line is None else (line,)
    pairs = {"node": (node,), "output": (("out", GROUND),), "capacitor": across, "supply": (("plus", "minus"),)}
    return Netlist(tuple(parts), tuple(Meter(kind, 0, ends) for kind, ends in pairs.items()), ("main",))


def inverting() -> Netlist:
    """The sense coil's own resistance is the input resistor: gain 24 kohm over 24 ohm."""
    feedback = [Resistor("feedback resistor", "joint", "out", 24e3, 0), Capacitor("feedback capacitor", "joint", "out", 1e-10, 0)]
    own = [Capacitor("input capacitance", "joint", GROUND, 1e-11, 0)]
    amplifier = [stage("op-amp", "inner", GROUND, "joint"), Resistor("output resistance", "inner", "out", 50.0, 1)]
    return netlist([*split(), *sense("joint"), *feedback, *own, *amplifier, *load("out")], node=("sense", "joint"))


def non_inverting() -> Netlist:
    feedback = [Resistor("feedback resistor", "joint", "out", 20e3, 0), Resistor("resistor to ground", "joint", GROUND, 100.0, 0)]
    amplifier = stage("op-amp", "out", "in", "joint", offset=1e-3)
    return netlist([*split(), *sense(), *input_load(), *feedback, amplifier, *load("out")])


def power_chip(bypass: float | None = 10e-6, feedback: float = 28.5e3) -> Netlist:
    """A chip with its own gain network, of which a capacitor bypasses one part; on a single supply, with an output network.

    Into this coil its current is limited before its swing is.
    """
    network: list[Part] = [
        Resistor("inner feedback resistor", "joint", "out", feedback, 1),
        Resistor("inner gain resistor", "joint", "tap", 150.0, 1),
        Resistor("bypassed gain resistor", "tap", "half", 1350.0, 1),
    ]
    if bypass is not None:
        network.append(Capacitor("bypass capacitor", "tap", "half", bypass, 1))
    rails: list[Part] = [Source("battery", "plus", GROUND, 9.0, 1), Source("half supply", "half", GROUND, 4.5, 1)]
    chip = stage(
        "power chip", "out", "lifted", "joint", ref="half", low=GROUND, gain=2e4, bandwidth=6e7, slew=2e6, supply=9.0, headroom=(1.0, 0.7),
        bend=2.0, limit=0.12, quiescent=4e-3,
    )  # fmt: skip
    lift = Follower("input referred to ground", "lifted", "half", "in", GROUND, 1.0, 0)
    damper = [Resistor("snubber resistor", "out", "damped", 10.0, 1), Capacitor("snubber capacitor", "damped", GROUND, 47e-9, 1)]
    line = Capacitor("output capacitor", "out", "line", 220e-6, 1)
    parts = [*rails, *sense(), *input_load(), lift, chip, *network, *damper, line, *load("line")]
    return netlist(parts, line=("out", "line"))._replace(
        meters=(*netlist(parts, line=("out", "line")).meters[:3], Meter("supply", 0, (("plus", GROUND),)))
    )


def two_stages() -> Netlist:
    """A preamplifier, a coupling capacitor with a pot, a stage with a second pole, a series capacitor in the drive line."""
    first = [
        stage("preamplifier", "mid", "in", "first", gain=1e5, offset=5e-4),
        Resistor("first feedback resistor", "first", "mid", 10e3, 0),
        Resistor("first resistor to ground", "first", GROUND, 470.0, 0),
    ]
    between = [
        Capacitor("coupling capacitor", "mid", "top", 100e-9, 0),
        Resistor("pot, upper part", "top", "wiper", 3e3, 0),
        Resistor("pot, lower part", "wiper", GROUND, 7e3, 0),
    ]
    second = [
        stage("second op-amp", "late", "wiper", "second", slew=float("inf")),
        Resistor("second feedback resistor", "second", "late", 10e3, 1),
        Resistor("second resistor to ground", "second", GROUND, 1e3, 1),
        Resistor("second pole resistor", "late", "pole", 1e3, 1),
        Capacitor("second pole capacitor", "pole", GROUND, 1.0 / (2 * pi * 8e3 * 1e3), 1),
        Follower("buffer", "out", GROUND, "pole", GROUND, 1.0, 1),
    ]
    line = [Capacitor("phase capacitor", "out", "ahead", 22e-6, 1), Resistor("level resistor", "ahead", "line", 33.0, 1)]
    return netlist([*split(), *sense(), *input_load(), *first, *between, *second, *line, *load("line")], line=("out", "ahead"))


def sagging() -> Netlist:
    """A plain stage on a weak battery with a capacitor across it, little rejection, and a divider for its resting point.

    It rests with a current in its coil, all of it from the upper rail.
    """
    supply = [
        Source("battery", "open", GROUND, 9.0, 1),
        Resistor("internal resistance", "open", "plus", 3.0, 1),
        Resistor("own resistance of the decoupling capacitor", "plus", "inner", 0.2, 1),
        Capacitor("decoupling capacitor", "inner", GROUND, 220e-6, 1),
        Resistor("upper divider resistor", "plus", "half", 10e3, 1),
        Resistor("lower divider resistor", "half", GROUND, 10e3, 1),
        Capacitor("divider capacitor", "half", GROUND, 10e-6, 1),
    ]
    amplifier = stage(
        "amplifier", "out", "in", GROUND, ref="half", low=GROUND, gain=150.0, supply=9.0, rejection=1e-3, headroom=(1.0, 1.0), bend=1.5,
    )  # fmt: skip
    made = netlist([*supply, *sense(), *input_load(), amplifier, *load("out")])
    return made._replace(meters=(*made.meters[:3], Meter("supply", 0, (("plus", GROUND),))))


def filtered() -> Netlist:
    """A stage that levels itself, with a choke in its output line."""
    amplifier = stage("amplifier", "out", GROUND, "in", gain=200.0, levelling=Levelling(1.0, 0.01, 0.1))
    line = [Inductor("choke", "out", "line", 1e-3, 1), Capacitor("across the line", "line", GROUND, 4.7e-6, 1)]
    return netlist([*split(), *sense(), *input_load(), amplifier, *line, *load("line")])


BENCHES = {
    "inverting": inverting,
    "non-inverting": non_inverting,
    "power chip with bypass": power_chip,
    "power chip without": lambda: power_chip(None),
    "two stages": two_stages,
    "sagging supply": sagging,
    "filtered": filtered,
}


def heard(made: Netlist) -> str:
    """What its first meter shows, in the words of ngspice."""
    ((a, b),) = made.meters[0].pairs
    return f"v({a})" if b == GROUND else f"v({a})-v({b})"


def windings(turns: Sequence[Turn] = ()) -> Windings:
    return Windings(INDUCTANCE, tuple(turns))
