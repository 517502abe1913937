"""The record of every step → signals at the audio rate, without aliases."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wirebloom.kernels.decimate import decimate

Floats = NDArray[np.float64]
Samples = NDArray[np.float32]
REACH = 24  # taps a sample of the lower rate: −90 dB beyond 0.6 of its rate
KAISER = 9.0


def low_pass(every: int) -> Floats:
    """Even, symmetric, unit-gain taps for reading one step in `every`: cut at half the lower rate."""
    if every == 1:
        return np.ones(1)
    count = REACH * every
    place = np.arange(count) - (count - 1) / 2.0
    taps = np.sinc(place / every) * np.kaiser(count, KAISER)
    return np.asarray(taps / taps.sum())


class Sampler:
    """All channels, sampled as their steps come in.

    Sample m stands at m·every steps after the start: between two steps, which is where an even filter has its middle.
    The first and the last value are held beyond the ends.
    """

    def __init__(self, channels: int, every: int) -> None:
        self.every = every
        self.taps = low_pass(every)
        self._row = np.zeros(channels)
        self._pending: Floats | None = None

    def take(self, steps: Floats) -> Samples:
        """Add steps (n, M); returns the samples (m, M) that they complete."""
        before = np.repeat(steps[:1], self.taps.size // 2, axis=0) if self._pending is None else self._pending
        return self._read(np.concatenate([before, steps]))

    def finish(self) -> Samples:
        """The last samples."""
        if self._pending is None or self.taps.size == 1:
            return np.zeros((0, self._row.size), dtype=np.float32)
        return self._read(np.concatenate([self._pending, np.repeat(self._pending[-1:], self.taps.size // 2, axis=0)]))

    def _read(self, steps: Floats) -> Samples:
        ready = max(0, (steps.shape[0] - self.taps.size) // self.every + 1)
        samples = np.empty((ready, self._row.size), dtype=np.float32)
        decimate(steps, self.taps, self.every, self._row, samples)
        self._pending = np.ascontiguousarray(steps[ready * self.every :])
        return samples
