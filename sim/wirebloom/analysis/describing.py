"""One partial alone at many sizes: by how much it grows there. A describing function that keeps the clamped stage's lag, the real
curve of the heads over the motion, and the tension's rise; zeros of the growth are the steady states that harmonic balance starts from.

The classical ones of a saturating and of a switching element stand beside it, as what they are special cases of.

References
----------
Gelb, Vander Velde 1968, "Multiple-Input Describing Functions and Nonlinear System Design", McGraw-Hill (from memory).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.analysis.envelopes import Envelopes
from wirebloom.kernels.layout import Floats

SIZES, LEAST = 10, 1e-3  # amplitudes tried, and the least of them as a share of that which reaches a face
FAINT = 1e-6  # of the same: so small that nothing clips
BETWEEN = 5  # sizes tried in a cell of the scan in which growth falls through zero
ROUGH = 1e-3  # agreement of the electronics
TOUCH, MOST = 1e-6, 5e-3  # m: least gap that is looked at, and the largest amplitude where no head is near


def saturation(amplitude: Floats) -> Floats:
    """Describing function of a unit slope held within ± 1."""
    inverse = 1.0 / np.maximum(amplitude, 1.0)
    return np.asarray(2.0 / np.pi * (np.arcsin(inverse) + inverse * np.sqrt(1.0 - inverse**2)))


def relay(amplitude: Floats, size: float = 1.0) -> Floats:
    """Describing function of a switch between ± size."""
    return np.asarray(4.0 * size / (np.pi * amplitude))


class Growths(NamedTuple):
    """Growth (N, K), 1/s, and pitch (N, K), rad/s, of every partial alone at amplitudes (N, K), m; the first as good as nothing."""

    amplitude: Floats
    growth: Floats
    omega: Floats


def reaches(flow: Envelopes) -> Floats:
    """Amplitude (N,) at which each partial alone meets a face, or its string's length would show, m."""
    poles = flow.basis.model.poles
    rest = poles.gap[flow.poles] - flow.basis.moved[flow.poles, 0]
    shares = np.abs(flow.weight) / np.maximum(rest, TOUCH)[:, None]
    return np.asarray(1.0 / np.maximum(shares.max(axis=0, initial=0.0), 1.0 / MOST))


def growths(flow: Envelopes) -> Growths:
    """Scan all partials of a flow, each alone: at ten sizes, and between those where growth falls through zero at five more."""
    shares = np.broadcast_to(np.concatenate([[FAINT], np.geomspace(LEAST, 1.0, SIZES)]), (flow.order.size, SIZES + 1))
    coarse = _scanned(flow, shares)
    falls = (coarse.growth[:, :-1] > 0.0) & (coarse.growth[:, 1:] <= 0.0)
    place = np.where(falls.any(axis=1), falls.argmax(axis=1), 0)
    ends = np.log(np.stack([np.take_along_axis(shares, place[:, None] + k, axis=1)[:, 0] for k in (0, 1)]))
    inner = np.exp(ends[0, :, None] + (ends[1] - ends[0])[:, None] * np.arange(1, BETWEEN + 1) / (BETWEEN + 1))
    fine = _scanned(flow, inner)
    both = Growths(*(np.concatenate(pair, axis=1) for pair in zip(coarse, fine, strict=True)))
    order = np.argsort(both.amplitude, axis=1)
    return Growths(*(np.take_along_axis(part, order, axis=1) for part in both))


def _scanned(flow: Envelopes, shares: Floats) -> Growths:
    """Every partial alone at its own shares (N, K) of its reach."""
    amplitude = reaches(flow)[:, None] * shares
    count, each = amplitude.shape
    a = np.zeros((count, each, count), dtype=complex)
    a[np.arange(count), :, np.arange(count)] = amplitude
    slope, _ = flow.slope(a.reshape(-1, 1, count), tight=ROUGH)
    rate = slope.reshape(a.shape)[np.arange(count), :, np.arange(count)] / amplitude
    return Growths(amplitude, rate.real, flow.order[:, None] * flow.omega + rate.imag)


class Crossing(NamedTuple):
    """An amplitude (m) at which one partial alone neither grows nor fades, and comes back to it.

    growth (1/s) is 0 there; or, at its reach, what it still grows by as it meets a face.
    """

    partial: int
    amplitude: float
    omega: float
    growth: float


def crossings(flow: Envelopes, found: Growths) -> tuple[Crossing, ...]:
    """All of them."""
    made = []
    for n, size, growth, omega in zip(flow.partials, *found, strict=True):
        for k in np.flatnonzero((growth[:-1] > 0.0) & (growth[1:] <= 0.0)):
            share = growth[k] / (growth[k] - growth[k + 1])
            at, pitch = (float(row[k] + share * (row[k + 1] - row[k])) for row in (size, omega))
            made.append(Crossing(int(n), at, pitch, 0.0))
        if growth[-1] > 0.0:
            made.append(Crossing(int(n), float(size[-1]), float(omega[-1]), float(growth[-1])))
    return tuple(made)
