"""Supplies: what is left of their voltage under load, and how long a battery lasts, t = (C/I)·(I_r/I)^(n − 1).

References
----------
Peukert, W. 1897, Elektrotechnische Zeitschrift 20:287 (from memory): a battery that gives its capacity C at the current I_r gives less at a
greater one. With I_r = 1 A that is t = C/Iⁿ.
"""

from __future__ import annotations

from math import inf, pi


def under_load(volts: float, ohm: float, current: float) -> float:
    """Voltage (V) that is left behind a resistance (Ω) when it gives a current (A)."""
    return volts - ohm * current


def discharge_time(charge: float, rated: float, exponent: float, current: float) -> float:
    """Time that a battery lasts.

    Parameters
    ----------
    charge : float
        Capacity at the rated current, C.
    rated : float
        That current, A. Below it the capacity stays what it is: what a formula would add there, self-discharge takes.
    exponent : float
        Peukert's n.
    current : float
        Taken from it, A.

    Returns
    -------
    float
        s; infinite without a current.

    Examples
    --------
    >>> round(discharge_time(100.0 * 3600.0, 1.0, 1.2, 10.0) / 3600.0, 2)
    6.31
    """
    if current <= 0.0:
        return inf
    return float(charge / current * (rated / max(current, rated)) ** (exponent - 1.0))


def share_until(needed: float, now: float, empty: float) -> float:
    """Share of a battery's charge that it can give before its voltage falls to what is needed.

    Parameters
    ----------
    needed, now, empty : float
        Voltage that is needed; that it has, and that it will have when empty, under the same load, V. It falls in proportion to the charge
        taken.

    Returns
    -------
    float
        0 to 1.

    Examples
    --------
    >>> share_until(7.5, 9.0, 6.0), share_until(5.0, 9.0, 6.0), share_until(9.5, 9.0, 6.0)
    (0.5, 1.0, 0.0)
    """
    if needed <= empty:
        return 1.0
    return max(0.0, (now - needed) / (now - empty)) if now > empty else 0.0


def class_b_current(peak: float, ohm: float) -> float:
    """Mean current (A) that a class-B stage takes from one rail for a sine of so many volts peak in a resistance (Ω): Vp/(π R)."""
    return peak / (pi * ohm)


def short_circuit(volts: float, ohm: float) -> float:
    """Current (A) into a short; infinite for a supply that nothing moves."""
    return volts / ohm if ohm > 0.0 else inf
