"""A loop composed of stages → parts: sense coils, the stages in a row, the drive circuit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wirebloom.circuit.devices import block_parts, input_rest
from wirebloom.circuit.elements import Here, Joint
from wirebloom.circuit.parts import GROUND, Capacitor, Meter, Part, Resistor
from wirebloom.circuit.plain import drive_parts, loop_meters, sense_parts
from wirebloom.circuit.rails import Rest
from wirebloom.rig import Loop
from wirebloom.rig.stages import Device, Link, OpAmp


def stage_parts(loop: Loop, a: int, windings: Sequence[float], rest: Rest) -> tuple[list[Part], list[Meter]]:
    """Loop number a, composed of stages, as parts and meters.

    Parameters
    ----------
    loop : Loop
        With stages.
    a : int
    windings : (2,) sequence of float
        Resistance of its sense and of its drive coils, Ω.
    rest : Rest
        Its rails and the point about which it rests, see :func:`~wirebloom.circuit.rails.loop_rails`.

    Returns
    -------
    parts : list of Part
    meters : list of Meter

    Raises
    ------
    RigError
        If with the sense coils' own resistance a stage would have more gain than its device has.
    """
    base, node = sensed_about(loop, rest), f"{loop.name}.in"
    parts: list[Part] = [*sense_parts(loop, a, windings[0], node, base), *_load(loop, a, node, base)]
    joint = Joint(node, windings[0])
    for index, stage in enumerate(loop.stages):
        here = Here(loop.name, a, index, _label(loop, index), index == len(loop.stages) - 1, input_rest(loop, index, rest))
        joint, own = block_parts(stage, here, joint, rest)
        parts += own
    level = (("level resistor", loop.output.level_resistor),)
    parts += [*_snubber(loop, a, joint.node), *drive_parts(loop, a, windings[1], joint.node, level)]
    return parts, loop_meters(a, parts, _heard(loop, node, base), joint.node, rest.high)


def sensed_about(loop: Loop, rest: Rest) -> str:
    """Node at the far end of the sense coils: ground behind a coupling, else what the first device rests about."""
    return GROUND if isinstance(loop.stages[0], Link) else input_rest(loop, 0, rest)


def _label(loop: Loop, index: int) -> str:
    """What its parts' names begin with: a loop with one device needs no number."""
    devices = [k for k, stage in enumerate(loop.stages) if isinstance(stage, Device)]
    return loop.name if devices == [index] else f"{loop.name} stage {index + 1}"


def _load(loop: Loop, a: int, node: str, base: str) -> Iterator[Part]:
    if loop.input.coil_capacitance > 0.0:
        yield Capacitor(f"{loop.name} coil capacitance", node, base, loop.input.coil_capacitance, 2 * a)
    if loop.input.resistor is not None:
        yield Resistor(f"{loop.name} load resistor", node, base, loop.input.resistor, 2 * a)


def _heard(loop: Loop, node: str, base: str) -> tuple[str, str]:
    """Where the sense coils are listened to: at their terminals, or over their resistance where an inverting stage holds those still."""
    first = loop.stages[0]
    if isinstance(first, OpAmp) and first.topology == "inverting":
        return f"{loop.name}.sense", node
    return node, base


def _snubber(loop: Loop, a: int, out: str) -> Iterator[Part]:
    snubber = loop.output.snubber
    if snubber is not None:
        yield Resistor(f"{loop.name} snubber resistor", out, f"{loop.name}.snubber", snubber.resistor, 2 * a + 1)
        yield Capacitor(f"{loop.name} snubber capacitor", f"{loop.name}.snubber", GROUND, snubber.capacitor, 2 * a + 1)
