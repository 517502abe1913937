"""Single blocks of an amplifier → parts: op-amps and their feedback, power chips, buffers, couplings.

Every block begins at a joint, a node with the point about which its voltage rests, and ends at another.
"""

from __future__ import annotations

from collections.abc import Iterator

from wirebloom.circuit.elements import Here, Joint, device_parts, input_parts, levelled_parts
from wirebloom.circuit.parts import GROUND, Capacitor, Follower, Part, Resistor
from wirebloom.circuit.rails import Rest
from wirebloom.errors import RigError
from wirebloom.rig import Loop
from wirebloom.rig.dimensions import RESISTANCE
from wirebloom.rig.quantities import shown
from wirebloom.rig.sentences import sentence
from wirebloom.rig.stages import AnyStage, Buffer, Device, Link, OpAmp, PowerChip


def input_rest(loop: Loop, index: int, rest: Rest) -> str:
    """Node about which the first device's input rests, from a place in the row on: ground for a power chip."""
    ahead = next((stage for stage in loop.stages[index:] if isinstance(stage, Device)), None)
    return GROUND if isinstance(ahead, PowerChip) else rest.point


def block_parts(stage: AnyStage, here: Here, joint: Joint, rest: Rest) -> tuple[Joint, list[Part]]:
    """Parts of one block, and the joint at its end.

    Raises
    ------
    RigError
        If it asks for more gain than its device has.
    """
    if isinstance(stage, Link):
        return _link(stage, here, joint)
    if isinstance(stage, PowerChip):
        own = _power_chip(stage, here, joint, rest)
    elif isinstance(stage, Buffer):
        own = _buffer(stage, here, joint, rest)
    else:
        own = _op_amp(stage, here, joint, rest)
    return Joint(here.out, firm=True), list(own)


def _op_amp(stage: OpAmp, here: Here, joint: Joint, rest: Rest) -> Iterator[Part]:
    """With its feedback, and behind it what turns its level down, if anything does."""
    build, inner = _inverting if stage.topology == "inverting" else _non_inverting, here._replace(levelled=stage.levelling is not None)
    yield from build(stage, inner, joint, rest)
    if inner.levelled:
        yield from levelled_parts(stage, inner, rest)


def _link(stage: Link, here: Here, joint: Joint) -> tuple[Joint, list[Part]]:
    """Capacitor, then a resistor to the next block's resting point; a pot is two resistors with the wiper between them."""
    end, home = here.node("coupled"), here.home
    parts: list[Part] = [Capacitor(f"{here.label} coupling capacitor", joint.node, end, stage.capacitor, home)]
    if stage.share >= 1.0:
        return Joint(end, joint.ohm, firm=True), [*parts, Resistor(f"{here.label} coupling resistor", end, here.rest, stage.resistor, home)]
    wiper, lower = here.node("wiper"), stage.share * stage.resistor
    upper = Resistor(f"{here.label} pot, upper part", end, wiper, stage.resistor - lower, home)
    return Joint(wiper, joint.ohm), [*parts, upper, Resistor(f"{here.label} pot, lower part", wiper, here.rest, lower, home)]


def _non_inverting(stage: OpAmp, here: Here, joint: Joint, rest: Rest) -> Iterator[Part]:
    """Gain 1 + feedback/to_ground about the resting point."""
    minus = here.node("minus")
    if stage.to_ground is not None:
        yield Resistor(f"{here.label} resistor to ground", minus, rest.point, stage.to_ground, here.home)
    yield from _feedback(stage, here, minus)
    yield from input_parts(stage, here, (joint.node, minus, rest.point), firm=joint.firm)
    divider = 0.0 if stage.to_ground is None else 1.0 / (1.0 / stage.to_ground + 1.0 / stage.feedback)
    yield from device_parts(stage, here, (joint.node, minus), rest, stage.open_gain, ohm=divider)


def _inverting(stage: OpAmp, here: Here, joint: Joint, rest: Rest) -> Iterator[Part]:
    """Gain −feedback/(what lies before the summing node), the sense coils' own resistance included."""
    _require_gain(stage, here, joint.ohm + stage.input_resistor)
    minus = here.node("minus") if stage.input_resistor > 0.0 else joint.node
    if stage.input_resistor > 0.0:
        yield Resistor(f"{here.label} input resistor", joint.node, minus, stage.input_resistor, here.home)
    yield from _feedback(stage, here, minus)
    yield from input_parts(stage, here, (minus, rest.point, rest.point), firm=joint.firm and minus == joint.node)
    yield from device_parts(stage, here, (rest.point, minus), rest, stage.open_gain)


def _require_gain(stage: OpAmp, here: Here, ohm: float) -> None:
    if stage.feedback >= stage.open_gain * ohm:
        most, before = shown(stage.open_gain * ohm, RESISTANCE), shown(ohm, RESISTANCE)
        what = f"less than {most}, where the gain over the {before} before it is all that the device has"
        raise RigError(sentence(f"loops[{here.number}].stages[{here.place}].feedback", what, shown(stage.feedback, RESISTANCE)))


def _feedback(stage: OpAmp, here: Here, minus: str) -> Iterator[Part]:
    yield Resistor(f"{here.label} feedback resistor", here.out, minus, stage.feedback, here.home)
    if stage.feedback_capacitor is not None:
        yield Capacitor(f"{here.label} feedback capacitor", here.out, minus, stage.feedback_capacitor, here.home)


def _power_chip(stage: PowerChip, here: Here, joint: Joint, rest: Rest) -> Iterator[Part]:
    """Gain feedback/(inner + outer ∥ bypass) from ground to the resting point.

    The input, turned over, drives the gain network from one end and the output from the other; the device keeps the node
    between them at the resting point. So the gain is the network's to the letter, and the input takes no current.
    """
    minus, turned, middle = (here.node(word) for word in ("minus", "turned", "middle"))
    base = GROUND if rest.point == GROUND else here.node("base")
    yield from input_parts(stage, here, (joint.node, GROUND, GROUND), firm=joint.firm)
    if base != GROUND:
        yield Follower(f"{here.label} internal resting point", base, GROUND, rest.point, GROUND, 1.0, here.home)
    yield Follower(f"{here.label} internal input stage", turned, base, joint.node, GROUND, -1.0, here.home)
    yield Resistor(f"{here.label} internal inner resistor", turned, middle, stage.inner_resistor, here.home)
    yield Resistor(f"{here.label} internal outer resistor", middle, minus, stage.outer_resistor, here.home)
    if stage.bypass is not None:
        yield Capacitor(f"{here.label} bypass capacitor", middle, minus, stage.bypass, here.home)
    yield Resistor(f"{here.label} internal feedback resistor", here.out, minus, stage.feedback, here.home)
    yield from device_parts(stage, here, (rest.point, minus), rest, stage.open_gain)


def _buffer(stage: Buffer, here: Here, joint: Joint, rest: Rest) -> Iterator[Part]:
    yield from input_parts(stage, here, (joint.node, rest.point, rest.point), firm=joint.firm)
    yield from device_parts(stage, here, (joint.node, rest.point), rest, 1.0)
