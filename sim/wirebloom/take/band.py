"""What a run comes to at either end of what is known of its heads: every head weak, and every head strong."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
STARTS = ("sustained", "growing")
COMPLETE, DIVERGED = "complete", "diverged"


@dataclass(frozen=True)
class StringEnd:
    """One string at one end; names as in :class:`~wirebloom.take.measures.StringMeasures` and its nearness, and None as there."""

    equilibrium: str
    outcome: str | None
    start_time_s: float | None
    growth_rate_per_s: float | None
    dominant_partial: int | None
    pitch_Hz: float | None
    bridge_force_N: float
    clearance_mm: float | None
    head: str | None
    first_touch_s: float | None
    buzz: str

    @property
    def starts(self) -> bool | None:
        """Sustained or growing; None for a run too short to tell."""
        return None if self.outcome is None else self.outcome in STARTS


@dataclass(frozen=True)
class End:
    """One end of the band.

    Attributes
    ----------
    status : str
        "complete", or "diverged": the run left all bounds, and the rest tells nothing.
    strings : tuple of StringEnd
    level_N : (f, S) ndarray
        Amplitude of each string's bridge force, all partials together by power, N; rows as in the slow records.
    """

    status: str
    strings: tuple[StringEnd, ...]
    level_N: Floats


@dataclass(frozen=True)
class Band:
    """Both ends."""

    weak: End
    strong: End

    @property
    def ends(self) -> dict[str, End]:
        """By what they are called."""
        return {"weak": self.weak, "strong": self.strong}


def span(values: Iterable[float | None]) -> tuple[float, float] | None:
    """Least and greatest of the values there are; None if there are none.

    Examples
    --------
    >>> span([1.4, None, 0.6])
    (0.6, 1.4)
    """
    there = [value for value in values if value is not None]
    return (min(there), max(there)) if there else None
