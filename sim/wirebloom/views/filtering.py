"""From a signal at the take's rate to a sound at 48 kHz: another rate, a high-pass and fades, free of aliases and clicks."""

from __future__ import annotations

from math import gcd

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

RATE = 48_000
FADE_IN, FADE_OUT = 0.002, 0.01  # s
REST = 0.5  # s held at either end while filtering, so that nothing wraps around
LINES = 1 << 16  # of a spectrum at a time


def smooth_from(least: int) -> int:
    """Return the lowest number from `least` on without a prime factor above 5: a length that transforms fast.

    Examples
    --------
    >>> smooth_from(7), smooth_from(1025)
    (8, 1080)
    """
    odd: list[int] = [3**i * 5**j for i in range(21) for j in range(15)]
    return min(part << max(0, (-(-least // part) - 1).bit_length()) for part in odd)


def high_pass(spectrum: NDArray[np.complexfloating], line: float, corner: float) -> None:
    """Take away in place what lies below a corner (Hz): Butterworth, second order, x²/(x² − 1 − j√2 x), x in corners."""
    for first in range(0, spectrum.size, LINES):  # piece by piece: a minute's spectrum is large enough once
        piece = spectrum[first : first + LINES]
        x = np.arange(first, first + piece.size) * (line / corner)
        piece *= x**2 / (x**2 - 1.0 - 1j * np.sqrt(2.0) * x)


def filtered(signal: Floats, rate: float, low: float) -> Floats:
    """Bring a signal to 48 kHz and take away what lies below `low` (Hz), in one pass over its spectrum.

    The first and the last value are held outside, so that a signal that rests at some value gives silence. Samples that are not
    finite, as a damaged file may hold, count as 0.
    """
    if signal.size == 0 or rate < 1.0:
        return np.zeros(0)
    signal = signal if np.isfinite(signal).all() else np.nan_to_num(signal, nan=0.0, posinf=0.0, neginf=0.0)
    whole = round(rate)
    block = whole // gcd(whole, RATE)  # so many samples last as long as a whole number of samples at 48 kHz
    before = block * int(np.ceil(REST * whole / block))
    length = block * smooth_from(-(-(2 * before + signal.size) // block))
    # Single precision carries 24 bits and halves what a minute of sound takes in memory.
    padded = np.pad((signal - signal[0]).astype(np.float32), (before, length - before - signal.size), mode="edge")
    spectrum = np.fft.rfft(padded)
    high_pass(spectrum, rate / length, low)
    first, count = before * RATE // whole, round(signal.size * RATE / rate)
    sounding = np.fft.irfft(spectrum, length * RATE // whole)[first : first + count]
    return np.asarray(sounding * (RATE / rate), dtype=np.float64)


def faded(sound: Floats, fade_in: float = FADE_IN, fade_out: float = FADE_OUT) -> Floats:
    """Return the sound with short fades (s), so that it neither begins nor ends with a click; both end samples are 0."""
    ramped = sound.copy()
    for seconds, part in ((fade_in, slice(None)), (fade_out, slice(None, None, -1))):
        count = min(round(seconds * RATE), sound.size)
        ramped[part][:count] *= 0.5 - 0.5 * np.cos(np.pi * np.arange(count) / max(count, 1))
    return ramped


def decibels(value: float) -> float | None:
    """Return 20 log10, None for 0."""
    return float(20.0 * np.log10(value)) if value > 0.0 else None
