"""Growth rate of a partial while the loop is linear: the slope of ln(amplitude) over the longest straight stretch.

Linear means that the drive stays below 1 % of its swing. Before the note stands clear of noise and of the switch-on's
other partials, ln(amplitude) is not straight: the fit sheds rows at either end until its two halves agree.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wirebloom.take.levels import partial_amplitude
from wirebloom.take.take import Floats, Take
from wirebloom.take.window import by_frame, loops_driving, output_about_bias

SMALL = 0.01  # of the swing: below it the loop is linear
FEWEST_ROWS = 8
LEAST_RISE = 0.2  # nepers that a stretch must span
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

    @property
    def rise(self) -> float:
        """Nepers over the stretch."""
        return self.rate_per_s * (self.end_s - self.start_s)


def is_linear(take: Take, string: int) -> Floats:
    """For each finished frame (f − 1,), whether all drives of this string stay below 1 % of their swing; a sine counts by its peak."""
    loops = loops_driving(take, string) or list(range(len(take.sheet.loops)))
    swing = np.array([min(-take.sheet.loops[a].swing_low_V, take.sheet.loops[a].swing_high_V) for a in loops])
    blocks = by_frame(take, np.asarray(output_about_bias(take, loops), dtype=np.float32))
    peak = np.sqrt(2.0 * np.einsum("ftl,ftl->fl", blocks, blocks, dtype=float) / max(blocks.shape[1], 1))
    return np.asarray((peak < SMALL * swing).all(axis=1))


def growth(take: Take, string: int, partial: int | None) -> Growth | None:
    """Growth of a partial (from 1) in the polarisation where it is the larger; None where no straight stretch is found."""
    if partial is None:
        return None
    first, last = longest_run(is_linear(take, string))
    amplitude = partial_amplitude(take, string)[first + 1 : last + 1, :, partial - 1]
    time = take.frames.time[first + 1 : last + 1]
    if time.size < FEWEST_ROWS:
        return None
    polarisation = int(amplitude[-1].argmax())
    height = amplitude[:, polarisation]
    found = straight(time[height > 0.0], np.log(height[height > 0.0]))
    return None if found is None else Growth(found[0], partial, polarisation, found[1], found[2])


def longest_run(flags: Floats) -> tuple[int, int]:
    """First and one past the last index of the longest stretch of true flags."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], np.asarray(flags, dtype=int), [0]])))
    if edges.size == 0:
        return 0, 0
    best = int((edges[1::2] - edges[0::2]).argmax())
    return int(edges[2 * best]), int(edges[2 * best + 1])


def straight(time: Floats, height: Floats) -> tuple[float, float, float] | None:
    """Slope, start and end of the longest straight stretch of height over time; None if there is none."""
    first, last = 0, time.size
    while last - first >= FEWEST_ROWS:
        slope, scatter = line(time[first:last], height[first:last])
        if bend(time[first:last], height[first:last]) <= 1.0:
            rise = abs(slope) * (time[last - 1] - time[first])
            good = rise >= LEAST_RISE and scatter <= WORST_SCATTER * rise
            return (slope, float(time[first]), float(time[last - 1])) if good else None
        shed = max(1, round(SHED * (last - first)))
        if bend(time[first + shed : last], height[first + shed : last]) <= bend(time[first : last - shed], height[first : last - shed]):
            first += shed
        else:
            last -= shed
    return None


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
    width = float(time[middle] - time[0]) * np.sqrt(middle / 12.0)
    forgiven = BEND * abs(before[0] + after[0]) / 2.0 + 3.0 * float(np.hypot(before[1], after[1])) / width
    return abs(before[0] - after[0]) / max(forgiven, 1e-12)
