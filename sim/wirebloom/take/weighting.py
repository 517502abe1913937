"""How loud the ear finds a frequency: frequency weighting A of IEC 61672-1 (its formula and poles from memory).

A force on the bridge is not yet a sound: the board behind it colours it further.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
POLES = (20.598997, 107.65265, 737.86223, 12194.217)  # Hz; the outer two count twice


def a_weight(frequency: Floats) -> Floats:
    """Weight of an amplitude at frequencies (Hz), 1 at 1 kHz.

    Examples
    --------
    Mains hum of 50 Hz counts 30 dB less than its level:

    >>> round(20 * float(np.log10(a_weight(np.array([50.0]))[0])), 1)
    -30.3
    """
    return np.asarray(_curve(np.asarray(frequency, dtype=float)) / _curve(np.array(1e3)), dtype=np.float64)


def _curve(frequency: Floats) -> Floats:
    one, two, three, four = (pole**2 for pole in POLES)
    f2 = frequency**2
    return np.asarray(four * f2**2 / ((f2 + one) * np.sqrt((f2 + two) * (f2 + three)) * (f2 + four)), dtype=np.float64)
