"""Measures of the runs at the two ends of a band, and the ranges that they span with the run between them."""

from __future__ import annotations

import numpy as np

from wirebloom.take.band import COMPLETE, DIVERGED, Band, End, Floats, StringEnd, span
from wirebloom.take.levels import bridge_power
from wirebloom.take.measures import StringMeasures, measured_strings
from wirebloom.take.take import Take


def end_of(take: Take) -> End:
    """Measure the take of a run at one end."""
    strings = measured_strings(take)
    sheets = take.sheet.strings
    level = np.stack([force_level(take, s) for s in range(len(sheets))], axis=1)
    return End(COMPLETE, tuple(_string_end(sheet.equilibrium, one) for sheet, one in zip(sheets, strings, strict=True)), level)


def diverged_end(strings: int, rows: int) -> End:
    """Where a run left all bounds."""
    lost = StringEnd("free", None, None, None, None, None, 0.0, None, None, None, "none")
    return End(DIVERGED, (lost,) * strings, np.zeros((rows, strings)))


def force_level(take: Take, string: int) -> Floats:
    """Amplitude of a string's bridge force over the slow records (f,), N."""
    return np.asarray(np.sqrt(bridge_power(take, string).sum(axis=1)))


def _string_end(equilibrium: str, string: StringMeasures) -> StringEnd:
    near = string.near
    return StringEnd(
        equilibrium=equilibrium,
        outcome=string.outcome,
        start_time_s=string.start_time_s,
        growth_rate_per_s=string.growth_rate_per_s,
        dominant_partial=string.dominant_partial,
        pitch_Hz=string.pitch_Hz,
        bridge_force_N=string.bridge_force_N,
        clearance_mm=near.clearance_mm,
        head=near.head,
        first_touch_s=near.first_touch_s,
        buzz=near.buzz,
    )


def spans(band: Band, index: int, string: StringMeasures) -> dict[str, tuple[float, float] | None]:
    """Over the run and both its ends: start time, growth rate and clearance of a string, by the names of their measures."""
    ends = [end.strings[index] for end in band.ends.values() if end.status == COMPLETE]
    return {
        "start_time_s": span([string.start_time_s, *(end.start_time_s for end in ends)]),
        "growth_rate_per_s": span([string.growth_rate_per_s, *(end.growth_rate_per_s for end in ends)]),
        "clearance_mm": span([string.near.clearance_mm, *(end.clearance_mm for end in ends)]),
    }
