"""How near a string comes to the faces, and whether it meets them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wirebloom.take.take import Take
from wirebloom.take.window import Flags, by_frame, rows_of_last

JUDGED = 1.0  # s at the end that name the buzz
OFTEN = 0.5  # of the late frames
ALWAYS = 0.9  # of the late samples
SEEN = 0.01  # of a frame's highest contact force: above the ripple of the recorder's filter
BUZZES = ("none", "early", "occasional", "steady", "resting")


@dataclass(frozen=True)
class Nearness:
    """Over a set of poles.

    Attributes
    ----------
    clearance_mm : float or None
        Lowest gap in motion; 0 once a face is met. None where there is no head, or no record.
    head : str or None
        At which it is reached.
    first_touch_s : float or None
        First contact.
    buzz : str
        "none": never touches; "early": touched, but not in the last second; "occasional": in less than half of that
        second's frames; "steady": in more; "resting": lies on a face.
    """

    clearance_mm: float | None
    head: str | None
    first_touch_s: float | None
    buzz: str


def nearness(take: Take, poles: Sequence[int]) -> Nearness:
    """Nearness over these poles."""
    gap = take.frames.least_gap[:, list(poles)]
    if gap.size == 0 or "least_gap" in take.lost:
        return Nearness(None, None, None, "none")
    nearest = int(gap.min(axis=0).argmin())
    touched = np.asarray(((take.frames.most_contact[:, list(poles)] > 0.0) | (gap < 0.0)).any(axis=1))
    return Nearness(
        clearance_mm=0.0 if touched.any() else float(gap.min()) * 1e3,
        head=take.sheet.poles[poles[nearest]].head,
        first_touch_s=first_touch(take, poles, touched),
        buzz=buzz(take, poles, touched),
    )


def first_touch(take: Take, poles: Sequence[int], touched: Flags) -> float | None:
    """Time of the first contact, s: the frame from the full rate, the place within it from the signals."""
    if not touched.any():
        return None
    row = int(touched.argmax())
    if row == 0:
        return float(take.frames.time[0])
    blocks = by_frame(take, take.signals.contact_force[:, list(poles)])
    pressed = blocks[row - 1].max(axis=1) if row <= blocks.shape[0] else np.zeros(1)
    inside = int((pressed > SEEN * pressed.max()).argmax()) if pressed.max() > 0.0 else 0
    return float(take.frames.time[row - 1] + inside / take.audio_rate)


def buzz(take: Take, poles: Sequence[int], touched: Flags) -> str:
    """Broad class of the contact; how often exactly a string touches is not predicted well enough to say."""
    if not touched.any():
        return "none"
    late = touched[rows_of_last(take, JUDGED)]
    if not late.any():
        return "early"
    if late.mean() < OFTEN:
        return "occasional"
    pressed = take.signals.contact_force[-round(JUDGED * take.audio_rate) :, list(poles)].max(axis=1, initial=0.0)
    lying = pressed.size and (pressed > SEEN * pressed.max()).mean() > ALWAYS
    return "resting" if lying else "steady"
