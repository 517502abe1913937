"""A check as numbers for machines: finite or null, the unit in every key."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from math import isfinite
from typing import Any

import numpy as np

from wirebloom.take.check import Check
from wirebloom.take.check_map import PartialMap
from wirebloom.take.check_sheet import HeadStatic, StringStatic
from wirebloom.take.check_signs import LoopSigns
from wirebloom.take.check_small import PartialCheck
from wirebloom.take.summary import POLARISATIONS

MM = 1e3


def check_summary(check: Check) -> dict[str, Any]:
    """Return what a machine needs to know of a check; curves stay out.

    Parameters
    ----------
    check : Check
    """
    answer = {
        "title": check.title,
        "verdict": check.verdict,
        "words": [*check.sheet.words, *check.signs.words],
        "strings": [_string(check, string) for string in check.sheet.strings],
        "partials": [_partial(own) for own in check.small.partials],
        "electrical": [_of(own) for own in check.small.electrical],
        "signs": [_signs(own) for own in check.signs.loops],
        "steady": [_of(own) for own in check.saturated.states],
        "amplitude_error": check.saturated.amplitude_error,
        "notes": list(check.saturated.notes),
        "margins": _of(check.margins),
        "advice": None if check.advice is None else _of(check.advice),
        "heads": [_head(head) for head in check.sheet.heads],
        "loops": [_of(loop) for loop in check.sheet.loops],
        "hearing": [_of(own) for own in check.sheet.hearing],
        "limits": list(check.limits),
        "cautions": list(check.cautions),
        "digest": check.digest,
    }
    return {key: plain(value) for key, value in answer.items()}


def map_summary(found: PartialMap) -> dict[str, Any]:
    """Return a map of the leading partial as rows over places, columns over capacitors."""
    answer: dict[str, Any] = plain(_of(found))
    return answer


def plain(value: Any) -> Any:
    """Return a value as JSON has it: arrays as lists, what is not finite as null.

    Examples
    --------
    >>> import numpy as np
    >>> plain({"a": np.array([1.0, np.inf]), "b": (np.int64(3), np.bool_(True))})
    {'a': [1.0, None], 'b': [3, True]}
    """
    if isinstance(value, np.ndarray | np.generic):
        value = value.tolist()
    if isinstance(value, float):
        return value if isfinite(value) else None
    if isinstance(value, Mapping):
        return {key: plain(own) for key, own in value.items()}
    return [plain(own) for own in value] if isinstance(value, list | tuple) else value


def _of(record: Any) -> Any:
    """Return a record's fields by name, records within it too."""
    if is_dataclass(record):
        return {field.name: _of(getattr(record, field.name)) for field in fields(record)}
    return [_of(own) for own in record] if isinstance(record, tuple) else record


def _string(check: Check, string: StringStatic) -> dict[str, Any]:
    likely = check.saturated.likely(string.name)
    return {
        "name": string.name,
        "verdict": check.verdict_of(string),
        "dominant_partial": None if likely is None else likely.partial,
        "pitch_Hz": None if likely is None else likely.frequency_Hz,
        "clearance_mm": None if likely is None else MM * likely.clearance_m,
    } | {key: value for key, value in _of(string).items() if key != "name"}


def _partial(own: PartialCheck) -> dict[str, Any]:
    answer: dict[str, Any] = _of(own)
    return answer | {"polarisation": POLARISATIONS[own.polarisation], "margin_dB": own.margin_dB}


def _head(head: HeadStatic) -> dict[str, Any]:
    answer: dict[str, Any] = _of(head)
    return answer | {
        "gap_mm": MM * head.gap_m,
        "rest_gap_mm": MM * head.rest_gap_m,
        "emf_V_per_mm_s": head.emf_V_per_mm_s,
        "force_N_per_mA": head.force_N_per_mA,
    }


def _signs(own: LoopSigns) -> dict[str, Any]:
    answer: dict[str, Any] = _of(own)
    return answer | {name: getattr(own, name) for name in ("sign", "normal", "reversed", "neither", "fed", "damped")}
