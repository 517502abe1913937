"""Pitch of a partial to a hundredth of a cent: the phase it gains between two halves of the last second."""

from __future__ import annotations

import numpy as np

from wirebloom.take.levels import partial_amplitude, settled
from wirebloom.take.take import Floats, Take
from wirebloom.take.window import samples_of_last

SPAN = 1.0  # s
FEWEST_PERIODS = 12  # of the string's partial 1: fewer leave its partials unseparated
REACH = 0.45  # of the spacing of the partials, to either side, where a partial is looked for
PASSES = 2
UNEQUAL = 10.0  # ratio of the halves' strengths beyond which only the stronger one is read
SMALLEST = 1e-300  # against division by 0


def pitch(take: Take, string: int, partial: int | None) -> float | None:
    """Pitch of a partial (from 1), Hz, read from the bridge force in the polarisation where the partial is the larger.

    A loop pulls its string's partials off their free frequencies; the line is looked for up to 0.45 of their spacing
    away. None in silence and in a take of less than 12 periods.
    """
    force = take.signals.bridge_force[samples_of_last(take, SPAN), string].astype(float)
    sheet = take.sheet.strings[string]
    fewest = round(FEWEST_PERIODS * take.audio_rate / sheet.pitch_Hz)
    if partial is None or force.shape[0] < fewest:
        return None
    polarisation = int(settled(take, partial_amplitude(take, string)[:, :, partial - 1] ** 2).argmax())
    free, reach = float(sheet.frequency_Hz[polarisation, partial - 1]), REACH * sheet.pitch_Hz
    return line_frequency(force[:, polarisation], take.audio_rate, (free - reach, free + reach), fewest)


def line_frequency(signal: Floats, rate: float, bounds: tuple[float, float], fewest: int) -> float | None:
    """Frequency (Hz) of the strongest line of a signal (t,), sampled at `rate` Hz, between two bounds (Hz).

    The highest bin of a windowed transform, then the phase that the line gains between the middles of the signal's two
    halves. Both windows are symmetric, so that a level that grows or fades does not bend it. Where one half is ten times
    stronger than the other, that half alone is read, as long as it has the fewest samples that are enough.
    """
    centred = signal - signal.mean()
    spectrum = np.abs(np.fft.rfft(centred * np.hanning(signal.size)))
    bins = np.fft.rfftfreq(signal.size, 1.0 / rate)
    inside = np.flatnonzero((bins >= bounds[0]) & (bins <= bounds[1]))
    if inside.size == 0 or spectrum[inside].max() == 0.0:
        return None
    found = float(bins[inside[spectrum[inside].argmax()]])
    for _ in range(PASSES):
        early, late, gained = _halves(centred, rate, found)
        if signal.size // 2 >= fewest and not 1.0 / UNEQUAL < early / late < UNEQUAL:
            return line_frequency(signal[signal.size // 2 :] if late > early else signal[: signal.size // 2], rate, bounds, fewest)
        found += gained
    return found if bounds[0] <= found <= bounds[1] else None


def _halves(signal: Floats, rate: float, near: float) -> tuple[float, float, float]:
    """Strength of the line near a frequency (Hz) in either half, and how far from it the line lies, Hz."""
    length = signal.size // 2
    hop = signal.size - length
    turned = np.hanning(length) * np.exp(-2j * np.pi * near / rate * np.arange(length))
    early, late = (signal[:length] * turned).sum(), (signal[hop : hop + length] * turned).sum()
    gained = np.angle(late * np.conj(early) * np.exp(-2j * np.pi * near * hop / rate))
    return float(np.abs(early)), max(float(np.abs(late)), SMALLEST), float(gained * rate / (2.0 * np.pi * hop))


def cents_between(frequency: float, reference: float) -> float:
    """1200 log₂ of the ratio."""
    return float(1200.0 * np.log2(frequency / reference))
