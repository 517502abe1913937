"""A run of which only the measures are wanted: everything that costs time beside the loop itself is kept short."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from wirebloom.compile.model import Compiled
from wirebloom.kernels.layout import Floats, Ints, Model, Record, State
from wirebloom.kernels.ledger import turned
from wirebloom.run.inputs import Source, noises_of
from wirebloom.run.recorder import blank_record
from wirebloom.run.simulate import Engine
from wirebloom.run.summed import summed, touching
from wirebloom.take.take import Frames, Samples, Shape, Signals, Take

ENOUGH = 24e3  # Hz: at 8 kHz a tenth and more of a square drive's work on the upper partials would be averaged away
READ = {
    "displacement": "displacement",
    "magnetic_force": "force",
    "contact_force": "contact",
    "drive_voltage": "output",
    "sense_voltage": "node",
    "current": "current",
    "bridge_force": "bridge",
}


def lean_take(compiled: Compiled, on: Callable[[float], bool]) -> Take | None:
    """Run a compiled rig and return a take for the measures of its strings: signals as means over a few steps, and what strings are
    not measured by (currents, sense and capacitor voltages, energies, shape) as zeros.

    Parameters
    ----------
    compiled : Compiled
    on : callable
        Asked before every frame, with the simulated time (s), whether to go on; if not, there is no take.

    Raises
    ------
    DivergedError
        If a value is no longer finite.
    """
    plan, model = compiled.plan, compiled.model
    frame, frames = round(plan.frame * plan.rate), max(1, round(plan.duration / plan.frame))
    sizes = noises_of(model), model.drivers.string.size
    engine, source = Engine(compiled), Source(plan, *sizes, compiled.rig.room.mains)
    engine.begin()
    notes = Notes(model, compiled.rest, (frames, frame, steps_together(frame, plan.rate)), engine.lead)
    notes.open(engine.state)
    record = blank_record(model, frame)
    for number in range(frames):
        if not on(number * plan.frame):
            return None
        engine.step(source.next(number * frame, frame), record)
        notes.take(engine.state, summed(record, engine.lead))
    return notes.as_take(compiled)


def steps_together(frame: int, rate: float) -> int:
    """Most steps that divide a frame and leave samples often enough."""
    most = max(1, int(rate / ENOUGH))
    return next(count for count in range(most, 0, -1) if frame % count == 0)


class Notes:
    """Collects what the measures need: means of the record, and at the end of each frame the partials and the least gap."""

    def __init__(self, model: Model, rest: Floats, counts: tuple[int, int, int], lead: Ints) -> None:
        frames, steps, self.together = counts
        self.model, self.rest, self.lead = model, rest, lead
        self._of_a_frame = steps // self.together
        self._length = frames * self._of_a_frame
        self._gap, self._touching = model.poles.gap[lead], touching(model, lead)
        self._signals: dict[str, Samples] = {}  # whole from the start: many small pieces would not leave the memory again
        self.rows: list[dict[str, Any]] = []

    def open(self, state: State) -> None:
        """The row of t = 0."""
        self._add(state, state.last_gap[self.lead], np.zeros(self.lead.size), np.zeros(state.supplied.size))

    def take(self, state: State, record: Record) -> None:
        """Add a frame."""
        first = (len(self.rows) - 1) * self._of_a_frame
        for name, source in READ.items():
            means = self._means(getattr(record, source))
            if name not in self._signals:
                self._signals[name] = np.empty((self._length, *means.shape[1:]), np.float32)
            self._signals[name][first : first + means.shape[0]] = means
        contact = np.zeros(self.lead.size)
        contact[self._touching] = record.contact.max(axis=0)
        self._add(state, (self._gap - record.displacement[:, :, 0]).min(axis=0), contact, (record.output**2).mean(axis=0))

    def _means(self, values: Floats) -> Samples:
        sums = np.add.reduceat(values, np.arange(0, values.shape[0], self.together), axis=0)  # a third of the time of a mean
        return np.asarray(sums / self.together, dtype=np.float32)

    def _add(self, state: State, gap: Floats, contact: Floats, square: Floats) -> None:
        q, v = turned(state.q, state.v, self.model.back)
        frequency = self.model.strings.frequency
        pace = np.divide(v, frequency, out=np.zeros_like(v), where=frequency > 0.0)
        time = float(state.clock[0] * self.model.step)
        amplitude = np.hypot(q - self.rest, pace)
        self.rows.append({"time": time, "amplitude": amplitude, "least_gap": gap, "most_contact": contact, "output_square": square})

    def as_take(self, compiled: Compiled) -> Take:
        """The take so far."""
        plan, reached = compiled.plan, self.rows[-1]["time"]
        return Take(
            sheet=compiled.sheet,
            scenario=compiled.rig.text,
            overrides=compiled.rig.overrides,
            seed=plan.seed,
            status="complete",
            duration_s=reached,
            rate=plan.rate,
            audio_rate=plan.rate / self.together,
            versions={},
            signals=self._as_signals(),
            frames=self._frames(),
            shape=Shape(np.zeros(0), np.zeros((0, 0)), np.zeros((0, 0, 2, 0))),
            wall={},
        )

    def _as_signals(self) -> Signals:
        own = {name: values for name, values in self._signals.items() if name != "current"}
        silent, current = np.broadcast_to(np.float32(0.0), own["drive_voltage"].shape), self._signals["current"]
        silences = {"capacitor_voltage": silent, "supply_voltage": silent}
        return Signals(**own, **silences, sense_current=current[:, 0::2], drive_current=current[:, 1::2])

    def _frames(self) -> Frames:
        columns = {name: np.array([row[name] for row in self.rows]) for name in self.rows[0]}
        nothing = np.zeros(len(self.rows))
        return Frames(**{name: columns.get(name, nothing) for name in Frames.__dataclass_fields__})
