"""Studies of heads that nobody computed: plain formulas in place of fields and forces. For tests of what reads studies."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from wirebloom.take.head_parts import FieldSheet, HeatSheet, PartSheet, WindingSheet
from wirebloom.take.head_study import AlongSheet, CurveSheet, HeadString, HeadStudy, RestSheet

PARTS = (
    PartSheet("core", 0.0, 2.5e-3, -10e-3, 0.0),
    PartSheet("coil", 2.8e-3, 5.6e-3, -8.5e-3, -0.5e-3),
    PartSheet("magnet", 0.0, 4e-3, -13e-3, -10e-3, "N35", "up"),
)
WINDING = WindingSheet(420, "0.10 mm", 1e-4, 1.125e-4, 1.17e-4, 2.8e-3, 8e-3, 1974, 1823, 0.237, 0.147, 11.08, 7.74e-4, 26.4e-3)


def heat(**changes) -> HeatSheet:
    current = np.linspace(0.0, 0.2, 40)
    made = HeatSheet(
        4.3e-4, (12.0, 25.0), 293.15, 333.15, 428.15, None, (0.086, 0.124), (0.137, 0.198), 27.9, current,
        293.15 + 6000.0 * current**2, 293.15 + 3000.0 * current**2, None, None, "class 155", (0.0052, 0.0124), (0.3, 1.86), None,
    )  # fmt: skip
    return replace(made, **changes)


def field(strength: float = 1.0) -> FieldSheet:
    radius, height = np.linspace(1e-4, 8e-3, 20), np.linspace(-15e-3, 5e-3, 30)
    size = strength * 0.02 / (1.0 + (radius / 3e-3) ** 2 + (height[:, None] / 3e-3) ** 2)
    up = np.linspace(0.0, 12e-3, 25)
    flux, axis = size * radius**2, strength * 0.03 / (1.0 + up / 3e-3)
    return FieldSheet(radius, height, size, 2.0 * size, flux, flux, up, axis, up, 0.4)


def along() -> AlongSheet:
    x = np.linspace(-15e-3, 15e-3, 31)
    up, load = 0.02 / (1.0 + (x / 3e-3) ** 2), np.exp(-((x / 2e-3) ** 2)) / (2e-3 * np.pi**0.5)
    return AlongSheet(x, up, up * x / 5e-3, 2.0 * up, up * x / 3e-3, x, load)


def curve(*, banded: bool = True, sense: float = 1.0) -> CurveSheet:
    gap = np.linspace(0.1e-3, 6e-3, 60)
    factor, pull = sense * 0.028 * np.exp(-gap / 1.4e-3), sense * 0.006 * np.exp(-gap / 1.4e-3)
    bands = [(0.7 * values, 1.5 * values) if banded else None for values in (factor, pull)]
    return CurveSheet(gap, factor, pull, *bands)


def rest(**changes) -> RestSheet:
    gap = np.geomspace(0.1e-3, 6e-3, 20)
    offset, sides = np.linspace(0.0, 3.75e-3, 16), np.array([0.5e-3, 1e-3, 2e-3])
    added = np.cos(offset * 600.0) / (1.0 + sides[:, None] / 1e-3)
    made = RestSheet(
        kind="free", rest_gap_m=0.985e-3, pull_N=3.2e-3, others_gap_m=1e-3, side_m=0.0, softness=0.011,
        stiffness_N_per_m=(369.0, 369.3), magnet_N_per_m=(-2.4, 0.45), together=(), gap_m=gap, kinds=("free",) * 20,
        rest_gaps_m=0.98 * gap, pulls_N=0.006 * np.exp(-gap / 1.4e-3), softnesses=0.02 * np.exp(-gap / 1e-3),
        latches_to_m=0.0, sticks_to_m=0.0, safe_m=0.0, strong_pull=1.9, side_offset_m=offset, side_gap_m=sides, side_N_per_m=added,
    )  # fmt: skip
    return replace(made, **changes)


def bistable(**changes) -> RestSheet:
    """Latched up to 0.4 mm, able to stay on the face up to 1.3 mm, safe from 1.6 mm on."""
    gap = np.geomspace(0.1e-3, 6e-3, 20)
    kinds = tuple("latched" if g < 0.4e-3 else "bistable" if g < 1.3e-3 else "free" for g in gap)
    known = {"kind": "bistable", "kinds": kinds, "latches_to_m": 0.4e-3, "sticks_to_m": 1.3e-3, "safe_m": 1.6e-3}
    return rest(**known | changes)


def string(name: str = "pier", **changes) -> HeadString:
    made = HeadString(
        name, "music wire", 0.38e-3, True, 0.256, 1e-3, 0.0, 0.0141, (0.0103, 0.0205), (1.9e-3, 6e-3), along(), curve(), rest(),
    )  # fmt: skip
    return replace(made, **changes)


def synthetic_study(**changes) -> HeadStudy:
    made = HeadStudy(
        "First note", "sense", ("drive", "odd"), ("drive",), "sense", "main", 24.1, 2.62e-3, 2.5e-3, PARTS, WINDING, heat(), field(),
        (string(),), ("It leaves something out.",), ("Something hurts.",),
    )  # fmt: skip
    return replace(made, **changes)


def measured_study() -> HeadStudy:
    """A head of which only force, pull and coil are known."""
    bare = string(along=None, factor_band_N_per_A=None, pull_band_N=None, curve=curve(banded=False))
    return synthetic_study(parts=(), winding=None, heat=None, field=None, strings=(bare,))
