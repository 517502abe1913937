"""A run until the level no longer changes, of which only the least gap is wanted; the next one can go on from where it ended."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from wirebloom.compile.model import Compiled
from wirebloom.kernels.layout import Floats, State
from wirebloom.run.inputs import Source, noises_of
from wirebloom.run.recorder import blank_record
from wirebloom.run.simulate import Engine

BLOCK = 0.25  # s: of which the least gap is compared with that of the next
STEADY = 1e-3  # of the motion's reach that it may change in a block: what is to come is some ten times as much
IN_A_ROW = 4  # blocks: a level that turns round keeps still for a moment too
SOUNDING = 0.02  # of the rest gap: a string that reaches less far does not sound


class Settled(NamedTuple):
    """Where a run ended.

    gap_m: least gap in its last block, over all heads; pole: at which; rest_m: gap at rest there; touched: a face was met; steady: no
    longer changing.
    """

    gap_m: float
    pole: int
    rest_m: float
    touched: bool
    steady: bool
    state: State

    @property
    def reach_m(self) -> float:
        """How far the string moves towards that head, m."""
        return self.rest_m - self.gap_m

    @property
    def sounds(self) -> bool:
        """Whether it moves by more than what noise and hum leave."""
        return self.touched or self.reach_m > SOUNDING * self.rest_m


def rest_gaps(compiled: Compiled) -> Floats:
    """Gap of every pole at static equilibrium (J,), m."""
    return np.array([pole.rest_gap_m for pole in compiled.sheet.poles])


def settle(compiled: Compiled, begun: State | None, longest: float) -> Settled:
    """Run until a face is met, or the level keeps still, or the time is over.

    Parameters
    ----------
    compiled : Compiled
        Is left as it is.
    begun : State or None
        Where an earlier run of a like rig ended; None: as the plan says.
    longest : float
        s.

    Raises
    ------
    DivergedError
        If a value is no longer finite.
    """
    engine = Engine(compiled if begun is None else replace(compiled, state=begun))
    if begun is None:
        engine.begin()
    source = Source(compiled.plan, noises_of(engine.model), engine.model.drivers.string.size, compiled.rig.room.mains)
    steps, rest = round(BLOCK * compiled.plan.rate), rest_gaps(compiled)
    record, before, still = blank_record(engine.model, steps), np.inf, 0
    for _ in range(max(1, round(longest / BLOCK))):
        engine.step(source.next(int(engine.state.clock[0]), steps), record)
        gaps = (engine.model.poles.gap[engine.lead] - record.displacement[:, engine.lead, 0]).min(axis=0)
        pole, touched = int(gaps.argmin()), bool((record.contact > 0.0).any())
        reach = float(rest[pole] - gaps[pole])
        still = still + 1 if abs(reach - before) < STEADY * abs(reach) and reach > SOUNDING * rest[pole] else 0
        if touched or still == IN_A_ROW:
            break
        before = reach
    return Settled(0.0 if touched else float(gaps[pole]), pole, float(rest[pole]), touched, still == IN_A_ROW, deepcopy(engine.state))


def carried_over(compiled: Compiled, state: State, share: float) -> State:
    """A state with its strings' motion about rest at a share, to begin near the level of a like rig with another drive."""
    rest = compiled.rest
    return deepcopy(state)._replace(q=rest + share * (state.q - rest), v=share * state.v, contact=np.zeros_like(state.contact))
