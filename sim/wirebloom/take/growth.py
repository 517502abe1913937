"""Growth rate of a partial while the loop is linear: the slope of ln(amplitude) over the longest straight stretch.

Linear means that the drive stays below 1 % of its swing. Before the note stands clear of noise and of what else the start
set in motion, ln(amplitude) is not straight: the fit sheds rows at either end until its two halves agree.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wirebloom.take.levels import partial_amplitude
from wirebloom.take.take import Floats, Take
from wirebloom.take.window import Flags, by_frame, loops_driving

SMALL = 0.01  # of the swing: below it the loop is linear
FEWEST_ROWS = 8
LEAST_RISE = 0.7  # nepers that a stretch must span, a doubling: noise shows less by chance
WORST_SCATTER = 0.1  # of the rise, rms about the line
BEND = 0.02  # of the slope, that its halves may differ beyond what scatter explains
SHED = 0.1  # of the stretch, dropped at one end at a time


@dataclass(frozen=True)
class Growth:
    """Growth rate of one partial in one polarisation, and the stretch of time that it was read from."""

    rate_per_s: float
    partial: int
    polarisation: int
    start_s: float
    end_s: float


def linear_rows(take: Take, string: int) -> Flags:
    """Rows (f,) in whose frame all drives of this string stay below 1 % of their swing; a sine counts by its peak.

    A string that nothing drives answers to all loops. The row of t = 0 ends no frame and does not count.
    """
    linear = np.ones(take.frames.time.size, dtype=bool)
    linear[:1] = False
    for a in loops_driving(take, string) or range(len(take.sheet.loops)):
        loop, volts = take.sheet.loops[a], by_frame(take, take.signals.drive_voltage[:, a])
        about = volts - np.float32(loop.bias_V)
        square = np.einsum("ft,ft->f", about, about) / max(about.shape[1], 1)
        below = 2.0 * square < (SMALL * min(-loop.swing_low_V, loop.swing_high_V)) ** 2
        linear[1 : 1 + below.size] &= below
        linear[1 + below.size :] = False
    return linear


def growth(take: Take, string: int, partial: int | None, linear: Flags) -> Growth | None:
    """Growth of a partial (from 1) in the polarisation where it is the larger; None where no straight stretch is found.

    linear (f,) are the rows to look at: see :func:`linear_rows`.
    """
    if partial is None:
        return None
    first, last = longest_run(linear)
    amplitude = partial_amplitude(take, string)[first:last, :, partial - 1]
    time = take.frames.time[first:last]
    if time.size < FEWEST_ROWS:
        return None
    polarisation = int(amplitude[-1].argmax())
    height = amplitude[:, polarisation]
    found = straight(time[height > 0.0], np.log(height[height > 0.0]))
    return None if found is None else Growth(found[0], partial, polarisation, found[1], found[2])


def longest_run(flags: Flags) -> tuple[int, int]:
    """First and one past the last index of the longest stretch of true flags."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(int)))
    if edges.size == 0:
        return 0, 0
    best = int((edges[1::2] - edges[0::2]).argmax())
    return int(edges[2 * best]), int(edges[2 * best + 1])


def straight(time: Floats, height: Floats) -> tuple[float, float, float] | None:
    """Slope, start and end of the longest straight stretch of height over time; None if there is none."""
    first, last = 0, time.size
    while last - first >= FEWEST_ROWS:
        if bend(time[first:last], height[first:last]) <= 1.0:
            return settled_slope(time[first:last], height[first:last])
        shed = max(1, round(SHED * (last - first)))
        if bend(time[first + shed : last], height[first + shed : last]) <= bend(time[first : last - shed], height[first : last - shed]):
            first += shed
        else:
            last -= shed
    return None


def settled_slope(time: Floats, height: Floats) -> tuple[float, float, float] | None:
    """Slope, start and end of a stretch that counts as straight, or of its later half if it rises; None if it tells nothing.

    What else the start set in motion fades beside a growing note: the later half is the truer one, as long as it lasts.
    """
    half = time.size // 2
    if height[-1] > height[0] and half >= FEWEST_ROWS:
        time, height = time[half:], height[half:]
    slope, scatter = line(time, height)
    rise = abs(slope) * float(time[-1] - time[0])
    return (slope, float(time[0]), float(time[-1])) if rise >= LEAST_RISE and scatter <= WORST_SCATTER * rise else None


def line(time: Floats, height: Floats) -> tuple[float, float]:
    """Slope of the straight line through the points, and their rms distance from it."""
    t, h = time - time.mean(), height - height.mean()
    slope = float(t @ h / (t @ t))
    return slope, float(np.sqrt(np.mean((h - slope * t) ** 2)))


def bend(time: Floats, height: Floats) -> float:
    """Difference between the slopes of the two halves, as a share of what a straight line with this scatter would be forgiven."""
    middle = time.size // 2
    if middle < 3:
        return 0.0
    before, after = (line(time[part], height[part]) for part in (slice(0, middle), slice(middle, None)))
    width = float(time[middle] - time[0]) * float(np.sqrt(middle / 12.0))
    forgiven = BEND * abs(before[0] + after[0]) / 2.0 + 3.0 * float(np.hypot(before[1], after[1])) / width
    return abs(before[0] - after[0]) / max(forgiven, 1e-12)
