"""Values that can be bought: preferred numbers for resistors and capacitors, usual power and voltage ratings.

E12 and E24 of IEC 60063 (from memory). Ratings are what the trade sells (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, inf, log10

E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
E12 = E24[::2]
POWERS = (0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 20.0, 50.0, 100.0)  # W
VOLTAGES = (6.3, 10.0, 16.0, 25.0, 35.0, 50.0, 63.0, 100.0, 160.0, 250.0, 400.0)  # V


def nearest(value: float, series: Sequence[int] = E24) -> float:
    """Preferred value nearest to one, by its ratio.

    Parameters
    ----------
    value : float
        More than 0.
    series : sequence of int
        Of one decade, 10 to below 100.

    Returns
    -------
    float

    Raises
    ------
    ValueError
        If the value is not more than 0 and finite.

    Examples
    --------
    >>> nearest(14142.0), nearest(9.7e-5, E12)
    (15000.0, 0.0001)
    """
    if not 0.0 < value < inf:
        raise ValueError(f"value must be more than 0 and finite; instead received {value:g}.")
    decade = floor(log10(value))
    near = [float(f"{number}e{decade + shift - 1}") for shift in (-1, 0, 1) for number in series]
    return min(near, key=lambda one: abs(log10(one / value)))


def rating(least: float, sold: Sequence[float]) -> float:
    """Smallest usual rating that is not below a value; the value itself beyond the greatest.

    Examples
    --------
    >>> rating(6.75, VOLTAGES)
    10.0
    """
    return next((one for one in sold if one >= least), least)
