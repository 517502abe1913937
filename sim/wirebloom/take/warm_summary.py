"""Warmth of the drive coils as numbers for machines: finite or null, the unit in every key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from wirebloom.take.warm_parts import CoilWarmth, DriveWarmth

ZERO_CELSIUS = 273.15


def heat_summary(heat: Sequence[DriveWarmth]) -> list[dict[str, Any]]:
    """Return one object a loop, with one a coil in it."""
    return [
        {
            "loop": drive.loop,
            "duty": drive.duty,
            "drive_rms_A": drive.current_A,
            "bears_A": drive.bears_A,
            "fuse_A": drive.fuse_A,
            "fuse_blows_A": drive.blows_A,
            "full_drive_A": drive.full_A,
            "full_drive_too_hot_s": drive.full_s,
            "coils": [_coil(coil) for coil in drive.coils],
        }
        for drive in heat
    ]


def _coil(coil: CoilWarmth) -> dict[str, Any]:
    minute, ten = coil.marks_K
    return {
        "head": coil.head,
        "duty": coil.duty,
        "heat_W": coil.heat_W,
        **_ends("after_1_min", minute),
        **_ends("after_10_min", ten),
        **_ends("steady", coil.steady_K),
        "settled_low_s": coil.settled_s[0],
        "settled_high_s": coil.settled_s[1],
        "hot_low_ohm": coil.hot_ohm[0],
        "hot_high_ohm": coil.hot_ohm[1],
        "limit": coil.limit,
        "limit_degC": coil.limit_K - ZERO_CELSIUS,
        "enamel": coil.enamel,
        "too_hot_low_s": coil.too_hot_s[0],
        "too_hot_high_s": coil.too_hot_s[1],
        "touch_s": coil.touch_s,
    }


def _ends(name: str, pair: tuple[float, float | None]) -> dict[str, float | None]:
    low, high = (None if kelvin is None else kelvin - ZERO_CELSIUS for kelvin in pair)
    return {f"{name}_low_degC": low, f"{name}_high_degC": high}
