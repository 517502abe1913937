"""A take that nobody ran, whose drive current is ahead of the string's velocity by a known angle.

u = a cos ωt moves with the velocity aω cos(ωt + π/2); a current I cos(ωt + π/2 + φ) is ahead of it by φ.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from synthetic import FACTOR, PULL, SWING, synthetic_take
from wirebloom.take.take import Take

SIZE, CURRENT, DRIVE = 0.2e-3, 10e-3, 1
STIFFNESS = 3.0  # N/m, of the magnets: a force along with the string's place, larger than that of the current


def driven(
    degrees: float, *, sign: float = 1.0, noise: float = 0.0, partial: int = 1, duration: float = 2.0, output: float = SWING
) -> Take:
    """A take whose drive current is ahead of the velocity by so many degrees; sign: of its effect on the pull."""
    take = synthetic_take((), duration=duration)
    time = np.arange(len(take.signals.drive_current)) / take.audio_rate
    turn = 2.0 * np.pi * take.sheet.strings[0].frequency_Hz[0, partial - 1] * time
    rng = np.random.default_rng(6)
    motion = SIZE * np.cos(turn)
    current = CURRENT * np.cos(turn + np.pi / 2.0 + np.radians(degrees)) + noise * rng.normal(size=turn.size)
    force = PULL + FACTOR * current + STIFFNESS * motion
    moved, pushed = np.zeros_like(take.signals.displacement), np.zeros_like(take.signals.magnetic_force)
    moved[:, DRIVE, 0], pushed[:, DRIVE, 0] = motion, force
    volts = take.sheet.loops[0].bias_V + output * np.sign(np.cos(turn))
    flat = {"displacement": moved, "magnetic_force": pushed, "drive_current": sign * current[:, None], "drive_voltage": volts[:, None]}
    signals = replace(take.signals, **{name: values.astype(np.float32) for name, values in flat.items()})
    amplitude = take.frames.amplitude.copy()
    amplitude[:, 0, 0, partial - 1] = SIZE
    return replace(take, signals=signals, frames=replace(take.frames, amplitude=amplitude))
