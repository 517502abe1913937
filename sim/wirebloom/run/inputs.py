"""What reaches the rig from outside: the supply coming up, noise, a tap."""

from __future__ import annotations

import numpy as np

from wirebloom.kernels.layout import Floats, Inputs
from wirebloom.physics.shapes import tap_force
from wirebloom.rig import RunPlan


class Source:
    """Makes the inputs of any stretch of steps; the same seed gives the same noise."""

    def __init__(self, plan: RunPlan, loops: int, drivers: int) -> None:
        self.plan, self.loops, self.drivers = plan, loops, drivers
        self._random = np.random.default_rng(plan.seed)

    def next(self, first: int, count: int) -> Inputs:
        """Inputs of steps first … first + count − 1."""
        time: Floats = np.asarray((np.arange(first, first + count) + 0.5) / self.plan.rate, dtype=np.float64)
        return Inputs(
            supply=self.supply(time),
            noise=self._random.standard_normal((count, self.loops, 2)),
            force=self.force(time),
        )

    def supply(self, time: Floats) -> Floats:
        """Share of the supply that is up at each time (s)."""
        start = self.plan.start
        return np.minimum(1.0, time / start.ramp) if start.kind == "switch-on" else np.ones(time.size)

    def force(self, time: Floats) -> Floats:
        """Outside forces (n, X), N."""
        start = self.plan.start
        if self.drivers == 0 or start.force is None or start.duration is None:
            return np.zeros((time.size, self.drivers))
        return np.repeat(tap_force(start.force, start.duration, time)[:, None], self.drivers, axis=1)
