"""One run: buffers, the time loop frame by frame, status → Take or one error."""

from __future__ import annotations

import platform
import time
from collections.abc import Callable
from contextlib import suppress
from copy import deepcopy
from importlib.metadata import version

import numpy as np

from wirebloom.compile.model import Compiled
from wirebloom.errors import DivergedError
from wirebloom.kernels.layout import Floats, Inputs, Model, Record
from wirebloom.kernels.ledger import turned
from wirebloom.kernels.loop import DONE, STRING_LOST, begin, run_steps
from wirebloom.kernels.pack import Packed, Working, pack, put_down, take_up
from wirebloom.physics.shapes import shape_along
from wirebloom.run.accounts import Accounts
from wirebloom.run.inputs import Source, no_inputs, noises_of
from wirebloom.run.recorder import Recorder, blank_record
from wirebloom.run.summed import owner, summed
from wirebloom.take.sheet import Sheet
from wirebloom.take.take import Frames, Shape, Take

PHASES = 48  # pictures of the string in one period
PLACES = 201  # points along it
PACKAGES = ("wirebloom", "numpy", "scipy", "numba", "h5py")


class Engine:
    """The time loop with a model, a state and room for one frame."""

    def __init__(self, compiled: Compiled) -> None:
        self.model: Model = compiled.model
        self.sheet = compiled.sheet
        self.lead = compiled.parts.lead
        self.state = deepcopy(compiled.state)
        self.packed: Packed = pack(self.model)
        self.working: Working = take_up(self.state, self.model)
        self.kernel_s = 0.0

    def begin(self) -> None:
        """Compile the loop if this machine has not yet done so (some ten seconds, once), and move the strings half a step ahead."""
        run_steps(self.packed, self.working, no_inputs(self.model, 0), blank_record(self.model, 0))
        begin(self.model, self.state)  # type: ignore[no-untyped-call]

    def step(self, inputs: Inputs, record: Record) -> None:
        """Run as many steps as there are inputs.

        Raises
        ------
        DivergedError
            Where a value was no longer finite.
        """
        first = int(self.state.clock[0])
        started = time.perf_counter()
        status, step, where = run_steps(self.packed, self.working, inputs, record)
        self.kernel_s += time.perf_counter() - started
        put_down(self.working, self.state, self.model, self.packed)
        if status != DONE:
            where = owner(self.model, self.lead, where) if status == STRING_LOST else where
            raise diverged(self.sheet, (first + step) * self.model.step, status, where)


def diverged(sheet: Sheet, moment: float, status: int, where: int) -> DivergedError:
    """The error of a run whose value left all reason at time `moment` (s): of a pole's string, or of a circuit's current."""
    place = string_place(sheet, where) if status == STRING_LOST else circuit_place(sheet, where)
    return DivergedError(
        f"{place} must stay finite; instead received a value beyond all reason at {moment:.6f} s.", time_s=moment, where=place
    )


def string_place(sheet: Sheet, pole: int) -> str:
    """A pole in words; a string without heads has none of its own."""
    if pole >= len(sheet.poles):
        return "the motion of a string without heads"
    return f"the motion of string {sheet.poles[pole].string} over head {sheet.poles[pole].head}"


def circuit_place(sheet: Sheet, circuit: int) -> str:
    """A circuit in words: 2a is the sense coil of loop a, 2a + 1 its drive coil."""
    return f"the current in the {('sense', 'drive')[circuit % 2]} coil of loop {sheet.loops[circuit // 2].name}"


def simulate(compiled: Compiled, progress: Callable[[float], None] | None = None) -> Take:
    """Run a compiled rig for the duration of its plan.

    Parameters
    ----------
    compiled : Compiled
        Is left as it is.
    progress : callable, optional
        Called with the simulated time, s: at once with 0, then after every frame.

    Returns
    -------
    Take
        With status "interrupted", and all finished frames, if the run was stopped by Ctrl-C.

    Raises
    ------
    DivergedError
        If a value is no longer finite.
    """
    plan, model = compiled.plan, compiled.model
    frame, every = round(plan.frame * plan.rate), round(plan.rate / plan.audio_rate)
    frames = max(1, round(plan.duration / plan.frame))
    engine = Engine(compiled)
    source = Source(plan, noises_of(model), model.drivers.string.size, compiled.rig.room.mains)
    recorder = Recorder(summed(blank_record(model, 1), engine.lead), every, frames * frame // every)
    if progress is not None:
        progress(0.0)
    engine.begin()
    accounts = Accounts(model, engine.packed, engine.state, compiled.rest, engine.lead)
    accounts.open(engine.state)
    record, status = blank_record(model, frame), "complete"
    try:
        for number in range(frames):
            engine.step(source.next(number * frame, frame), record)
            recorder.take(summed(record, engine.lead))
            accounts.take(engine.state, record)
            if progress is not None:
                progress((number + 1) * plan.frame)
    except KeyboardInterrupt:
        status = "interrupted"
    return make_take(compiled, engine, recorder, accounts, status)


def make_take(compiled: Compiled, engine: Engine, recorder: Recorder, accounts: Accounts, status: str) -> Take:
    """The take of a run that has ended."""
    plan = compiled.plan
    columns = accounts.columns()
    reached = float(columns["time"][-1])
    return Take(
        sheet=compiled.sheet,
        scenario=compiled.rig.text,
        overrides=compiled.rig.overrides,
        seed=plan.seed,
        status=status,
        duration_s=reached,
        rate=plan.rate,
        audio_rate=plan.audio_rate,
        versions={name: version(name) for name in PACKAGES} | {"python": platform.python_version()},
        signals=recorder.signals(round(reached * plan.audio_rate)),
        frames=Frames(**columns),
        shape=follow_shape(compiled, engine),
        wall={"kernel_s": engine.kernel_s, "realtime_factor": reached / engine.kernel_s if engine.kernel_s > 0.0 else 0.0},
    )


def follow_shape(compiled: Compiled, engine: Engine) -> Shape:
    """The strings' shape over the period of the first string's partial 1 that follows the run's end."""
    sheet, model = compiled.sheet, engine.model
    steps = max(1, round(compiled.plan.rate / float(sheet.strings[0].frequency_Hz[0, 0]) / PHASES))
    quiet, record = no_inputs(model, steps), blank_record(model, steps)
    x = np.stack([np.linspace(0.0, string.length_m, PLACES) for string in sheet.strings])
    pictures: list[Floats] = []
    with suppress(DivergedError):  # the take itself is whole: it keeps the pictures there are
        for _ in range(PHASES + 1):
            q, _ = turned(engine.state.q, engine.state.v, model.back)
            pictures.append(np.stack([shape_along(x[s], q[s], sheet.strings[s].length_m) for s in range(len(sheet.strings))]))
            engine.step(quiet, record)
    return Shape(time=np.asarray(np.arange(len(pictures)) * (steps * model.step)), x=x, displacement=np.stack(pictures))
