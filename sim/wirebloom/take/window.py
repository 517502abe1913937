"""Stretches of a take: its last second, the poles of a string, the loops that drive it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wirebloom.take.take import Floats, Samples, Take

Flags = NDArray[np.bool_]


def rows_of_last(take: Take, seconds: float) -> slice:
    """Rows of the slow records in the last so many seconds; all of them if the take is shorter."""
    time = take.frames.time
    late = time >= time[-1] - seconds - 1e-9
    return slice(int(late.argmax()), time.size) if time.size else slice(0, 0)


def samples_of_last(take: Take, seconds: float) -> slice:
    """Samples of the signals in the last so many seconds."""
    count = take.signals.bridge_force.shape[0]
    return slice(max(0, count - round(seconds * take.audio_rate)), count)


def frame_length(take: Take) -> int:
    """Samples in a frame; 0 when no frame was finished."""
    time = take.frames.time
    return round(float(time[1] - time[0]) * take.audio_rate) if time.size > 1 else 0


def by_frame(take: Take, values: Samples) -> Samples:
    """Signals (t, …) as (f − 1, samples in a frame, …): block f ends at row f + 1 of the slow records."""
    length = frame_length(take)
    count = values.shape[0] // length if length else 0
    return values[: count * length].reshape(count, length, *values.shape[1:])


def poles_of(take: Take, string: int, role: str | None = None) -> list[int]:
    """Poles of a string, of one role or of all."""
    name = take.sheet.strings[string].name
    return [j for j, pole in enumerate(take.sheet.poles) if pole.string == name and role in (None, pole.role)]


def loops_driving(take: Take, string: int) -> list[int]:
    """Loops with a drive head under this string."""
    names = {take.sheet.poles[j].loop for j in poles_of(take, string, "drive")}
    return [a for a, loop in enumerate(take.sheet.loops) if loop.name in names]


def output_about_bias(take: Take, loops: list[int]) -> Floats:
    """Amplifier outputs (t, loops) without their bias, V."""
    bias = [take.sheet.loops[a].bias_V for a in loops]
    return take.signals.drive_voltage[:, loops].astype(float) - bias
