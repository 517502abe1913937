"""What the energy ledger cannot account for."""

from __future__ import annotations

import numpy as np

from wirebloom.take.take import Floats, Frames


def stored_energy(frames: Frames) -> Floats:
    """Energy stored (f,), J; the magnetic one, which counts from the start, by its size."""
    strings = frames.string_energy.sum(axis=1) + frames.tension_energy.sum(axis=1)
    return np.asarray(strings + frames.capacitor_energy + frames.contact_energy + np.abs(frames.magnetic_energy))


def residual_share(frames: Frames) -> Floats:
    """Size of the residual (f,) as a share of the largest energy stored up to then; 0 where nothing has been stored."""
    most = np.maximum.accumulate(stored_energy(frames))
    return np.divide(np.abs(frames.residual), most, out=np.zeros_like(most), where=most > 0.0)


def ledger_residual(frames: Frames) -> float | None:
    """Largest residual relative to the energy stored up to then; None before the first frame ends."""
    share = residual_share(frames)
    return float(share.max()) if share.size > 1 else None


def ledger_drift(frames: Frames) -> float | None:
    """Residual at the end relative to all that was put in; None if nothing was."""
    if frames.time.size == 0:
        return None
    put_in = float(np.abs(frames.supplied[-1]).sum() + np.abs(frames.noise[-1]).sum() + abs(frames.external[-1]))
    return abs(float(frames.residual[-1])) / put_in if put_in > 0.0 else None
