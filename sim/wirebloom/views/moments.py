"""Moments that pictures mark."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.take.growth import linear_rows
from wirebloom.take.levels import bridge_power, settled
from wirebloom.take.outcome import JUDGED, MOSTLY, REACHED, STEADY, level_slope, start_time
from wirebloom.take.window import rows_of_last
from wirebloom.views.style import FAINT, moment, threshold

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.take import Take


def near_full_level(take: Take, string: int) -> float | None:
    """Return when a string's bridge force first reaches 90 % of its last amplitude, s; None if that does not stand at the end.

    While the drive is far from its swing nothing holds a note at a level: what stands then is noise.
    """
    slope, linear = level_slope(take, string), linear_rows(take, string)[rows_of_last(take, JUDGED)]
    stands = slope is not None and abs(slope) <= STEADY and linear[1:].mean() <= MOSTLY
    return start_time(take, string) if stands else None


def last_level(take: Take, string: int) -> float | None:
    """Return the level of a string's bridge force over the last half second, dB re 1 N; None in silence."""
    power = float(settled(take, bridge_power(take, string)).sum())
    return 10.0 * float(np.log10(power)) if power > 0.0 else None


def mark_full_level(ax: Axes, take: Take, string: int, level: float | None = None) -> None:
    """Mark that moment, and in an axis of levels (dB) 90 % of the last one."""
    begun = near_full_level(take, string)
    if begun is None:
        return
    moment(ax, begun, f"90 % after {begun:.2f} s")
    if level is not None:
        threshold(ax, level + 20.0 * float(np.log10(REACHED)), "90 % of the last level", color=FAINT, left=True)
