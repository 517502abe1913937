"""A band as numbers for machines."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from wirebloom.take.band import Band, End
from wirebloom.take.ends import spans
from wirebloom.take.measures import StringMeasures


def band_summary(band: Band | None, index: int, string: StringMeasures) -> dict[str, Any] | None:
    """Return what a string does over the band; None without a band.

    Parameters
    ----------
    band : Band or None
    index : int
        Of the string.
    string : StringMeasures
        What it does in the run itself.
    """
    if band is None:
        return None
    answer: dict[str, Any] = {}
    for name, found in spans(band, index, string).items():
        measure, unit = _parted(name)
        answer[f"{measure}_low_{unit}"], answer[f"{measure}_high_{unit}"] = found or (None, None)
    return answer | {name: _end(end, index) for name, end in band.ends.items()}


def _parted(name: str) -> tuple[str, str]:
    """Name of a measure and its unit, which stays at the end of the key."""
    for unit in ("per_s", "mm", "s"):
        if name.endswith(f"_{unit}"):
            return name.removesuffix(f"_{unit}"), unit
    raise ValueError(f"name must be one with a unit; instead received {name}.")


def _end(end: End, index: int) -> dict[str, Any]:
    string = end.strings[index]
    return {"status": end.status, "starts": string.starts} | asdict(string)
