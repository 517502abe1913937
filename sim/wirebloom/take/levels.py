"""Levels of the partials at the bridge and at the drive heads, both polarisations together by power."""

from __future__ import annotations

import numpy as np

from wirebloom.take.take import Floats, Take
from wirebloom.take.window import poles_of, rows_of_last

SETTLED = 0.5  # s at the end over which partials are ranked


def partial_amplitude(take: Take, string: int) -> Floats:
    """Amplitude (f, 2, N) of the string's own partials, m (the record is padded to the longest string's)."""
    count = take.sheet.strings[string].bridge_N_per_m.size
    return take.frames.amplitude[:, string, :, :count]


def bridge_power(take: Take, string: int) -> Floats:
    """Square of the bridge force's amplitude (f, N), N²."""
    force = partial_amplitude(take, string) * take.sheet.strings[string].bridge_N_per_m
    return np.asarray((force**2).sum(axis=1))


def head_power(take: Take, string: int) -> Floats:
    """Square of the displacement's amplitude at the string's drive heads (f, N), m²."""
    poles = poles_of(take, string, "drive")
    count = take.sheet.strings[string].bridge_N_per_m.size
    weights = np.array([take.sheet.poles[j].weight[:count] for j in poles]).reshape(-1, count)
    return np.asarray((partial_amplitude(take, string) ** 2).sum(axis=1) * (weights**2).sum(axis=0))


def settled(take: Take, power: Floats) -> Floats:
    """Mean (N,) of a power (f, N) over the last half second."""
    rows = power[rows_of_last(take, SETTLED)]
    return np.asarray(rows.mean(axis=0)) if rows.shape[0] else np.zeros(power.shape[1])


def loudest(power: Floats) -> int | None:
    """Number, from 1, of the partial with the highest power (N,); None in silence."""
    return int(power.argmax()) + 1 if power.size and power.max() > 0.0 else None
