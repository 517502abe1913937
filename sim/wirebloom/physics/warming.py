"""How a coil warms up: one warm body, C dθ/dt = P(θ) − G θ with θ above the room, and copper whose resistance rises with θ.

P = I² R(θ), where the current either is held or falls as R rises: I ∝ 1/|S + R + jX| behind a source of steady voltage. With the end
θ∞ and θ = θ∞ (1 − e^(−y)), dt = τ(θ) dy, and τ(θ) = C/(G − (P∞ − P)/(θ∞ − θ)) is finite everywhere: with a held current it is one
number, the time constant C/(G − I² R₂₀ α). Where that G is used up, the coil runs away.

Sources
-------
- Lumped capacity, C dθ/dt = P − G θ: Incropera et al., Fundamentals of Heat and Mass Transfer, chapter 5 (from memory).
- Copper: `wirebloom.rig.wires`.
"""

from __future__ import annotations

from math import exp, expm1, inf, isinf, log1p
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.rig.wires import ALPHA20, resistance_at

Floats = NDArray[np.float64]

HALVINGS = 60  # of the range in which the end is sought
BURNT = 600.0  # exponent of a coil that runs away, beyond which its number would be none
SPAN = 24.0 * np.linspace(0.0, 1.0, 1201) ** 2  # of y, finest at the start; e⁻²⁴ of the rise is left at its end


class Lump(NamedTuple):
    """A coil as one warm body: resistance at 20 °C (Ω), what it holds (J/K) and gives off (W/K), temperature of the room (K)."""

    resistance: float
    capacity: float
    conductance: float
    room: float


class Feed(NamedTuple):
    """What warms it.

    Attributes
    ----------
    current : float
        Rms while the coil is as cold as the room, A.
    ballast, reactance : float
        Of the rest of its circuit, Ω; an infinite ballast holds the current.
    """

    current: float
    ballast: float = inf
    reactance: float = 0.0


def heating(lump: Lump, feed: Feed, rise: float) -> float:
    """Power into a coil so far above the room (K), W."""
    warm = resistance_at(lump.resistance, lump.room + rise)
    if isinf(feed.ballast):
        return feed.current**2 * warm
    cold = resistance_at(lump.resistance, lump.room)
    return float(feed.current**2 * _impedance(feed, cold) / _impedance(feed, warm) * warm)


def _impedance(feed: Feed, resistance: float) -> float:
    """Square of the whole circuit's impedance, Ω²."""
    return (feed.ballast + resistance) ** 2 + feed.reactance**2


def steady_rise(lump: Lump, feed: Feed) -> float:
    """How far above the room it ends, K; infinite where a held current outruns the cooling.

    Behind a steady voltage there is one end: P/θ falls with θ all the way.

    Examples
    --------
    >>> coil = Lump(25.0, 0.5, 0.01, 293.15)
    >>> round(steady_rise(coil, Feed(0.1)), 2), round(steady_rise(coil, Feed(0.1, ballast=0.0)), 2)
    (27.72, 22.93)
    """
    if isinf(feed.ballast):
        left = _left(lump, feed)
        return heating(lump, feed, 0.0) / left if left > 0.0 else inf
    low, high = 0.0, _most(lump, feed) / lump.conductance
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if heating(lump, feed, middle) > lump.conductance * middle else (low, middle)
    return (low + high) / 2.0


def _left(lump: Lump, feed: Feed) -> float:
    """What is left of the cooling once a held current has used its share of it, W/K."""
    return lump.conductance - feed.current**2 * lump.resistance * ALPHA20


def _most(lump: Lump, feed: Feed) -> float:
    """Greatest power that a steady voltage makes in it at any temperature, W: there the coil's resistance is that of the rest."""
    cold = resistance_at(lump.resistance, lump.room)
    matched = max(cold, (feed.ballast**2 + feed.reactance**2) ** 0.5)
    return heating(lump, feed, (matched - cold) / (lump.resistance * ALPHA20))


def seconds_to(lump: Lump, feed: Feed, temperature: float) -> float:
    """Time from cold to a temperature (K), s: 0 if the room is as warm, infinite if it never gets there."""
    wanted, end = temperature - lump.room, steady_rise(lump, feed)
    if wanted <= 0.0:
        return 0.0
    if wanted >= end:
        return inf
    if isinf(feed.ballast):
        return _held_seconds(lump, feed, wanted)
    y = -log1p(-wanted / end)
    return float(np.interp(y, SPAN, _course(lump, feed, end)))


def _held_seconds(lump: Lump, feed: Feed, wanted: float) -> float:
    start, left = heating(lump, feed, 0.0) / lump.capacity, _left(lump, feed) / lump.capacity
    return wanted / start if left == 0.0 else -log1p(-left * wanted / start) / left


def rise_after(lump: Lump, feed: Feed, seconds: float) -> float:
    """How far above the room it is so long after the start, K."""
    if isinf(feed.ballast):
        start, left = heating(lump, feed, 0.0) / lump.capacity, _left(lump, feed) / lump.capacity
        return start * seconds if left == 0.0 else -start * expm1(min(-left * seconds, BURNT)) / left
    end = steady_rise(lump, feed)
    y = float(np.interp(seconds, _course(lump, feed, end), SPAN))
    return end * (1.0 - exp(-y))


def _course(lump: Lump, feed: Feed, end: float) -> Floats:
    """Seconds at which θ = end (1 − e^(−y)) behind a steady voltage, for every y of the span."""
    slope = ALPHA20 * lump.resistance
    cold, warmest = (resistance_at(lump.resistance, lump.room + rise) for rise in (0.0, end))
    warm = cold + slope * end * -np.expm1(-SPAN)
    source = feed.current**2 * _impedance(feed, cold)
    whole = (feed.ballast + warm) ** 2 + feed.reactance**2
    # (P∞ − P)/(R∞ − R) in closed form, so that nothing cancels near the end.
    secant = source * (feed.ballast**2 + feed.reactance**2 - warm * warmest) / (whole * _impedance(feed, warmest))
    constant = lump.capacity / (lump.conductance - slope * secant)
    return np.concatenate([[0.0], np.cumsum(np.diff(SPAN) * (constant[1:] + constant[:-1]) / 2.0)])
