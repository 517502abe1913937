"""Fuse-links: the currents for which they are made, and when they blow.

Sources
-------
- Rated currents: the R 10 series of ISO 3, as IEC 60127-2 prints it from 32 mA to 10 A (from memory).
- Gates of IEC 60127-2, quick-acting and time-lag alike: at 1.5 times the rated current a link lasts an hour or more, at 2.1 times it
  blows, a time-lag one within two minutes, a quick one within half an hour (from memory).
- A link works at no more than 0.8 of its rated current, so that it lasts and does not blow on a warm day (common practice, no source).
"""

from __future__ import annotations

from bisect import bisect_left

RATED = (
    0.032, 0.04, 0.05, 0.063, 0.08, 0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3,
    8.0, 10.0,
)  # A  # fmt: skip
BLOWS = 2.1  # times the rated current
ROOM = 1.25  # rated over working current, at least


def fuse_for(current: float) -> float | None:
    """Smallest rated current (A) that a working rms current (A) leaves room in; None beyond the largest.

    Examples
    --------
    >>> fuse_for(0.08), fuse_for(0.0801)
    (0.1, 0.125)
    """
    place = bisect_left(RATED, ROOM * current * (1.0 - 1e-12))
    return RATED[place] if place < len(RATED) else None
