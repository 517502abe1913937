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

NUDGE = 1e-3  # of the amplitude, for differences: above the grain that sampling gives to steep edges
ROUNDS, CLOSE = 16, 1e-5  # of Newton's method; relative change that ends it
SLOW = 0.3  # share of the last move above which the differences are taken anew
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


def solve(flow: Envelopes, begun: Complex) -> Solved | None:
    """Balance near envelopes (P, N), m, the first of them real; None if none is found, or only the string at rest."""
    count, amplitude = begun.size, float(begun[0, 0].real)
    a, shift, matrix = begun, 0.0, np.zeros((2 * begun.size + 1, 2 * begun.size + 1))
    matrix[-1, count] = 1.0
    anew, last = True, np.inf
    before = flow.period(a[None]).answer.inputs
    for _ in range(ROUNDS):
        if anew:
            left, matrix[:-1, :-1] = differences(flow, a, shift, before)
            matrix[:-1, -1] = turning(flow, a)
        else:
            slope, period = flow.slope(a[None], shift, before)
            left, before = flat(slope[0]), period.answer.inputs
        move = np.linalg.lstsq(matrix, -np.append(left, 0.0), rcond=1e-15)[0]
        size, most = float(np.abs(a[0, 0])), float(np.abs(move[:-1]).max())
        move *= min(1.0, 0.5 * size / max(most, 1e-300))
        a, shift = a + (move[:count] + 1j * move[count:-1]).reshape(a.shape), shift + float(move[-1])
        if not LOST * amplitude < a[0, 0].real < FAR * amplitude:
            return None
        if most < CLOSE * size:
            return Solved(a, shift)
        anew, last = most > SLOW * last, most
    return None


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
