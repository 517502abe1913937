"""Exact motion of damped modes over any time span, forwards or backwards."""

from __future__ import annotations

import numpy as np

from wirebloom.kernels.layout import Floats, Rotation

CRITICAL = 1e-6  # relative distance of ω² − σ² from zero below which its limit is taken


def rotation(frequency: Floats, decay: Floats, span: float) -> Rotation:
    """Solution of q̈ + 2σq̇ + ω²q = 0 over `span`, as four coefficients a mode.

    Parameters
    ----------
    frequency, decay : (S, 2, N) ndarray
        Undamped ω (rad/s) and σ (1/s); a frequency of 0 marks a dead mode, which stays at rest.
    span : float
        s, of either sign.

    Returns
    -------
    Rotation

    Examples
    --------
    A quarter period turns displacement into velocity:

    >>> turn = rotation(np.full((1, 2, 1), 2 * np.pi), np.zeros((1, 2, 1)), 0.25)
    >>> abs(round(float(turn.qq[0, 0, 0]), 12)), round(float(turn.vq[0, 0, 0] / (2 * np.pi)), 12)
    (0.0, -1.0)
    """
    beat = np.sqrt((frequency**2 - decay**2).astype(complex))
    beat = np.where(np.abs(beat) < CRITICAL * (frequency + decay), CRITICAL * (frequency + decay) + 0j, beat)
    alive = frequency > 0.0
    safe = np.where(alive, beat, 1.0)
    fade = np.exp(-decay * span)
    cosine, sine = np.cos(safe * span).real, (np.sin(safe * span) / safe).real

    def only_alive(values: Floats) -> Floats:
        return np.ascontiguousarray(np.where(alive, values, 0.0))

    return Rotation(
        qq=only_alive(fade * (cosine + decay * sine)),
        qv=only_alive(fade * sine),
        vq=only_alive(-fade * frequency**2 * sine),
        vv=only_alive(fade * (cosine - decay * sine)),
    )
