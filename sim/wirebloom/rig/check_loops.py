"""What can stand against a loop: one coil in two circuits, a supply that leaves nothing to swing, direct current in a coil."""

from __future__ import annotations

from collections.abc import Iterator

from wirebloom.rig.dimensions import VOLTAGE
from wirebloom.rig.finding import Finding
from wirebloom.rig.loops import Amplifier, Loop
from wirebloom.rig.models import Rig
from wirebloom.rig.quantities import shown


def loop_findings(rig: Rig) -> Iterator[Finding]:
    """Yield what stands against any of the loops."""
    used: dict[str, str] = {}
    for index, loop in enumerate(rig.loops):
        key = f"loops[{index}]"
        yield from _used_once(loop, key, used)
        yield from _swing(loop.amplifier, f"{key}.amplifier")
        yield from _no_direct_current(loop, key)


def _used_once(loop: Loop, key: str, used: dict[str, str]) -> Iterator[Finding]:
    for role, heads in (("sense", loop.sense), ("drive", loop.drive)):
        for place, head in enumerate(heads):
            here = f"{key}.{role}[{place}]"
            if head in used:
                yield Finding(False, here, "a head that is not in use yet", f"'{head}', which is {used[head]} already")
            used[head] = here


def _swing(amplifier: Amplifier, key: str) -> Iterator[Finding]:
    single = amplifier.supply_kind == "single"
    least = amplifier.headroom * (2.0 if single else 1.0)
    if amplifier.supply <= least:
        why = "twice the headroom, as a single supply rests at half" if single else "the headroom"
        yield Finding(True, f"{key}.supply", f"more than {shown(least, VOLTAGE)} ({why})", shown(amplifier.supply, VOLTAGE))


def _no_direct_current(loop: Loop, key: str) -> Iterator[Finding]:
    """A single supply rests at half its voltage: without a capacitor that would heat the coil for good."""
    blocked = loop.output.capacitor is not None or loop.phase.kind == "series capacitor"
    if loop.amplifier.supply_kind == "single" and not blocked:
        half = shown(loop.amplifier.supply / 2.0, VOLTAGE)
        what = f"given with a single supply, whose output rests at {half} and would send a direct current through the coil"
        yield Finding(True, f"{key}.output.capacitor", what, "nothing")
