"""What can stand against a loop: one coil in two circuits, a supply that leaves nothing to swing, direct current in a coil."""

from __future__ import annotations

from collections.abc import Iterator

from wirebloom.rig.check_stages import stage_findings
from wirebloom.rig.dimensions import VOLTAGE
from wirebloom.rig.feeds import Fed, fed
from wirebloom.rig.finding import Finding
from wirebloom.rig.loops import Amplifier, Loop
from wirebloom.rig.models import Rig
from wirebloom.rig.quantities import shown


def loop_findings(rig: Rig) -> Iterator[Finding]:
    """Yield what stands against any of the loops."""
    used: dict[str, str] = {}
    for index, loop in enumerate(rig.loops):
        key, feed = f"loops[{index}]", fed(rig, loop)
        yield from _used_once(loop, key, used)
        if loop.amplifier is None:
            yield from stage_findings(loop, key, feed)
        else:
            yield from _swing(loop.amplifier, f"{key}.amplifier", feed)
        yield from _no_direct_current(loop, key, feed)


def _used_once(loop: Loop, key: str, used: dict[str, str]) -> Iterator[Finding]:
    for role, heads in (("sense", loop.sense), ("drive", loop.drive)):
        for place, head in enumerate(heads):
            here = f"{key}.{role}[{place}]"
            if head in used:
                yield Finding(False, here, "a head that is not in use yet", f"'{head}', which is {used[head]} already")
            used[head] = here


def _swing(amplifier: Amplifier, key: str, feed: Fed) -> Iterator[Finding]:
    if amplifier.headroom < feed.half:
        return
    why = "the headroom" if feed.split else "twice the headroom, as a single supply rests at half"
    least = shown(amplifier.headroom * (1.0 if feed.split else 2.0), VOLTAGE)
    if amplifier.supply is not None:
        yield Finding(True, f"{key}.supply", f"more than {least} ({why})", shown(feed.volts, VOLTAGE))
    else:
        what = f"less than {shown(feed.half, VOLTAGE)}, which supply '{feed.name}' leaves on either side"
        yield Finding(True, f"{key}.headroom", what, shown(amplifier.headroom, VOLTAGE))


def _no_direct_current(loop: Loop, key: str, feed: Fed) -> Iterator[Finding]:
    """A single supply rests at half its voltage: without a capacitor that would heat the coil for good."""
    blocked = loop.output.capacitor is not None or loop.phase.kind == "series capacitor"
    if not feed.split and not blocked:
        half = shown(feed.half, VOLTAGE)
        what = f"given with a single supply, whose output rests at {half} and would send a direct current through the coil"
        yield Finding(True, f"{key}.output.capacitor", what, "nothing")
