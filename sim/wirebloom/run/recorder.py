"""Every channel of the record, sampled as the steps come in."""

from __future__ import annotations

from math import prod

import numpy as np

from wirebloom.kernels.layout import Model, Record
from wirebloom.run.sampling import Sampler
from wirebloom.take.take import Samples, Signals


def blank_record(model: Model, steps: int) -> Record:
    """Room for the record of a number of steps."""
    poles, circuits = model.poles.gap.size, model.coils.area.size
    sizes = {
        "displacement": (poles, 2),
        "force": (poles, 2),
        "contact": (model.contacts.stiffness.size,),
        "current": (circuits,),
        "bridge": (model.strings.stretch.size, 2),
    }
    return Record(**{name: np.zeros((steps, *sizes.get(name, (circuits // 2,)))) for name in Record._fields})


class Recorder:
    """Samples a whole run at the audio rate: records formed like `blank`, one step in `every`."""

    def __init__(self, blank: Record, every: int, samples: int) -> None:
        shapes = {name: array.shape[1:] for name, array in blank._asdict().items()}
        self.found = {name: np.zeros((samples, *shape), dtype=np.float32) for name, shape in shapes.items()}
        self.sampler = Sampler(sum(prod(shape) for shape in shapes.values()), every)
        self.count = 0

    def take(self, record: Record) -> None:
        """Add the record of some steps."""
        self._store(self.sampler.take(np.concatenate([values.reshape(values.shape[0], -1) for values in record], axis=1)))

    def _store(self, samples: Samples) -> None:
        first, column = self.count, 0
        count = min(samples.shape[0], next(iter(self.found.values())).shape[0] - first)
        for values in self.found.values():
            width = prod(values.shape[1:])
            values[first : first + count] = samples[:count, column : column + width].reshape(count, *values.shape[1:])
            column += width
        self.count = first + count

    def signals(self, count: int) -> Signals:
        """The first `count` samples: an interrupted run may have sampled a part of a frame more."""
        self._store(self.sampler.finish())
        found: dict[str, Samples] = {name: values[: min(count, self.count)] for name, values in self.found.items()}
        return Signals(
            displacement=found["displacement"],
            magnetic_force=found["force"],
            contact_force=found["contact"],
            sense_voltage=found["node"],
            drive_voltage=found["output"],
            capacitor_voltage=found["capacitor"],
            supply_voltage=found["supply"],
            sense_current=found["current"][:, 0::2],
            drive_current=found["current"][:, 1::2],
            bridge_force=found["bridge"],
        )
