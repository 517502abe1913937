"""What can stand against a loop's stages: nothing to swing in, more gain than the device has, a row that does not fit together."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from wirebloom.rig.dimensions import RESISTANCE, VOLTAGE
from wirebloom.rig.feeds import Fed
from wirebloom.rig.finding import Finding
from wirebloom.rig.loops import Loop
from wirebloom.rig.quantities import shown
from wirebloom.rig.stages import Device, Link, OpAmp, PowerChip


def stage_findings(loop: Loop, key: str, feed: Fed) -> Iterator[Finding]:
    """Yield what stands against the stages of a loop."""
    for index, stage in enumerate(loop.stages):
        here = f"{key}.stages[{index}]"
        if isinstance(stage, Device):
            yield from _room_to_swing(stage, here, feed)
            yield from _supply_borne(stage, here, feed)
        if isinstance(stage, OpAmp | PowerChip):
            yield from _gain(stage, here)
    yield from _active_end(loop, f"{key}.stages")
    yield from _source_resistance(loop, f"{key}.stages")
    if not feed.split:
        yield from _resting_points(loop, f"{key}.stages", feed)


def _room_to_swing(stage: Device, key: str, feed: Fed) -> Iterator[Finding]:
    for word in ("headroom_up", "headroom_down"):
        if getattr(stage, word) >= feed.half:
            what = f"less than {shown(feed.half, VOLTAGE)}, which supply '{feed.name}' leaves on either side of the resting point"
            yield Finding(True, f"{key}.{word}", what, shown(getattr(stage, word), VOLTAGE))


def _supply_borne(stage: Device, key: str, feed: Fed) -> Iterator[Finding]:
    if stage.highest_supply is not None and feed.whole > stage.highest_supply:
        what = f"at least {shown(feed.whole, VOLTAGE)}, what supply '{feed.name}' has from rail to rail: such a device would not bear it"
        yield Finding(True, f"{key}.highest_supply", what, shown(stage.highest_supply, VOLTAGE))


def closed_gain(stage: OpAmp | PowerChip) -> float | None:
    """Greatest gain that the resistors ask for; None where a coil's own resistance decides."""
    if isinstance(stage, PowerChip):
        return stage.feedback / (stage.inner_resistor + (stage.outer_resistor if stage.bypass is None else 0.0))
    if stage.to_ground is not None:
        return 1.0 + stage.feedback / stage.to_ground
    return stage.feedback / stage.input_resistor if stage.input_resistor else None


def _gain(stage: OpAmp | PowerChip, key: str) -> Iterator[Finding]:
    """A coil's resistance, which is not known here, can only lower the gain: what passes is looked at again when it is known."""
    asked = closed_gain(stage)
    if asked is not None and asked >= stage.open_gain and not (isinstance(stage, OpAmp) and stage.topology == "inverting"):
        yield Finding(True, f"{key}.open_gain", f"more than the gain of {asked:.4g} that its resistors ask for", f"{stage.open_gain:g}")


def _active_end(loop: Loop, key: str) -> Iterator[Finding]:
    last = len(loop.stages) - 1
    if isinstance(loop.stages[last], Link):
        what = "an op-amp, a power chip or a buffer at the end of the row: nothing else can drive a coil"
        yield Finding(True, f"{key}[{last}].kind", what, '"coupling"')


def _source_resistance(loop: Loop, key: str) -> Iterator[Finding]:
    """Only the first device has a coil ahead of it: behind a stage, an input resistor has to set the gain."""
    driven = False
    for index, stage in enumerate(loop.stages):
        if driven and isinstance(stage, OpAmp) and stage.topology == "inverting" and stage.input_resistor == 0.0:
            what = "more than 0 ohm behind another stage, where no coil's resistance sets the gain"
            yield Finding(True, f"{key}[{index}].input_resistor", what, shown(0.0, RESISTANCE))
        driven = driven or isinstance(stage, Device)


def _resting_points(loop: Loop, key: str, feed: Fed) -> Iterator[Finding]:
    """On a single supply every output rests at half of it, and a power chip's input at ground."""
    for index, (before, after) in enumerate(pairwise(loop.stages)):
        if isinstance(before, Device) and isinstance(after, PowerChip):
            what = f"behind a coupling: stages[{index}] rests at {shown(feed.half, VOLTAGE)} and the chip's input at ground"
            yield Finding(True, f"{key}[{index + 1}]", what, "one that is wired straight to it")
