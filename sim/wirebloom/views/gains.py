"""What sounds are multiplied by before they are written: one gain for all, or one for each that makes them equally loud."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

import numpy as np

from wirebloom.views.filtering import Floats
from wirebloom.views.loudness import loudness, true_peak

FULL = 10.0 ** (-3.0 / 20.0)  # peak of the loudest sound of a kind
CEILING = 10.0 ** (-1.0 / 20.0)  # true peak of whatever is written: EBU R 128
REACH = 10.0 ** (-1.2 / 20.0)  # true peak that a gain aims at: dither, and meters that interpolate otherwise, may add a little
TARGET = -18.0  # LUFS of a clip, unless its peaks forbid it
LOWEST = -30.0  # LUFS: no further down, lest a single click make everything else too quiet to hear
LEAST = 0.05  # dB by which a sound counts as quieter


class Gain(NamedTuple):
    """Factor of a sound, what that is above the loudest sound's in decibels, and whether it stays quieter than the others."""

    factor: float
    added_dB: float
    quiet: bool


def full_scale(sounds: Iterable[Floats], floor: float) -> float:
    """Return what full scale stands for in all of them: the loudest peaks at −3 dBFS, or lower if it swings far between samples."""
    needed = [max(float(np.abs(sound).max()) / FULL, true_peak(sound) / REACH) for sound in sounds if sound.size]
    return max([*needed, floor / FULL])


def common_gains(sounds: Mapping[str, Floats], floor: float) -> dict[str, Gain]:
    """Return gains that make sounds equally loud, as far as their peaks allow and without bringing up what peaks below `floor`."""
    brim = {name: full_scale([sound], floor) for name, sound in sounds.items()}
    most = {name: level(sound / brim[name]) for name, sound in sounds.items()}  # as loud as each may become, LUFS
    common = max(LOWEST, min([TARGET, *(most[name] for name in sounds if brim[name] > floor / FULL)]))
    factors = {name: _ratio(min(0.0, common - most[name])) / brim[name] for name in sounds}
    own = {name: most[name] + 20.0 * np.log10(brim[name]) for name in sounds}
    loudest = max(own, key=lambda name: own[name], default="")
    return {
        name: Gain(factors[name], float(20.0 * np.log10(factors[name] / factors[loudest])), most[name] < common - LEAST) for name in sounds
    }


def level(sound: Floats) -> float:
    """Return the loudness of a sound with full scale 1, LUFS; of one that has none its mean square, dB; −∞ for digital silence."""
    found = loudness(sound)
    if found is not None:
        return found
    power = float(np.mean(sound**2)) if sound.size else 0.0
    return float(10.0 * np.log10(power)) if power > 0.0 else -np.inf


def _ratio(decibels: float) -> float:
    return float(10.0 ** (decibels / 20.0))
