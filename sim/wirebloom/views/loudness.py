"""How loud a sound is, and how high it swings between its samples: ITU-R BS.1770-4, one channel at 48 kHz.

Loudness (annex 1) is the mean square behind two filters, a shelf for the head and a high-pass, over blocks of 0.4 s. Blocks below
−70 LUFS do not count, nor those more than 10 LU below the mean of the others. A sine of 997 Hz at full scale has −3.01 LUFS.

True peak (annex 2) takes four values a sample; at most 20 log cos(π f/4) dB are missed at f times the rate, 0.12 dB below 10 kHz.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.polynomial.polynomial import polyval
from numpy.typing import NDArray

from wirebloom.views.filtering import RATE, Floats, decibels, smooth_from

SHELF = ((1.53512485958697, -2.69169618940638, 1.19839281085285), (1.0, -1.69065929318241, 0.73248077421585))  # annex 1, table 1
HIGH_PASS = ((1.0, -2.0, 1.0), (1.0, -1.99004745483398, 0.99007225036621))  # table 2
OFFSET = -0.691  # LU
SILENT, QUIETER = -70.0, -10.0  # LUFS, LU: gates
HOP = RATE // 10  # blocks of four of these, three quarters of one in common with the next
RING = RATE // 10  # in which the filters forget all but a millionth
STEPS = 4  # values a sample
REACH = 16  # samples on either side that a value between samples is made of: flat to 21 kHz
WINDOW = 6.0  # Kaiser's β


def loudness(sound: Floats) -> float | None:
    """Return the loudness of a sound with full scale 1, LUFS; None if it is below the gate or shorter than a block."""
    if sound.size < 4 * HOP or not sound.any():
        return None
    power = _block_powers(sound)
    loud = power[_lufs(power) > SILENT]
    loud = loud[_lufs(loud) > _lufs(loud.mean()) + QUIETER] if loud.size else loud
    return float(_lufs(loud.mean())) if loud.size else None


def _block_powers(sound: Floats) -> Floats:
    """Mean square of each block behind both filters; single precision is enough for that."""
    length = smooth_from(sound.size + RING)
    spectrum = np.fft.rfft(sound.astype(np.float32), length)
    spectrum *= _weighting(length)
    hops = np.fft.irfft(spectrum, length)[: sound.size // HOP * HOP].reshape(-1, HOP)
    squares = np.einsum("bt,bt->b", hops, hops, dtype=np.float64)
    return np.asarray(np.convolve(squares, np.ones(4), "valid") / (4 * HOP))


@lru_cache(maxsize=1)
def _weighting(length: int) -> NDArray[np.complex64]:
    """Both filters along the spectrum of so many samples."""
    delay = np.exp(-2j * np.pi * np.fft.rfftfreq(length))
    gain = np.ones(1)
    for above, below in (SHELF, HIGH_PASS):
        gain = gain * polyval(delay, above) / polyval(delay, below)
    return np.asarray(gain, dtype=np.complex64)


def _lufs(power: Floats | np.floating) -> Floats:
    return np.asarray(OFFSET + 10.0 * np.log10(np.maximum(power, 1e-30)))


def true_peak(sound: Floats) -> float:
    """Return the highest magnitude that a sound reaches, between its samples as well.

    Examples
    --------
    >>> import numpy as np
    >>> between = np.sin(np.pi / 2.0 * np.arange(64) + np.pi / 4.0)  # at a quarter of the rate, every sample at 0.707
    >>> round(true_peak(between * np.hanning(64)), 2)
    1.0
    """
    if not sound.any():
        return 0.0
    return max(_highest(sound), *(_highest(np.convolve(sound, taps)) for taps in _between()))


def _highest(sound: Floats) -> float:
    return float(max(sound.max(), -sound.min()))


def _between() -> list[Floats]:
    """Windowed sines over their argument that give the value 1/4, 2/4 and 3/4 of a sample on."""
    place = np.arange(-REACH + 1, REACH + 1)[None, :] - np.arange(1, STEPS)[:, None] / STEPS
    return list(np.sinc(place) * np.i0(WINDOW * np.sqrt(1.0 - (place / REACH) ** 2)) / np.i0(WINDOW))


def true_peak_dB(sound: Floats) -> float | None:
    """Return the true peak of a sound with full scale 1, dBTP; None for digital silence."""
    return decibels(true_peak(sound))
