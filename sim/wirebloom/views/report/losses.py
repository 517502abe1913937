"""What a page says of, and leaves out of, a take whose file was damaged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from wirebloom.take.contents import FRAMES, SIGNALS

if TYPE_CHECKING:
    from wirebloom.take.take import Take
    from wirebloom.views.clips import Clip

HEARD = {"build-up": "sense_voltage", "bridge": "bridge_force", "body": "bridge_force", "drive": "drive_voltage"}
RECORDS = SIGNALS | FRAMES


def audible(found: Sequence[Clip], takes: Mapping[str, Take]) -> list[Clip]:
    """Return the clips whose signal is there: one that is lost would play as silence.

    Parameters
    ----------
    found : sequence of Clip
    takes : mapping of str to Take
        That they are of.
    """
    return [clip for clip in found if HEARD.get(clip.kind) not in takes[clip.take].lost]


def first_said(take: Take, notices: Sequence[str]) -> Sequence[str]:
    """Return what is to be said first: what is known of the damage, or of a take that was saved again, what it has lost."""
    if notices or not take.lost:
        return notices
    names = [RECORDS[name].long_name if name in RECORDS else name for name in take.lost]
    return (f"It comes from a damaged file. Some records are lost, and nothing is measured from them: {'; '.join(names)}.",)
