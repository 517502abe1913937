"""What stands on the bench, as a table in a maker's units."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from wirebloom.views.tables import Table

if TYPE_CHECKING:
    from wirebloom.rig import Loop, Rig
    from wirebloom.workbench.setup import Setup

MM = 1e3


def inventory(setup: Setup) -> Table:
    """Return strings, heads and loops, each with what it is and where it stands.

    Examples
    --------
    >>> import wirebloom as wb
    >>> inventory(wb.load("first_note")).rows[1]
    ('head sense', 'under pier, 256 mm from the bridge end, gap 1.00 mm')
    """
    rows = (*_strings(setup.rig), *_heads(setup.rig), *(_loop(loop) for loop in setup.rig.loops))
    return Table("What stands on the bench", ("what", "how"), rows)


def _strings(rig: Rig) -> Iterator[tuple[str, str]]:
    for string in rig.strings:
        tuned = f"{string.pitch:.1f} Hz" if string.pitch is not None else f"{string.tension:.1f} N"
        size = f"{MM * string.diameter:.2f} mm, {MM * string.length:.0f} mm long"
        yield f"string {string.name}", f"{string.material}, {size}, tuned to {tuned}"


def _heads(rig: Rig) -> Iterator[tuple[str, str]]:
    for head in rig.heads:
        for place in head.places:
            where = f"{MM * place.position:.0f} mm from the bridge end, gap {MM * place.gap:.2f} mm"
            yield f"head {head.name}", f"under {place.string}, {where}"


def _loop(loop: Loop) -> tuple[str, str]:
    stages = ", ".join(stage.kind for stage in loop.stages)
    gain = stages if loop.amplifier is None else f"amplifier of gain {loop.amplifier.gain:g}, polarity {loop.amplifier.polarity}"
    return f"loop {loop.name}", f"listens with {' and '.join(loop.sense)}, {gain}, pushes with {' and '.join(loop.drive)}"
