"""A loop with one plain amplifier → parts; and the ends that all loops share: sense coil, phase network, drive circuit."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

from wirebloom.circuit.parts import GROUND, Capacitor, Coil, Follower, Meter, Part, Resistor, Source, Stage
from wirebloom.circuit.rails import Rest
from wirebloom.rig import Amplifier, Loop, Phase

ALL_PASS_RESISTOR = 1e6  # Ω: of an idealised network; any will do, a large one takes next to no power
PHASE_SHARES = {"ideal lag": (2.0, -1.0), "ideal lead": (-2.0, 1.0)}  # of the late and the direct voltage: ∓(s − a)/(s + a)


def sense_parts(loop: Loop, a: int, winding: float, near: str, far: str = GROUND) -> Iterator[Part]:
    """Sense coils of loop number a between two nodes: winding resistance (Ω), and the coil that the strings move in."""
    hot = f"{loop.name}.sense"
    yield Resistor(f"{loop.name} sense winding", near, hot, winding, 2 * a)
    yield Coil(f"{loop.name} sense coil", hot, far, 2 * a)


def input_parts(loop: Loop, amplifier: Amplifier, a: int, node: str) -> Iterator[Part]:
    """What loads the sense coil at an amplifier's input."""
    if amplifier.coil_capacitance > 0.0:
        yield Capacitor(f"{loop.name} coil capacitance", node, GROUND, amplifier.coil_capacitance, 2 * a)
    yield Capacitor(f"{loop.name} input capacitance", node, GROUND, amplifier.input_capacitance, 2 * a)
    yield Resistor(f"{loop.name} input resistance", node, GROUND, amplifier.input_resistance, 2 * a)


def phase_parts(loop: Loop, phase: Phase, a: int, node: str) -> tuple[str, list[Part]]:
    """Idealised quarter-period network behind a node: its output node, and its parts; none where there is none.

    A follower, a resistor and a capacitor keep x′ = ω₀ (e − x); two followers in line make ±(2x − e) of it.
    """
    if phase.kind not in PHASE_SHARES or phase.frequency is None:
        return node, []
    late, direct = PHASE_SHARES[phase.kind]
    copy, behind, joint, turned = (f"{loop.name}.{word}" for word in ("copy", "late", "direct", "turned"))
    farad = 1.0 / (2.0 * pi * phase.frequency * ALL_PASS_RESISTOR)
    return turned, [
        Follower(f"{loop.name} all-pass input", copy, GROUND, node, GROUND, 1.0, 2 * a),
        Resistor(f"{loop.name} all-pass resistor", copy, behind, ALL_PASS_RESISTOR, 2 * a),
        Capacitor(f"{loop.name} all-pass capacitor", behind, GROUND, farad, 2 * a),
        Follower(f"{loop.name} all-pass direct", joint, GROUND, node, GROUND, direct, 2 * a),
        Follower(f"{loop.name} all-pass late", turned, joint, behind, GROUND, late, 2 * a),
    ]


def drive_parts(loop: Loop, a: int, winding: float, out: str, series: tuple[tuple[str, float], ...]) -> Iterator[Part]:
    """From an amplifier's output through resistors (name, Ω), capacitors and the drive coils' winding (Ω) to ground."""
    home, here = 2 * a + 1, out
    for word, ohm in series:
        if ohm > 0.0:
            after = f"{loop.name}.{word}"
            yield Resistor(f"{loop.name} {word}", here, after, ohm, home)
            here = after
    for word, farad in series_capacitors(loop):
        after = f"{loop.name}.{word}"
        yield Capacitor(f"{loop.name} {word}", here, after, farad, home)
        here = after
    yield Resistor(f"{loop.name} drive winding", here, f"{loop.name}.drive", winding, home)
    yield Coil(f"{loop.name} drive coil", f"{loop.name}.drive", GROUND, home)


def series_capacitors(loop: Loop) -> list[tuple[str, float]]:
    """Names and capacitances (F) of what stands in line with the drive coils."""
    found = (("output capacitor", loop.output.capacitor), ("phase capacitor", loop.phase.capacitor))
    return [(word, farad) for word, farad in found if farad is not None]


def loop_meters(a: int, parts: list[Part], node: tuple[str, str], out: str, high: str) -> list[Meter]:
    """What is recorded of loop number a; of a split supply its upper half."""
    line = tuple((p.a, p.b) for p in parts if isinstance(p, Capacitor) and p.name.endswith(("output capacitor", "phase capacitor")))
    return [
        Meter("node", a, (node,)),
        Meter("output", a, ((out, GROUND),)),
        Meter("capacitor", a, line),
        Meter("supply", a, ((high, GROUND),)),
    ]


def ideal_rails(loop: Loop, a: int) -> tuple[Rest, list[Part]]:
    """Rails of the supply of a plain amplifier's own, which gives way to nothing, and its parts."""
    high, low, home = f"{loop.name}.own high", f"{loop.name}.own low", 2 * a + 1
    volts = loop.plain.supply or 0.0
    upper = Source(f"{loop.name} supply", high, GROUND, volts, home)
    if loop.plain.supply_kind == "single":
        half = f"{loop.name}.half"
        return Rest(high, GROUND, half, volts), [upper, Source(f"{loop.name} half supply", half, GROUND, volts / 2.0, home)]
    return Rest(high, low, GROUND, 2.0 * volts), [upper, Source(f"{loop.name} lower supply", GROUND, low, volts, home)]


def plain_parts(loop: Loop, a: int, windings: tuple[float, float], rest: Rest) -> tuple[list[Part], list[Meter]]:
    """Loop number a with its sense and drive windings (Ω) and one plain amplifier between its rails."""
    amplifier = loop.plain
    node, out = f"{loop.name}.in", f"{loop.name}.out"
    heard, network = phase_parts(loop, loop.phase, a, node)
    plus, minus = (heard, GROUND) if amplifier.polarity == "normal" else (GROUND, heard)
    stage = Stage(
        name=f"{loop.name} amplifier",
        out=out,
        plus=plus,
        minus=minus,
        ref=rest.point,
        high=rest.high,
        low=rest.low,
        loop=a,
        gain=amplifier.gain,
        bandwidth=amplifier.gain_bandwidth,
        slew=amplifier.slew,
        supply=rest.volts,
        headroom=(amplifier.headroom, amplifier.headroom),
        offset=amplifier.input_offset,
        noise=amplifier.noise,
        quiescent=amplifier.quiescent_current,
    )
    resistors = (("output resistance", amplifier.output_resistance), ("level resistor", amplifier.level_resistor))
    parts: list[Part] = [
        *sense_parts(loop, a, windings[0], node),
        *input_parts(loop, amplifier, a, node),
        *network,
        stage,
        *drive_parts(loop, a, windings[1], out, resistors),
    ]
    return parts, loop_meters(a, parts, (node, GROUND), out, rest.high)
