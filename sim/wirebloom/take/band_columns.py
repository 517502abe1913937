"""A band ↔ arrays over its ends and the strings. Numbers that a measure does not define are stored as one that it never has."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import numpy as np

from wirebloom.take.attributes import fault
from wirebloom.take.band import Band, End, StringEnd
from wirebloom.take.columns import Arrays
from wirebloom.take.contents import BAND

NONE: dict[str, float] = {
    "start_time_s": -1.0,
    "growth_rate_per_s": 0.0,
    "dominant_partial": 0.0,
    "pitch_Hz": 0.0,
    "clearance_mm": -1.0,
    "first_touch_s": -1.0,
}
NAMES = tuple(field.name for field in fields(StringEnd))
ENDS = tuple(field.name for field in fields(Band))


def band_arrays(band: Band) -> Arrays:
    """Arrays over (end, string) by the names of a string's figures, and over (frame, end, string) of the level."""
    ends = [getattr(band, name) for name in ENDS]
    arrays = {
        name: np.array([[_stored(name, getattr(one, name)) for one in end.strings] for end in ends], dtype=_kind(name)) for name in NAMES
    }
    arrays["status"] = np.array([end.status for end in ends], dtype=object)
    arrays["level_N"] = np.stack([end.level_N for end in ends], axis=1)
    return arrays


def band_of(arrays: Arrays) -> Band:
    """The band that :func:`band_arrays` was given; ContentError if there are not two ends."""
    if arrays["status"].size != len(ENDS):
        raise fault("/band/end", "two ends", arrays["status"].size)
    strings = range(arrays["outcome"].shape[1])
    return Band(*(_end(arrays, end, strings) for end in range(len(ENDS))))


def _end(arrays: Arrays, end: int, strings: range) -> End:
    told = tuple(StringEnd(**{name: _read(name, arrays[name][end, s]) for name in NAMES}) for s in strings)
    return End(arrays["status"][end], told, np.ascontiguousarray(arrays["level_N"][:, end]))


def _kind(name: str) -> Any:
    return object if BAND[name].text else np.float64


def _stored(name: str, value: Any) -> Any:
    if value is None:
        return "" if BAND[name].text else NONE[name]
    return value


def _read(name: str, value: Any) -> Any:
    if BAND[name].text:
        return value or None
    if name in NONE and value == NONE[name]:
        return None
    return int(value) if name == "dominant_partial" else float(value)
