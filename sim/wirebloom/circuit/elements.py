"""The amplifying element of a block with what its inputs and its output have of their own; joints between blocks."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot, pi
from typing import NamedTuple

from wirebloom.circuit.parts import ENDLESS, GROUND, Capacitor, Follower, Levelling, Part, Resistor, Stage
from wirebloom.circuit.rails import Rest
from wirebloom.physics.thermal import thermal_noise
from wirebloom.rig.stages import Buffer, Device

POLE_RESISTOR = 1e6  # Ω: of a second pole; any will do, a large one takes next to no power
LEVELLER_BANDWIDTH, LEVELLER_SLEW = 1e6, 1e9  # Hz, V/s: of the element that turns a level down; out of the way
WARM = 293.15  # K: of the resistors; 10 K more are 0.15 dB of their noise


class Joint(NamedTuple):
    """Between two blocks.

    Attributes
    ----------
    node : str
    ohm : float
        Resistance of the sense coils ahead of it, Ω; 0 behind a device.
    firm : bool
        Whether a few picofarads make no difference to it: behind an output or a coupling capacitor.
    """

    node: str
    ohm: float = 0.0
    firm: bool = False


class Here(NamedTuple):
    """Which block is being built.

    Attributes
    ----------
    loop : str
        Name of its loop.
    number : int
        That of the loop.
    place : int
        Place in the row of stages.
    label : str
        What the names of its parts begin with.
    last : bool
        Whether the drive coils come next.
    rest : str
        Node about which the input of this block rests, or of the next device if it is none.
    levelled : bool
        Whether an element that turns the level down follows before its end.
    """

    loop: str
    number: int
    place: int
    label: str
    last: bool
    rest: str
    levelled: bool = False

    @property
    def home(self) -> int:
        """Circuit to which its heat is booked."""
        return 2 * self.number + (1 if self.last else 0)

    @property
    def out(self) -> str:
        """Node at its end, of the device's own."""
        if self.levelled:
            return self.node("as loud as it comes")
        return f"{self.loop}.out" if self.last else self.node("out")

    def node(self, word: str) -> str:
        """One of its own nodes."""
        return f"{self.loop}.{self.place + 1} {word}"


def input_parts(stage: Device, here: Here, nodes: tuple[str, str, str], *, firm: bool) -> Iterator[Part]:
    """What an input itself takes, nodes (own, other, rest): resistance to the other input, capacitance to the resting point."""
    node, other, rest = nodes
    yield Resistor(f"{here.label} input resistance", node, other, stage.input_resistance, here.home)
    if stage.input_capacitance > 0.0 and not firm:
        yield Capacitor(f"{here.label} input capacitance", node, rest, stage.input_capacitance, here.home)


def device_parts(stage: Device, here: Here, inputs: tuple[str, str], rest: Rest, gain: float, *, ohm: float = 0.0) -> Iterator[Part]:
    """The amplifying element between its inputs (plus, minus) and its output resistance; a second pole comes before its limits.

    ohm: resistance of its feedback as its input sees it, whose thermal noise adds to the device's own.
    """
    plus, minus = inputs
    if stage.second_pole is not None:
        apart, late = here.node("apart"), here.node("late")
        yield Follower(f"{here.label} internal difference", apart, GROUND, plus, minus, 1.0, here.home)
        yield Resistor(f"{here.label} internal pole resistor", apart, late, POLE_RESISTOR, here.home)
        farad = 1.0 / (2.0 * pi * stage.second_pole * POLE_RESISTOR)
        yield Capacitor(f"{here.label} internal pole capacitor", late, GROUND, farad, here.home)
        plus, minus = late, GROUND
    bare = here.node("bare")
    yield _element(stage, here, (plus, minus, bare), rest, gain)._replace(noise=hypot(stage.noise, float(thermal_noise(ohm, WARM))))
    yield Resistor(f"{here.label} output resistance", bare, here.out, stage.output_resistance, here.home)


def _element(stage: Device, here: Here, ends: tuple[str, str, str], rest: Rest, gain: float) -> Stage:
    plus, minus, out = ends
    return Stage(
        name=f"{here.label} {stage.kind}",
        out=out,
        plus=plus,
        minus=minus,
        ref=rest.point,
        high=rest.high,
        low=rest.low,
        loop=here.number,
        gain=gain,
        bandwidth=stage.gain_bandwidth,
        slew=stage.slew,
        supply=rest.volts,
        headroom=(stage.headroom_up, stage.headroom_down),
        bend=stage.headroom_resistance,
        limit=ENDLESS if stage.current_limit is None else stage.current_limit,
        offset=stage.input_offset,
        noise=stage.noise,
        rejection=0.0 if stage.supply_rejection is None else 10.0 ** (-stage.supply_rejection / 20.0),
        quiescent=stage.quiescent_current,
        levelling=_levelling(stage),
    )


def _levelling(stage: Device) -> Levelling | None:
    """Of the element itself, where no feedback would undo it."""
    return levelling_of(stage) if isinstance(stage, Buffer) else None


def levelling_of(stage: Device) -> Levelling | None:
    """Its key in the words of parts."""
    own = stage.levelling
    return None if own is None else Levelling(own.level, own.attack, own.release)


def levelled_parts(stage: Device, here: Here, rest: Rest) -> Iterator[Part]:
    """What turns the level down behind a device with feedback: an element of gain 1 and no feedback, as fast as any."""
    bare, end = here.node("levelled"), here._replace(levelled=False).out
    element = _element(stage, here, (here.out, rest.point, bare), rest, 1.0)
    yield element._replace(
        name=f"{here.label} levelling",
        bandwidth=LEVELLER_BANDWIDTH,
        slew=LEVELLER_SLEW,
        offset=0.0,
        noise=0.0,
        rejection=0.0,
        quiescent=0.0,
        levelling=levelling_of(stage),
    )
    yield Resistor(f"{here.label} internal levelling resistance", bare, end, stage.output_resistance, here.home)
