"""Harmonic balance of one string around its loop: where all envelopes stand still, and whether they stay there.

A motion of period T/m is partial m and the multiples of it that its harmonics drive. Newton's method solves for them and for the pitch; the
eigenvalues of the slow flow of all partials at the solution say whether another one grows on top of it.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.analysis.envelopes import Complex, Envelopes
from wirebloom.kernels.layout import Floats

NUDGE = 1e-3  # of the amplitude, for differences
ROUNDS, CLOSE = 16, 1e-5  # of Newton's method; relative change that ends it
LITTLE, POOR = 0.97, 2  # share of the last slope, of the amplitude, that is as good as all of it, and how often that may be met
SLOW = 0.2  # share of the last slope above which the differences are taken anew
LONGEST = 0.3  # of the amplitude, in one move
BACK, BACKS, GAIN = 0.4, 5, 0.1  # how much of a move is left where it does not bring the slope down by GAIN of what it promised
STILL, NOTHING = 1e-3, 1e-7  # 1/s of the amplitude: slope of a balance, and one that rounding may have made
LOST, FAR = 0.03, 4.0  # of the amplitude that it began with: the string at rest, and beyond all reason


class Solved(NamedTuple):
    """Envelopes (P, N), m, that stand still in a frame `shift` (rad/s) above the flow's, the first of them real."""

    a: Complex
    shift: float


def differences(flow: Envelopes, a: Complex, shift: float, before: Floats | None = None) -> tuple[Floats, Floats]:
    """Slope of the envelopes (2K: Re, Im) at a (P, N), K = P N of them, and its derivatives (2K, 2K)."""
    count, nudge = a.size, NUDGE * float(np.abs(a).max())
    steps = np.concatenate([np.zeros((1, count)), nudge * np.eye(count), 1j * nudge * np.eye(count)])
    if before is not None:
        before = np.broadcast_to(before, (steps.shape[0], *before.shape[1:]))
    slopes, _ = flow.slope(a + steps.reshape(-1, *a.shape), shift, before)
    change = (slopes[1:] - slopes[0]).reshape(-1, count) / nudge
    return flat(slopes[0]), np.concatenate([change.real.T, change.imag.T])


def flat(a: Complex) -> Floats:
    """(P, N) → (2K)."""
    return np.concatenate([a.real.ravel(), a.imag.ravel()])


def turning(flow: Envelopes, a: Complex) -> Floats:
    """Change of the envelopes (2K) when the frame turns back by a radian of its first partial."""
    return flat(-1j * flow.order * a)


class Place(NamedTuple):
    """Envelopes (P, N) in a frame at `shift`, their slope (2K), and what the electronics answer there, to begin with at the next."""

    a: Complex
    shift: float
    slope: Floats
    before: Floats


def solve(flow: Envelopes, begun: Complex) -> Solved | None:
    """Balance near envelopes (P, N), m, the first of them real; None if none is found, or only the string at rest.

    Newton's method; moves that do not bring the slope down are cut short, differences that still do are kept.
    """
    amplitude, border, poor = float(begun[0, 0].real), None, 0
    here = _place(flow, begun, 0.0, flow.period(begun[None]).answer.inputs)
    for _ in range(ROUNDS):
        fresh = border is None
        border = _bordered(flow, here) if border is None else border
        there, most = _moved(flow, here, border)
        if there is None:
            if fresh:
                return None
            border = None
            continue
        better = float(np.linalg.norm(there.slope)) / float(np.linalg.norm(here.slope))
        poor += better * float(here.a[0, 0].real) > LITTLE * float(there.a[0, 0].real)
        border = None if better > SLOW else border
        here, size = there, float(there.a[0, 0].real)
        if poor > POOR or not LOST * amplitude < size < FAR * amplitude:
            return None
        if most < CLOSE * size and np.linalg.norm(here.slope) < STILL * size:
            return Solved(here.a, here.shift)
    return None


def _place(flow: Envelopes, a: Complex, shift: float, before: Floats) -> Place:
    slope, period = flow.slope(a[None], shift, before)
    return Place(a, shift, flat(slope[0]), period.answer.inputs)


def _bordered(flow: Envelopes, here: Place) -> Floats:
    """Derivatives of the slope, that of the frame's shift in the last column; the last row keeps the first envelope real."""
    count = here.a.size
    border = np.zeros((2 * count + 1, 2 * count + 1))
    border[:-1, :-1] = differences(flow, here.a, here.shift, here.before)[1]
    border[:-1, -1], border[-1, count] = turning(flow, here.a), 1.0
    return border


def _moved(flow: Envelopes, here: Place, border: Floats) -> tuple[Place | None, float]:
    """The next place, and how far it is, m; None if no share of the move brings the slope down."""
    move = np.linalg.lstsq(border, -np.append(here.slope, 0.0), rcond=1e-15)[0]
    count, size, left = here.a.size, float(np.abs(here.a[0, 0])), float(np.linalg.norm(here.slope))
    most = float(np.abs(move[:-1]).max())
    share = min(1.0, LONGEST * size / max(most, 1e-300))
    for _ in range(BACKS):
        a = here.a + share * (move[:count] + 1j * move[count:-1]).reshape(here.a.shape)
        there = _place(flow, a, here.shift + share * float(move[-1]), here.before)
        if np.linalg.norm(there.slope) < max((1.0 - GAIN * share) * left, NOTHING * size):
            return there, share * most
        share *= BACK
    return None, 0.0


class Rival(NamedTuple):
    """Fastest motion on top of a balance: growth (1/s), the partial that takes the largest part in it, and its polarisation."""

    growth: float
    partial: int
    polarisation: int


def rival(flow: Envelopes, a: Complex, kept: NDArray[np.bool_] | None = None) -> Rival:
    """What grows on top of envelopes (P, N), m, that stand still in the flow's own frame.

    Parameters
    ----------
    flow : Envelopes
    a : (P, N) ndarray
    kept : (N,) ndarray of bool, optional
        Partials that may move; by default all.
    """
    _, change = differences(flow, a, 0.0)
    moving = np.flatnonzero(np.broadcast_to(True if kept is None else kept, a.shape))
    both = np.concatenate([moving, moving + a.size])
    values, vectors = np.linalg.eig(change[np.ix_(both, both)])
    own = turning(flow, a)[both]
    if np.any(own != 0.0):
        shares = np.abs(np.linalg.solve(vectors, own.astype(complex)))
        values[np.argmax(shares * np.linalg.norm(vectors, axis=0))] = -np.inf
    best = int(np.argmax(values.real))
    part = (np.abs(vectors[:, best].reshape(2, -1)) ** 2).sum(axis=0)
    plane, place = np.unravel_index(moving[int(np.argmax(part))], a.shape)
    return Rival(float(values[best].real), int(flow.partials[place]), int(plane))
