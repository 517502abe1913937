"""Temperatures and times in words."""

from __future__ import annotations

from math import inf, isfinite

from wirebloom.views.amounts import figures

ZERO_CELSIUS = 273.15
CHARRED = 400.0  # °C: beyond it no number is worth telling
MINUTE, HOUR = 60.0, 3600.0


def celsius(kelvin: float) -> str:
    """Return a temperature (K) in °C."""
    return f"{kelvin - ZERO_CELSIUS:.0f} °C"


def temperatures(coolest: float, hottest: float | None) -> str:
    """Return a range of temperatures (K); None or infinite, and beyond any enamel: as far as it is worth telling.

    Examples
    --------
    >>> temperatures(303.15, 313.15), temperatures(500.0, None)
    ('30 to 40 °C', '227 °C or more')
    """
    highest = inf if hottest is None else hottest - ZERO_CELSIUS
    if coolest - ZERO_CELSIUS > CHARRED:
        return f"more than {CHARRED:.0f} °C"
    low = celsius(coolest)
    if highest > CHARRED:
        return f"{low} or more"
    return low if low == f"{highest:.0f} °C" else f"{low.removesuffix(' °C')} to {highest:.0f} °C"


def duration(seconds: float | None) -> str:
    """Return a time as one would say it.

    Examples
    --------
    >>> duration(41.0), duration(720.0), duration(9000.0)
    ('41 s', '12 min', '2.5 h')
    """
    if seconds is None or not isfinite(seconds):
        return "a long time"
    if seconds < 2.0 * MINUTE:
        return f"{figures(seconds, 2)} s"
    return f"{figures(seconds / MINUTE, 2)} min" if seconds < 2.0 * HOUR else f"{figures(seconds / HOUR, 2)} h"


def durations(first: float | None, last: float | None) -> str:
    """Return a range of times, its unit once where both have the same.

    Examples
    --------
    >>> durations(60.0, 100.0), durations(60.0, 600.0), durations(5.0, 5.0)
    ('60 to 100 s', '60 s to 10 min', '5 s')
    """
    one, other = duration(first), duration(last)
    if one == other:
        return one
    number, _, unit = one.partition(" ")
    return f"{number if other.endswith(' ' + unit) else one} to {other}"
