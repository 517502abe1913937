"""Pitch of a partial to a hundredth of a cent: the phase it gains between two halves of the last second."""

from __future__ import annotations

import numpy as np

from wirebloom.take.levels import partial_amplitude, settled
from wirebloom.take.take import Floats, Take
from wirebloom.take.window import samples_of_last

SPAN = 1.0  # s
FEWEST_PERIODS = 12  # of the string's partial 1: fewer leave its partials unseparated
REACH = 0.45  # of the spacing of the partials, to either side, where a partial is looked for
PASSES = 3


def pitch(take: Take, string: int, partial: int | None) -> float | None:
    """Pitch of a partial (from 1), Hz, read from the bridge force in the polarisation where the partial is the larger.

    A loop pulls its string's partials off their free frequencies; the line is looked for up to 0.45 of their spacing
    away. None in silence and in a take of less than 12 periods.
    """
    force = take.signals.bridge_force[samples_of_last(take, SPAN), string].astype(float)
    sheet = take.sheet.strings[string]
    if partial is None or force.shape[0] < FEWEST_PERIODS * take.audio_rate / sheet.pitch_Hz:
        return None
    polarisation = int(settled(take, partial_amplitude(take, string)[:, :, partial - 1] ** 2).argmax())
    free, reach = float(sheet.frequency_Hz[polarisation, partial - 1]), REACH * sheet.pitch_Hz
    return line_frequency(force[:, polarisation], take.audio_rate, free - reach, free + reach)


def line_frequency(signal: Floats, rate: float, low: float, high: float) -> float | None:
    """Frequency (Hz) of the strongest line of a signal (t,), sampled at `rate` Hz, between two bounds (Hz).

    The highest bin of a windowed transform, then the phase between two half-length windows (hop ¼ of the signal each
    side of its middle), which does not depend on the level's growth: both windows are symmetric.
    """
    centred = signal - signal.mean()
    spectrum = np.abs(np.fft.rfft(centred * np.hanning(signal.size)))
    bins = np.fft.rfftfreq(signal.size, 1.0 / rate)
    inside = np.flatnonzero((bins >= low) & (bins <= high))
    if inside.size == 0 or spectrum[inside].max() == 0.0:
        return None
    found = float(bins[inside[spectrum[inside].argmax()]])
    for _ in range(PASSES):
        found += _phase_gain(centred, rate, found)
    return found if low <= found <= high else None


def _phase_gain(signal: Floats, rate: float, near: float) -> float:
    """How far the line lies from `near`, Hz."""
    length = signal.size // 2
    hop = signal.size - length
    turned = np.hanning(length) * np.exp(-2j * np.pi * near / rate * np.arange(length))
    early, late = signal[:length] @ turned, signal[hop : hop + length] @ turned
    gained = np.angle(late * np.conj(early) * np.exp(-2j * np.pi * near * hop / rate))
    return float(gained * rate / (2.0 * np.pi * hop))


def cents_between(frequency: float, reference: float) -> float:
    """1200 log₂ of the ratio."""
    return float(1200.0 * np.log2(frequency / reference))
