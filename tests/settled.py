"""What a string ends at in a time run: silence, a face, or a steady note of which partial, how wide, at what drive."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.compile import Compiled
from wirebloom.kernels.ledger import turned
from wirebloom.run.inputs import Source, noises_of
from wirebloom.run.recorder import blank_record
from wirebloom.run.simulate import Engine

LONGEST = 80.0  # s
FRAME, FRAMES = 0.0125, 20  # s, and how many of them make a block
WINDOW = 16  # blocks over which nothing may change
STILL = 2e-3  # of the leading partial's bridge force: what its own and that of all others may change by
HEARD, GROWS = 1e-4, 1.1  # of the leading bridge force: a rival above that must not have grown by this factor
LOUD, FAINT = 0.3, 0.01  # of the swing, rms: saturated, linear
DOUBLED, GIVEN_UP = 2.0, 3  # growth of the leading partial in a window that a linear loop must show, and windows that it may not


class Block(NamedTuple):
    """A quarter of a second of string 0: mean modal amplitudes (N,), m, least gap, m, output about its bias over the swing, rms."""

    amplitude: np.ndarray
    gap: float
    output: float
    touched: bool


class Observed(NamedTuple):
    """How a run ended, "silent", "touches", "steady" or "unsettled", and how the leading partial (by bridge force) stood."""

    end: str
    partial: int
    amplitude_m: float
    clearance_m: float
    drive_V: float
    output: float = 0.0  # over the swing


class Watched:
    """A run that is looked at block by block."""

    def __init__(self, compiled: Compiled) -> None:
        self.compiled, self.engine = compiled, Engine(compiled)
        self.source = Source(compiled.plan, noises_of(compiled.model), compiled.model.drivers.string.size, compiled.rig.room.mains)
        self.record = blank_record(compiled.model, round(FRAME * compiled.plan.rate))
        sheet = compiled.sheet.loops[0]
        self.bias, self.swing = sheet.bias_V, min(sheet.swing_high_V, -sheet.swing_low_V)
        self.engine.begin()

    def next(self) -> Block:
        """Run a block on."""
        rows = [self._frame() for _ in range(FRAMES)]
        amplitude, gap, square, force = (np.array(values) for values in zip(*rows, strict=True))
        output = float(np.sqrt(square.mean())) / self.swing
        return Block(amplitude.mean(axis=0), float(gap.min()), output, bool(force.max() > 0.0))

    def _frame(self) -> tuple[np.ndarray, float, float, float]:
        state, model, record = self.engine.state, self.compiled.model, self.record
        self.engine.step(self.source.next(int(state.clock[0]), record.output.shape[0]), record)
        q, v = turned(state.q, state.v, model.back)
        pace = np.where(model.strings.frequency > 0.0, model.strings.frequency, np.inf)
        amplitude = np.hypot(q - self.compiled.rest, v / pace)[0, 0]
        gap = float((model.poles.gap - record.displacement[:, :, 0]).min())
        return amplitude, gap, float(((record.output[:, 0] - self.bias) ** 2).mean()), float(record.contact.max(initial=0.0))

    def forces(self, block: Block) -> np.ndarray:
        """Bridge force of every partial (N,), N."""
        return np.asarray(block.amplitude * self.compiled.model.strings.bridge[0])

    def told(self, end: str, block: Block) -> Observed:
        n = int(self.forces(block).argmax())
        return Observed(end, n + 1, float(block.amplitude[n]), max(block.gap, 0.0), block.output * self.swing, block.output)


def observed(compiled: Compiled, longest: float = LONGEST) -> Observed:
    """Run from the plan's own start until nothing changes and no rival grows any more."""
    run = Watched(compiled)
    before, faded = run.next(), 0
    for _ in range(round(longest / (FRAME * FRAMES * WINDOW))):
        blocks = [run.next() for _ in range(WINDOW)]
        if any(block.touched for block in blocks):
            return run.told("touches", blocks[-1])
        now = blocks[-1]
        if now.output > LOUD and still(run.forces(before), run.forces(now)):
            return run.told("steady", now)
        faded = faded + 1 if now.output < FAINT and run.forces(now).max() < DOUBLED * run.forces(before).max() else 0
        if faded == GIVEN_UP:
            return run.told("silent", now)
        before = now
    return run.told("unsettled", before)


def still(before: np.ndarray, now: np.ndarray) -> bool:
    """Whether bridge forces (N,) before and now are those of one steady state."""
    lead = now.max()
    grown = (now > HEARD * lead) & (now > GROWS * before)
    return bool(np.all(np.abs(now - before) < STILL * lead) and not grown.any())
