"""Point dampers and outside forces → weights on the modes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wirebloom.compile.strings import padded, padded_count
from wirebloom.kernels.layout import Dampers, Drivers
from wirebloom.physics.shapes import point_weights
from wirebloom.physics.string import StringModes
from wirebloom.rig import Rig, Start

NEVER = 2**62  # a step that no run reaches


def lay_out_dampers(rig: Rig, modes: Sequence[StringModes], step: float) -> Dampers:
    """All point dampers of all strings; `step` in s."""
    count = padded_count(modes)
    found = [(s, damper) for s, string in enumerate(rig.strings) for damper in string.dampers]
    weights = [point_weights(damper.position, modes[s]) for s, damper in found]
    windows = [(round(d.start / step), NEVER if d.end is None else round(d.end / step)) for _, d in found]
    return Dampers(
        string=np.array([s for s, _ in found], dtype=np.int64),
        weight=padded(weights, count) if found else np.zeros((0, count)),
        strength=np.array([w @ w / modes[s].mass for w, (s, _) in zip(weights, found, strict=True)]),
        resistance=np.array([damper.resistance for _, damper in found]),
        window=np.array(windows, dtype=np.int64).reshape(-1, 2),
    )


def started_string(rig: Rig, start: Start) -> int:
    """Index of the string that a pluck or a tap moves: the named one, or the first."""
    names = [string.name for string in rig.strings]
    return names.index(start.string) if start.string is not None else 0


def lay_out_drivers(rig: Rig, start: Start, modes: Sequence[StringModes]) -> Drivers:
    """The tap's place, if the run starts with a tap."""
    count = padded_count(modes)
    if start.kind != "tap" or start.position is None:
        return Drivers(np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64), np.zeros((0, count)))
    s = started_string(rig, start)
    weight = padded([point_weights(start.position, modes[s])], count)
    return Drivers(np.array([s]), np.array([0]), weight)
