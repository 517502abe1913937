"""Where a partial stands between growing and fading as a knob is turned: s = jω there, found along the way that the partial is followed.

One equation in two real unknowns, the pitch and the knob: Newton's method takes the root along ds/dg to the axis, and back onto the curve.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.analysis.motional import Bench, Complex, Knob, Setting, amplified, slopes
from wirebloom.analysis.tracking import Followed
from wirebloom.kernels.layout import Floats

ROUNDS = 80
CLOSE = 1e-9  # relative, of the knob and of the pitch
STRIDE, LEAST = 1.0, 0.25  # of the knob's size, and at least, that one step may turn it
NEPERS = 0.5  # that one step may turn a gain by
STRAYED = 0.4  # of its pitch, beyond which a partial is another one
FAINT = 0.5  # loop gain that makes nothing grow


def crossings(bench: Bench, followed: Followed, knob: Knob, most: float) -> Floats:
    """Knob at which each mode (M,) first begins to grow along a way it was followed, or beyond its end up to `most`; else not a number.

    Beyond the end only those are looked for that begin there if they go on as they do at the end.

    Parameters
    ----------
    bench : Bench
    followed : Followed
        From a loop that is open, where all fade.
    knob : callable
    most : float
    """
    growing, modes = followed.value.real > 0.0, np.arange(followed.value.shape[1])
    passed = growing[1:] & ~growing[:-1]
    first = np.where(passed.any(axis=0), passed.argmax(axis=0), followed.knob.size - 1)
    wanted = modes[~growing[0] & (passed.any(axis=0) | (_reach(followed) < most))]
    result = np.full(modes.size, np.nan)
    result[wanted] = onto_axis(bench, followed.value[first[wanted], wanted], followed.knob[first[wanted]], knob, most).knob
    return result


def _reach(followed: Followed) -> Floats:
    """Knob at which each mode would begin to grow, as straight as it goes at the end of its way; infinite if it fades the more."""
    s, turn = followed.value[-1].real, followed.turn[-1].real
    return np.asarray(followed.knob[-1] + np.where(turn > 0.0, -s / np.where(turn > 0.0, turn, 1.0), np.inf))


def gain_factors(bench: Bench, opened: Complex, gains: Complex, loop: int, most: float) -> Floats:
    """How many times its gain a loop's amplifier needs for modes to begin to grow, gain times bandwidth as it is.

    Parameters
    ----------
    bench : Bench
    opened, gains : (K,) ndarray
        Their roots with the loop open, and their own gains in it.
    loop : int
    most : float
        Beyond which nothing is looked for.

    Returns
    -------
    (K,) ndarray
        Not a number where there is no such gain.
    """
    lag = max((gain / rate for _, own, rate, gain in bench.stages if own == loop), default=0.0)
    begun = FAINT / (np.abs(gains) * np.abs(1.0 + lag * opened))
    faint = gains * begun * (1.0 + lag * opened) / (1.0 + begun * lag * opened)
    return _gains(bench, opened - opened.real * faint, np.log(begun), loop, most)


def gain_factors_below(bench: Bench, closed: Complex, loop: int) -> Floats:
    """The same of modes that grow (K,), from their roots as they are downwards."""
    return _gains(bench, closed, np.zeros(closed.size), loop, 1.0)


def _gains(bench: Bench, s: Complex, logarithm: Floats, loop: int, most: float) -> Floats:
    def knob(logarithm: Floats) -> Setting:
        factor = np.exp(logarithm)
        own = amplified(bench, factor, np.array([loop]))
        return own._replace(da=own.da * factor[:, None, None])

    return np.asarray(np.exp(onto_axis(bench, s, logarithm, knob, np.log(most), even=True).knob))


class Axis(NamedTuple):
    """Where roots (K,) come to the imaginary axis."""

    knob: Floats  # not a number where they do not
    root: Complex


def onto_axis(bench: Bench, s: Complex, g: Floats, knob: Knob, most: float, *, even: bool = False) -> Axis:
    """Where roots from s (K,) at g (K,) on come to the imaginary axis as the knob is turned up.

    Strides of a knob that is not even grow with it; one that is counts nepers.
    """
    s, g, begun = s.copy(), g.astype(float).copy(), np.abs(s)
    found, going = np.full(g.size, np.nan), np.arange(g.size)
    for _ in range(ROUNDS):
        if going.size == 0:
            break
        own = slopes(bench, s[going], knob(g[going]))
        step, turn = -1.0 / own.by_s, -own.by_knob / own.by_s
        ahead = s[going] + step
        longest = np.full(going.size, NEPERS) if even else np.maximum(STRIDE * np.abs(g[going]), LEAST)
        more = _stride(ahead.real, turn.real, longest)
        s[going], g[going] = ahead + turn * more, g[going] + more
        done = (np.abs(more) < CLOSE * np.maximum(np.abs(g[going]), LEAST)) & (np.abs(step) < CLOSE * np.abs(ahead))
        found[going[done]] = g[going[done]]
        lost = (g[going] > most) | (np.abs(np.abs(s[going]) - begun[going]) > STRAYED * begun[going]) | ~np.isfinite(s[going])
        going = going[~(done | lost)]
    return Axis(found, s)


def _stride(growth: Floats, turn: Floats, longest: Floats) -> Floats:
    """How far to turn the knob: to where the tangent meets the axis; on by a stride where it leads away from it."""
    away_from_it = turn * growth >= 0.0
    wanted = -growth / np.where(turn == 0.0, 1.0, turn)
    return np.where(away_from_it & (growth < 0.0), longest, np.clip(wanted, -longest, longest))
