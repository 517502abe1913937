"""How near the string comes to the heads, and whether it touches."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wirebloom.take.levels import HEARD, LAST, last_rows
from wirebloom.take.take import Take

PAUSE = 0.5  # s without a touch that ends a spell of buzzing
OFTEN = 0.5  # share of the frames of the last second with a touch, from which on buzz is steady
LYING = 0.2  # least contact force over the mean one, from which on a string lies on a face
ONSET = 0.25  # of a frame's peak: where the contact force counts as begun, above the ripple of the sampling filter


def clearance(take: Take, poles: Sequence[int]) -> tuple[float, int] | None:
    """Lowest gap reached over some poles, m, and at which of them; None without a pole."""
    gaps = take.frames.least_gap[:, list(poles)]
    if gaps.size == 0:
        return None
    least = gaps.min(axis=0)
    nearest = int(np.argmin(least))
    return float(least[nearest]), poles[nearest]


def touched_rows(take: Take, poles: Sequence[int]) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Rows (f,) in whose frame a contact force acted at one of the poles."""
    return np.asarray((take.frames.most_contact[:, list(poles)] > 0.0).any(axis=1))


def touches_at_end(take: Take, poles: Sequence[int], span: float) -> bool:
    """Whether there was a touch in the last `span` seconds."""
    return bool(touched_rows(take, poles)[last_rows(take.frames.time, span)].any())


def _moment(take: Take, poles: Sequence[int], row: int) -> float:
    """When within the frame of a row the contact began, s: to a sample where the force shows it, else the frame's end."""
    time = take.frames.time
    first, end = (round(float(time[r]) * take.audio_rate) for r in (max(row - 1, 0), row))
    force = take.signals.contact_force[first:end, list(poles)].max(axis=1, initial=0.0)
    if force.size == 0 or force.max() <= 0.0:
        return float(time[row])
    return (first + int(np.argmax(force >= ONSET * force.max()))) / take.audio_rate


def first_touch(take: Take, poles: Sequence[int]) -> float | None:
    """When the string first touched a face, s; None if it never did."""
    rows = np.flatnonzero(touched_rows(take, poles))
    return _moment(take, poles, int(rows[0])) if rows.size else None


def buzz_class(take: Take, poles: Sequence[int]) -> str:
    """Tell how the string and the faces get on at the end of the run, in broad classes.

    Returns
    -------
    {"none", "passing", "occasional", "steady", "resting"}
        No touch at all; touches, but none in the last 0.5 s; in fewer than half of the frames of the last second; in half
        of them or more; the string lies on a face. How often it touches is only known to a factor of 3, and so is the
        border between occasional and steady.
    """
    touched = touched_rows(take, poles)
    if not touched.any():
        return "none"
    if not touches_at_end(take, poles, HEARD):
        return "passing"
    if _lies(take, poles):
        return "resting"
    return "steady" if touched[last_rows(take.frames.time, LAST)].mean() >= OFTEN else "occasional"


def _lies(take: Take, poles: Sequence[int]) -> bool:
    """Whether the contact force at a pole hardly ever lets go over the last 0.5 s."""
    force = take.signals.contact_force[-max(1, round(HEARD * take.audio_rate)) :, list(poles)]
    if force.size == 0:
        return False
    return bool((force.min(axis=0) > LYING * force.mean(axis=0)).any())


def buzz_since(take: Take, poles: Sequence[int]) -> float | None:
    """When the present spell of touches began, s; spells are parted by 0.5 s without one. None if there is no buzz."""
    if buzz_class(take, poles) not in ("occasional", "steady"):
        return None
    rows = np.flatnonzero(touched_rows(take, poles))
    pauses = np.flatnonzero(np.diff(take.frames.time[rows]) > PAUSE)
    return _moment(take, poles, int(rows[pauses[-1] + 1] if pauses.size else rows[0]))
