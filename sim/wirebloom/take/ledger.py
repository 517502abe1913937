"""The energy ledger of a run: does it close?"""

from __future__ import annotations

import numpy as np

from wirebloom.take.levels import Floats
from wirebloom.take.take import Frames


def stored_energy(frames: Frames) -> Floats:
    """Energy in strings, fields, capacitors and contacts (f,), J."""
    return np.asarray(
        frames.string_energy.sum(axis=1)
        + frames.tension_energy.sum(axis=1)
        + frames.magnetic_energy
        + frames.capacitor_energy
        + frames.contact_energy
    )


def put_in(frames: Frames) -> Floats:
    """Energy from amplifiers, outside forces and noise since the start (f,), J."""
    return np.asarray(frames.supplied.sum(axis=1) + frames.external + frames.noise.sum(axis=1))


def lost(frames: Frames) -> Floats:
    """Energy lost in strings, coils, contacts and dampers since the start (f,), J."""
    heat = frames.drive_heat.sum(axis=1) + frames.sense_heat.sum(axis=1)
    return np.asarray(frames.string_loss.sum(axis=1) + heat + frames.contact_loss + frames.damper_loss)


def residual_share(frames: Frames) -> Floats:
    """Residual of the ledger at every row (f,), as a share of the largest stored energy so far; 0 while nothing was stored."""
    largest = np.maximum.accumulate(np.abs(stored_energy(frames)))
    return np.divide(np.abs(frames.residual), largest, out=np.zeros_like(largest), where=largest > 0.0)


def drift(frames: Frames) -> float | None:
    """Residual at the end, as a share of all energy that went through; None if none did."""
    if frames.time.size == 0:
        return None
    through = max(abs(float(put_in(frames)[-1])), abs(float(lost(frames)[-1])))
    return abs(float(frames.residual[-1])) / through if through > 0.0 else None
