"""A study of a head as numbers for machines: finite or null, the unit in every key."""

from __future__ import annotations

from dataclasses import asdict
from math import isfinite
from typing import Any

from wirebloom.take.head_parts import HeatSheet
from wirebloom.take.head_study import HeadString, HeadStudy

MM = 1e3
ZERO_CELSIUS = 273.15


def head_summary(study: HeadStudy) -> dict[str, Any]:
    """Return what a machine needs to know of a head; the maps stay out.

    Parameters
    ----------
    study : HeadStudy
    """
    field = study.field
    return {
        "title": study.title,
        "head": study.head,
        "role": study.role,
        "loop": study.loop or None,
        "same_build": list(study.alike),
        "resistance_ohm": study.resistance_ohm,
        "inductance_H": study.inductance_H,
        "time_constant_s": study.inductance_H / study.resistance_ohm,
        "winding": None if study.winding is None else asdict(study.winding),
        "heat": None if study.heat is None else _heat(study.heat),
        "face_field_T": None if field is None else float(field.axis_magnet_T[0]),
        "iron_field_T": None if field is None else field.core_T,
        "magnets": [] if field is None else [asdict(magnet) for magnet in field.magnets],
        "strings": [_string(string) for string in study.strings],
        "limits": list(study.limits),
        "cautions": list(study.cautions),
    }


def _heat(heat: HeatSheet) -> dict[str, Any]:
    return {
        "surface_m2": heat.surface_m2,
        "hot_resistance_ohm": heat.hot_ohm,
        "touch_degC": heat.touch_K - ZERO_CELSIUS,
        "touch_low_A": heat.touch_A[0],
        "touch_high_A": heat.touch_A[1],
        "enamel": heat.enamel,
        "enamel_degC": heat.enamel_K - ZERO_CELSIUS,
        "enamel_low_A": heat.enamel_A[0],
        "enamel_high_A": heat.enamel_A[1],
        "magnet_degC": None if heat.magnet_K is None else heat.magnet_K - ZERO_CELSIUS,
        "drive_A": heat.drive_A,
        "drive_low_degC": None if heat.drive_K is None else _finite(heat.drive_K[1] - ZERO_CELSIUS),
        "drive_high_degC": None if heat.drive_K is None else _finite(heat.drive_K[0] - ZERO_CELSIUS),
        **_both("conductance", heat.conductance_W_per_K, "W_per_K"),
        **_both("capacity", heat.capacity_J_per_K, "J_per_K"),
        "too_hot_low_s": None if heat.too_hot_s is None else _finite(heat.too_hot_s[0]),
        "too_hot_high_s": None if heat.too_hot_s is None else _finite(heat.too_hot_s[1]),
    }


def _string(string: HeadString) -> dict[str, Any]:
    rest = string.rest
    return {
        "string": string.name,
        "stands": string.stands,
        "position_m": string.position_m,
        "gap_mm": MM * string.gap_m,
        "offset_mm": MM * string.offset_m,
        "force_factor_N_per_A": string.factor_N_per_A,
        **_ends("force_factor", string.factor_band_N_per_A, "N_per_A"),
        "static_pull_N": rest.pull_N,
        **_ends("static_pull", string.pull_band_N, "N"),
        "band_note": string.band_note,
        "equilibrium": rest.kind,
        "rest_gap_mm": MM * rest.rest_gap_m,
        "side_mm": MM * rest.side_m,
        "softness": rest.softness,
        "string_stiffness_N_per_m": rest.stiffness_N_per_m[0],
        "string_side_stiffness_N_per_m": rest.stiffness_N_per_m[1],
        "magnet_stiffness_N_per_m": rest.magnet_N_per_m[0],
        "magnet_side_stiffness_N_per_m": rest.magnet_N_per_m[1],
        "latches_to_mm": _mm(rest.latches_to_m),
        "sticks_to_mm": _mm(rest.sticks_to_m),
        "safe_gap_mm": _mm(rest.safe_m),
    }


def _both(name: str, pair: tuple[float, float], unit: str) -> dict[str, float]:
    return {f"{name}_low_{unit}": pair[0], f"{name}_high_{unit}": pair[1]}


def _ends(name: str, band: tuple[float, float] | None, unit: str) -> dict[str, float | None]:
    return {f"{name}_low_{unit}": None, f"{name}_high_{unit}": None} if band is None else {**_both(name, band, unit)}


def _mm(length: float | None) -> float | None:
    return None if length is None else MM * length


def _finite(value: float) -> float | None:
    return value if isfinite(value) else None
