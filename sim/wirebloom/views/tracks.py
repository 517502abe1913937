"""Short-time spectra of the bridge force, and where in them each partial runs: its frequency and its level over time.

A window of cos⁴ leaves the neighbours' side lobes below 10⁻⁵ at eight bins' distance. The highest bin near a partial says
roughly where it is; the phase that this bin gains over a quarter of the window says it to a hundredth of a cent
(instantaneous frequency by phase advance, as in a phase vocoder), and the window's transform at that distance from the
bin's middle puts the level right.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.views.style import Array

if TYPE_CHECKING:
    from wirebloom.take.take import Take

PERIODS = 8  # of partial 1 that a window spans at least: then partials stand eight bins apart
COLUMNS, OVERLAP = 300, 8  # moments at most, and within one window
SHOWN = 20  # partials
REACH = 0.45  # of the spacing of the partials, to either side, where one is looked for
DEPTH = 60.0  # dB below the loudest beyond which a partial has no track
CLEAR, BESIDE = 30.0, 4  # times the power so many bins beside it, half-way to its neighbours, that a line must have to be one
SILENCE = 1e-30  # N²
WINDOW = (3.0 / 8.0, 1.0 / 2.0, 1.0 / 8.0)  # cos⁴ as a sum of cosines


class Spectra(NamedTuple):
    """Power over time and frequency.

    Attributes
    ----------
    time : (c,) ndarray
        Middle of each window, s.
    frequency : (k,) ndarray
        Hz.
    power : (c, k) ndarray
        Square of the amplitude, both polarisations together, N².
    gained : (c, k) ndarray
        Phase that each bin gains over a quarter of the window beyond its own frequency's, rad.
    length : int
        Samples in a window.
    least : float
        Power of what the record rounds away, N².
    """

    time: Array
    frequency: Array
    power: Array
    gained: Array
    length: int
    least: float


class Tracks(NamedTuple):
    """Frequency (c, n) in Hz and level (c, n) in dB re 1 N of the first partials at each time (c,), s; nan where there is none to see."""

    time: Array
    frequency: Array
    level: Array


def spectra(take: Take, string: int) -> Spectra:
    """Return the spectra of a string's bridge force over time, up to a little above the partials that are shown.

    Parameters
    ----------
    take : Take
        With at least a few samples.
    string : int

    Returns
    -------
    Spectra
    """
    force, rate, sheet = take.signals.bridge_force[:, string], take.audio_rate, take.sheet.strings[string]
    wanted = 1 << int(np.ceil(np.log2(PERIODS * rate / sheet.pitch_Hz)))
    length = max(min(wanted, 4 * len(force) // 5), 1)
    ahead = length // 4
    room = max(len(force) - length - ahead, 0)
    columns = min(COLUMNS, OVERLAP * len(force) // length + 1)
    start = np.unique(np.linspace(0, room, columns).astype(np.int64))
    bins = math.ceil((float(sheet.frequency_Hz[0, :SHOWN][-1]) + 2.0 * sheet.pitch_Hz) * length / rate) + 1
    early, late = (_transforms(force, start + shift, length)[..., :bins] for shift in (0, ahead))
    own = np.exp(-2j * np.pi * np.arange(early.shape[-1]) * ahead / length)  # what the bin's own frequency turns by
    turned = np.angle((late * early.conj()).sum(axis=1) * own)
    power = (np.abs(early) * np.abs(late)).sum(axis=1)  # their geometric mean: growth does not bend it
    least = (float(np.finfo(force.dtype).eps) * float(np.abs(force).max(initial=0.0))) ** 2
    return Spectra((start + 0.5 * (length + ahead)) / rate, np.arange(power.shape[1]) * rate / length, power, turned, length, least)


def _transforms(force: NDArray[np.float32], start: NDArray[np.int64], length: int) -> NDArray[np.complexfloating]:
    """Return the transforms (c, 2, k) of both polarisations from each start on, scaled so that a sine has its amplitude."""
    phase = 2.0 * np.pi * (np.arange(length) + 0.5) / length
    window = (WINDOW[0] - WINDOW[1] * np.cos(phase) + WINDOW[2] * np.cos(2.0 * phase)).astype(np.float32)
    pieces = np.lib.stride_tricks.sliding_window_view(force, length, axis=0)[start]  # (c, 2, length)
    centred = pieces - pieces.mean(axis=-1, keepdims=True)
    spectrum: NDArray[np.complexfloating] = np.fft.rfft(centred * window) * (2.0 / float(window.sum()))
    return spectrum


def tracks(take: Take, string: int, found: Spectra | None = None) -> Tracks:
    """Return where the first partials run.

    Parameters
    ----------
    take : Take
    string : int
    found : Spectra, optional
        Those of this string, where they are at hand.

    Returns
    -------
    Tracks
        Of at most twenty partials.
    """
    found = found or spectra(take, string)
    sheet = take.sheet.strings[string]
    reach = REACH * sheet.pitch_Hz
    lines = [_line(found, (free - reach, free + reach)) for free in sheet.frequency_Hz[0, :SHOWN]]
    frequency, power = (np.stack([line[part] for line in lines], axis=1) for part in (0, 1))
    level = 10.0 * np.log10(np.maximum(power, SILENCE))
    unseen = ~(level > np.nanmax(level, initial=-np.inf) - DEPTH)
    return Tracks(found.time, np.where(unseen, np.nan, frequency), np.where(unseen, np.nan, level))


def _line(found: Spectra, bounds: tuple[float, float]) -> tuple[Array, Array]:
    """Return frequency (c,) and power (c,) of the strongest line between two frequencies; nan and 0 where none stands out."""
    inside = np.flatnonzero((found.frequency >= bounds[0]) & (found.frequency <= bounds[1]))
    if inside.size < PERIODS // 2:  # too short a window to part the partials, or above all that the signals hold
        return np.full(found.time.shape, np.nan), np.zeros(found.time.shape)
    near = found.power[:, inside]
    row, best = np.arange(len(near)), near.argmax(axis=1)
    width = float(found.frequency[1])
    off = found.gained[row, inside[best]] * found.length / (2.0 * np.pi * (found.length // 4))  # bins
    off = np.clip(off, -1.0, 1.0)
    power = near[row, best] / lobe(off) ** 2
    beside = [found.power[row, np.clip(inside[best] + way * BESIDE, 0, found.power.shape[1] - 1)] for way in (-1, 1)]
    clear = power > np.maximum(CLEAR * np.maximum(*beside), found.least)
    return np.where(clear, (inside[best] + off) * width, np.nan), np.where(clear, power, 0.0)


def lobe(off: Array) -> Array:
    """Return what a line of amplitude 1 shows in a bin whose middle is so many bins (at most 1) away.

    Examples
    --------
    Half a bin away, 0.86 dB are missing:

    >>> round(20.0 * float(np.log10(lobe(np.array(0.5)))), 2)
    -0.86
    """
    shown = sum(weight * (np.sinc(off - k) + np.sinc(off + k)) / 2.0 for k, weight in enumerate(WINDOW))
    height: Array = np.asarray(shown) / WINDOW[0]
    return height
