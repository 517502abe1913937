"""The least turn of a knob at which a probe passes: first the way that helps, in growing steps, then by halving the last of them.

What keeps a string off a face may silence it a little further on: where a step leads from the one to the other, a search goes between.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from wirebloom.analysis.knobs import Knob
from wirebloom.analysis.probes import WORST, Probe

STEPS = (0.12, 0.4, 1.0)  # turns
CLOSE, CLOSER = 0.02, 0.05  # of a turn, and of the turn that is found
WINDOW = 5  # halvings
LITTLE = 1e-3  # of a turn: a knob at its end does not turn


def least_turns(knob: Knob, look: Callable[[float], Probe], base: Probe) -> Iterator[float]:
    """Least turns either way, if there are any.

    Parameters
    ----------
    knob : Knob
    look : callable
        A probe at a turn.
    base : Probe
        At none. A way is given up where its first step leaves the score lower.

    Examples
    --------
    A knob that must be turned by half a turn upwards:

    >>> from wirebloom.analysis.knobs import two_figures
    >>> knob = Knob("gain", "gain", 100.0, 1.0, 1e4, 10.0, 0.1, lambda v: (), two_figures)
    >>> [f"{turn:.2f}" for turn in least_turns(knob, lambda turn: Probe(turn > 0.5, turn), Probe(False, 0.0))]
    ['0.51']
    """
    for sign in (1.0, -1.0):
        turn = _one_way(knob, look, base, sign)
        if turn is not None:
            yield turn


def _one_way(knob: Knob, look: Callable[[float], Probe], base: Probe, sign: float) -> float | None:
    last = 0.0
    for step in (1.0 / knob.full,) if knob.switch else STEPS:
        turn = knob.turn(knob.at(sign * step))
        if abs(turn) < abs(last) + LITTLE:
            return None
        found = look(turn)
        if found.passes:
            return turn if knob.switch else _halved(look, last, turn)
        if found.score <= WORST:
            return _between(look, last, turn) if base.score > WORST else None
        if last == 0.0 and found.score < base.score:
            return None
        last = turn
    return None


def _between(look: Callable[[float], Probe], short: float, beyond: float) -> float | None:
    """A turn that passes between one that falls short and one that goes beyond what works; None if none is found."""
    for _ in range(WINDOW):
        middle = 0.5 * (short + beyond)
        found = look(middle)
        if found.passes:
            return _halved(look, short, middle)
        short, beyond = (short, middle) if found.score <= WORST else (middle, beyond)
    return None


def _halved(look: Callable[[float], Probe], short: float, enough: float) -> float:
    """A turn that passes, not further than a little beyond one that does not."""
    while abs(enough - short) > max(CLOSE, CLOSER * abs(enough)):
        middle = 0.5 * (short + enough)
        short, enough = (short, middle) if look(middle).passes else (middle, enough)
    return enough
