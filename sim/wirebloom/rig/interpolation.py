"""Straight lines between the rows of a small table."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence


def between(place: float, places: Sequence[float], values: Sequence[float]) -> float:
    """Return the value at a place; beyond the table the last value.

    Parameters
    ----------
    place : float
        Where.
    places, values : sequence of float
        The table, places rising.

    Examples
    --------
    >>> between(1.5, [1.0, 2.0], [10.0, 20.0])
    15.0
    """
    inside = min(max(place, places[0]), places[-1])
    upper = max(bisect_left(places, inside), 1)
    share = (inside - places[upper - 1]) / (places[upper] - places[upper - 1])
    return values[upper - 1] + share * (values[upper] - values[upper - 1])
