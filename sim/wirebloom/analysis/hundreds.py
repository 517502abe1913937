"""Which partial leads, asked quickly: a coarse scan of each alone, then which one grows on top of which."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.analysis.describing import FAINT, ROUGH, reaches
from wirebloom.analysis.envelopes import Envelopes
from wirebloom.kernels.layout import Floats
from wirebloom.take.check_map import SILENT

SHARES = np.array([FAINT, 0.05, 0.15, 0.35, 0.65, 1.0])  # of the amplitude that meets a face
NUDGE = 1e-3  # of the leader's amplitude
MOST = 2  # candidates that are asked what grows on top of them


class Leader(NamedTuple):
    """partial: that leads, from 1, or 0 for silence; several: another one could last as well; touches: it grows until it meets a face."""

    partial: int
    several: bool
    touches: bool


class Alone(NamedTuple):
    """Each partial alone (N,): growth from nothing, 1/s; amplitude at which it stops growing, m, not a number for none; face: it is met."""

    growth: Floats
    amplitude: Floats
    face: np.ndarray


def leader(flow: Envelopes) -> Leader:
    """The partial that is left of those that grow from nothing: beginning with the fastest, each time the one that grows on top of it."""
    own = alone(flow)
    if not np.any(own.growth > 0.0):
        return Leader(SILENT, False, False)
    at = int(np.argmax(own.growth))
    over = _looked_at(flow, own, at)
    passed = {at}
    while not _lasts(own, over, at):
        rising = [int(n) for n in np.argsort(-over[at]) if over[at][n] > 0.0 and np.isfinite(own.amplitude[n]) and n not in passed]
        if not rising:
            break
        at = rising[0]
        passed.add(at)
        if at not in over:
            over[at] = on_top(flow, own, [at])[0]
    several = any(_lasts(own, over, n) for n in over if n != at)
    return Leader(int(flow.partials[at]), several, bool(own.face[at]))


def _looked_at(flow: Envelopes, own: Alone, first: int) -> dict[int, Floats]:
    """What grows on top of the first one and of those that move most, by the number of the leader."""
    speed = np.nan_to_num(own.amplitude * flow.partials)
    most = [int(n) for n in np.argsort(-speed)[:MOST] if speed[n] > 0.0]
    asked = list(dict.fromkeys([first, *most]))
    return dict(zip(asked, on_top(flow, own, asked), strict=True))


def _lasts(own: Alone, over: dict[int, Floats], n: int) -> bool:
    """Whether nothing grows on top of it; or it meets a face, where nobody asks any more."""
    return bool(own.face[n]) or float(over[n].max(initial=-np.inf)) <= 0.0


def alone(flow: Envelopes) -> Alone:
    """Scan each partial of a flow alone."""
    amplitude, count = reaches(flow)[:, None] * SHARES, flow.order.size
    a = np.zeros((count, SHARES.size, count), dtype=complex)
    a[np.arange(count), :, np.arange(count)] = amplitude
    slope, _ = flow.slope(a.reshape(-1, 1, count), tight=ROUGH)
    growth = (slope.reshape(a.shape)[np.arange(count), :, np.arange(count)] / amplitude).real
    falls = (growth[:, :-1] > 0.0) & (growth[:, 1:] <= 0.0)
    last = SHARES.size - 2 - np.argmax(falls[:, ::-1], axis=1)
    rows, face = np.arange(count), growth[:, -1] > 0.0
    high, low = growth[rows, last], growth[rows, last + 1]
    share = np.where(falls.any(axis=1), high / np.where(high == low, 1.0, high - low), np.nan)
    inverse = 1.0 / amplitude[rows, last] + share * (1.0 / amplitude[rows, last + 1] - 1.0 / amplitude[rows, last])
    return Alone(growth[:, 0], np.where(face, amplitude[:, -1], 1.0 / inverse), face)


def on_top(flow: Envelopes, own: Alone, leaders: list[int]) -> list[Floats]:
    """Growth of every other partial (N,), 1/s, on top of each of some alone, a mean over its phase; −∞ for the leader itself."""
    count = flow.order.size
    a = np.zeros((len(leaders), 1 + 2 * count, count), dtype=complex)
    for row, n in zip(a, leaders, strict=True):
        row[:, n] = own.amplitude[n]
        row[1 : 1 + count] += NUDGE * own.amplitude[n] * np.eye(count)
        row[1 + count :] += 1j * NUDGE * own.amplitude[n] * np.eye(count)
    slope, _ = flow.slope(a.reshape(-1, 1, count), tight=ROUGH)
    changed = slope.reshape(a.shape)
    found = []
    for row, n in zip(changed, leaders, strict=True):
        moved = (row[1:] - row[0]).reshape(2, count, count)
        step = NUDGE * own.amplitude[n]
        rates = 0.5 * (np.diagonal(moved[0]) / step + np.diagonal(moved[1]) / (1j * step)).real
        rates[n] = -np.inf
        found.append(np.asarray(rates))
    return found
