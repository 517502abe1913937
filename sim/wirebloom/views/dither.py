"""From real numbers to whole ones: dither of triangular density, two steps wide, before rounding.

Mean and power of the error then no longer depend on the sound: no distortion, a noise of constant power Δ²/4 instead (Lipshitz,
Wannamaker and Vanderkooy, Journal of the Audio Engineering Society 40, 1992; from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wirebloom.views.filtering import Floats

Whole = NDArray[np.int32]

SEED = 1770  # the same sound has the same bytes


def dithered(sound: Floats, bits: int) -> Whole:
    """Round a sound with full scale 1 to so many bits.

    Parameters
    ----------
    sound : (t,) ndarray
        Digital silence, samples that are exactly 0, stays silence.
    bits : int

    Returns
    -------
    (t,) ndarray
        From −2^(bits−1) to 2^(bits−1) − 1.
    """
    draw = np.random.default_rng(SEED)
    noise = draw.random(sound.size) - draw.random(sound.size)
    noise[sound == 0.0] = 0.0
    full = 2.0 ** (bits - 1)
    return np.clip(np.round(sound * full + noise), -full, full - 1.0).astype(np.int32)


def heard(whole: Whole, bits: int) -> Floats:
    """Return whole numbers as a sound with full scale 1."""
    return np.asarray(whole / 2.0 ** (bits - 1))
