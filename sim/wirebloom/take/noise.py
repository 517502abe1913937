"""How far the mains' hum stays below a note: lines at multiples of the mains in the bridge force's spectrum, at the end of a take.

A note that is held has lines at multiples of its own pitch. What stands at multiples of the mains and clear of those is hum,
come through the loop; the rest is the note.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from wirebloom.take.take import Floats, Take
from wirebloom.take.weighting import a_weight
from wirebloom.take.window import Flags, samples_of_last

JUDGED = 2.0  # s at the end
ENOUGH = 0.5  # s: less does not part lines 10 Hz from each other
WINDOW = (0.35875, -0.48829, 0.14128, -0.01168)  # four terms, 92 dB down beyond four bins (Harris 1978, from memory)
REACH = 4  # bins to either side that a line of this window fills
ORDERS = 40  # of the mains: 2 kHz for 50 Hz
CLEAR = 6.0  # times as much power as around it: a line; noise alone gets there once in some hundred takes
LEAST = 1e-30  # N²: keeps a logarithm finite


class SignalToHum(NamedTuple):
    """Of one string's bridge force.

    Attributes
    ----------
    ratio_dB, weighted_dB : float
        Note over hum, by power; the second weighted as the ear does.
    at_least : bool
        No line of the hum stands out from what else is there: the ratio is no less than that. Else lines that do not, do not count.
    hidden : int
        Lines of the mains, up to the 40th, too close to one of the note to be told apart; they count with the note.
    """

    ratio_dB: float
    weighted_dB: float
    at_least: bool
    hidden: int


def signal_to_hum(take: Take, string: int, pitch_Hz: float | None) -> SignalToHum | None:
    """Measure note over hum of one string.

    Parameters
    ----------
    take : Take
    string : int
    pitch_Hz : float or None
        Of the note, as measured: multiples of it belong to it.

    Returns
    -------
    SignalToHum or None
        None without a stray field, without a note, or for a take too short to tell.
    """
    mains = max((loop.hum_Hz for loop in take.sheet.loops), default=0.0)
    force = take.signals.bridge_force[samples_of_last(take, JUDGED), string].astype(float)
    if mains == 0.0 or pitch_Hz is None or force.shape[0] < ENOUGH * take.audio_rate:
        return None
    hertz, power = power_spectrum(force, take.audio_rate)
    lines = np.arange(1, ORDERS + 1) * mains
    lines = lines[lines < hertz[-1]]
    off = np.abs(lines - pitch_Hz * np.maximum(1.0, np.rint(lines / pitch_Hz)))
    seen = lines[off > 2.0 * REACH * hertz[1]]
    if seen.size == 0:
        return None
    found = [_line(hertz, power, line) for line in seen]
    clear = [place for place, stands_out in found if stands_out]
    hum = np.any(clear or [place for place, _ in found], axis=0)
    plain, weighted = (_ratio(power * weight, hum) for weight in (np.ones(hertz.size), a_weight(hertz) ** 2))
    return SignalToHum(plain, weighted, not clear, int(lines.size - seen.size))


def _line(hertz: Floats, power: Floats, line: float) -> tuple[Flags, bool]:
    """Bins of a line (Hz), and whether it stands out from what lies to either side: noise, or the foot of a line of the note."""
    off = (hertz - line) / hertz[1]
    sides = [np.median(power[(off * side > REACH) & (off * side <= 2.0 * REACH)]) for side in (-1.0, 1.0)]
    place = np.abs(off) <= REACH
    return place, bool(power[place].sum() > CLEAR * np.count_nonzero(place) * np.sqrt(np.prod(sides)))


def power_spectrum(values: Floats, rate: float) -> tuple[Floats, Floats]:
    """Frequencies (Hz) and mean square per bin, of all columns of (t, …) together; the mean is taken off first."""
    count = values.shape[0]
    turn = 2.0 * np.pi * np.arange(count) / count
    window = sum(share * np.cos(k * turn) for k, share in enumerate(WINDOW))
    flat = (values - values.mean(axis=0)).reshape(count, -1)
    lines = np.fft.rfft(flat * window[:, None], axis=0)
    power = 2.0 * np.sum(np.abs(lines) ** 2, axis=1) / (count * np.sum(window**2))
    return np.asarray(np.fft.rfftfreq(count, 1.0 / rate), dtype=np.float64), np.asarray(power, dtype=np.float64)


def _ratio(power: Floats, hum: Flags) -> float:
    return float(10.0 * np.log10(max(power[~hum].sum(), LEAST) / max(power[hum].sum(), LEAST)))


def noise_summary(take: Take, string: int, pitch_Hz: float | None) -> dict[str, Any]:
    """What the summary says of noise and hum: every loop beside silent strings, and one string's note over the hum."""
    found = signal_to_hum(take, string, pitch_Hz)
    return {
        "idle": [
            {"loop": loop.name, "noise_V": loop.idle_noise_V, "hum_V": loop.idle_hum_V, "drive_A": loop.idle_A, "gain_left": loop.gain_left}
            for loop in take.sheet.loops
            if loop.idle_noise_V > 0.0
        ],
        "note_to_hum_dB": None if found is None else found.ratio_dB,
        "note_to_hum_dBA": None if found is None else found.weighted_dB,
    }
