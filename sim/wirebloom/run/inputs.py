"""What reaches the rig from outside: the supply coming up, noise, the mains' stray field, a tap."""

from __future__ import annotations

import numpy as np

from wirebloom.kernels.layout import Floats, Inputs, Model
from wirebloom.physics.shapes import tap_force
from wirebloom.rig import RunPlan
from wirebloom.rig.models import Mains


class Source:
    """Makes the inputs of any stretch of steps; the same seed gives the same noise."""

    def __init__(self, plan: RunPlan, noises: int, drivers: int, mains: Mains | None = None) -> None:
        self.plan, self.noises, self.drivers, self.mains = plan, noises, drivers, mains
        self._random = np.random.default_rng(plan.seed)

    def next(self, first: int, count: int) -> Inputs:
        """Inputs of steps first … first + count − 1."""
        time: Floats = np.asarray((np.arange(first, first + count) + 0.5) / self.plan.rate, dtype=np.float64)
        return Inputs(
            supply=self.supply(time),
            noise=self._random.standard_normal((count, self.noises)),
            stray=np.zeros(count) if self.mains is None else field_rise(self.mains, time),
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


def field_rise(mains: Mains, time: Floats) -> Floats:
    """dB/dt of the mains' stray field at times (s), T/s; B is a sum of sines that all begin at t = 0."""
    omega, peak = 2.0 * np.pi * mains.frequency, np.sqrt(2.0) * mains.field
    rise = np.zeros(time.size)
    for order, share in enumerate((1.0, *mains.harmonics), start=1):
        rise += peak * share * order * omega * np.cos(order * omega * time)
    return rise


def no_inputs(model: Model, steps: int) -> Inputs:
    """Steps with the supply up and nothing else."""
    return Inputs(np.ones(steps), np.zeros((steps, noises_of(model))), np.zeros(steps), np.zeros((steps, model.drivers.string.size)))


def noises_of(model: Model) -> int:
    """How many noises there are: of every loop's sense coils, then of every stage."""
    return model.coils.area.size // 2 + model.stages.gain.size
