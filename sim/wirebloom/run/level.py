"""The largest drive that keeps a clearance: which resistor in series with the drive coils, by settling runs that bracket it.

A saturated loop drives with nearly the same voltage at any level: the motion goes about as one over the whole resistance of the drive
circuit. From that come the guesses and the motion that each run begins with. What counts is a whole run from the plan's own start, whose
string may come nearer on its way than it ends: preferred values go up until such a run keeps the clearance.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from wirebloom.circuit.series import E24
from wirebloom.compile.model import Compiled, compile_end
from wirebloom.errors import RigError
from wirebloom.rig.quantities import metres
from wirebloom.rig.sentences import sentence
from wirebloom.run.lean import lean_take
from wirebloom.run.settling import Settled, carried_over, rest_gaps, settle
from wirebloom.take.ends import end_of
from wirebloom.take.level import Level
from wirebloom.take.measures import measured_strings
from wirebloom.take.nearness import nearness
from wirebloom.take.take import Take
from wirebloom.take.window import output_about_bias, samples_of_last

LARGEST = 100e3  # Ω, as the scenario's key allows
LONGEST, FIRST = 6.0, 12.0  # s of a run that goes on from another; least of the first one
NEAR = 0.03  # relative, of the whole resistance: as close as the bracket is drawn; preferred values lie 5 % and more apart
TRIALS = 10
FORGIVEN = 0.005  # of the clearance, in the runs that verify
WHOLE_RUNS = 6
STRONG = 1  # end of the band

Build = Callable[[float], Compiled]


class Trial(NamedTuple):
    """One settling run: level resistor and whole resistance of the drive circuit, Ω."""

    ohm: float
    whole: float
    found: Settled


def at_least(ohm: float) -> float:
    """Next value of E24 that is not below a resistance, Ω.

    Examples
    --------
    >>> at_least(92.0), at_least(130.0), at_least(0.4)
    (100.0, 130.0, 0.43)
    """
    decade = int(np.floor(np.log10(ohm)))
    near = (float(f"{number}e{decade + shift - 1}") for shift in (0, 1) for number in E24)
    return next(value for value in near if value >= ohm * (1.0 - 1e-9))


def find_level(build: Build, loop: int, clearance: float, own_ohm: float) -> Level:
    """Search for the level resistor that just keeps a clearance.

    Parameters
    ----------
    build : callable
        The rig with a level resistor (Ω) in the loop, compiled.
    loop : int
    clearance : float
        m, over all heads.
    own_ohm : float
        Resistor to begin with, Ω.

    Raises
    ------
    RigError
        If the strings rest nearer than that.
    DivergedError
        If a value is no longer finite.
    """
    search = _Search(build, loop, clearance)
    search.require_room()
    kind, exact = search.narrowed(own_ohm)
    return search.verified(kind, exact)


class _Search:
    """Runs so far, and the bracket that they make."""

    def __init__(self, build: Build, loop: int, clearance: float) -> None:
        self.build, self.loop, self.clearance = build, loop, clearance
        self.low: Trial | None = None  # most resistance that is too little
        self.high: Trial | None = None  # least that is enough
        self.runs = 0

    def require_room(self) -> None:
        """Refuse a clearance that a string at rest does not have."""
        gaps = rest_gaps(self.build(0.0))
        if gaps.size == 0 or self.clearance >= gaps.min():
            what = f"less than the least gap at rest ({metres(float(gaps.min(initial=np.inf)))})" if gaps.size else "of a rig with heads"
            raise RigError(sentence("--clearance", what, metres(self.clearance)))

    def narrowed(self, own_ohm: float) -> tuple[str, float]:
        """Kind of result, and the resistor."""
        first = self.tried(own_ohm)
        if not first.found.sounds:
            self.low = self.high = None
            first = self.tried(0.0)
            if not first.found.sounds:
                return "silent", 0.0
        for _ in range(TRIALS):
            if self.narrow():
                break
            if self.low is not None and self.low.ohm >= LARGEST:
                return "too near", LARGEST
            self.tried(self.guess())
        if self.high is None:
            return "too near", LARGEST
        return ("none needed" if self.high.ohm == 0.0 else "found"), self.high.ohm

    def narrow(self) -> bool:
        """Whether there is nothing left to try."""
        if self.high is None or self.high.ohm == 0.0:
            return self.high is not None
        return self.low is not None and self.high.whole < self.low.whole * (1.0 + NEAR)

    def tried(self, ohm: float) -> Trial:
        """Run with a resistor, and narrow the bracket by what comes of it."""
        compiled = self.build(ohm)
        whole = compiled.sheet.loops[self.loop].drive_resistance_ohm
        last = self.low or self.high
        nearest = min((t for t in (self.low, self.high) if t is not None), key=lambda t: abs(np.log(t.whole / whole)), default=last)
        begun = None if nearest is None else carried_over(compiled, nearest.found.state, min(nearest.whole / whole, 1.2))
        longest = max(FIRST, compiled.plan.duration) if begun is None else LONGEST
        trial = Trial(ohm, whole, settle(compiled, begun, longest))
        self.runs += 1
        if trial.found.touched or trial.found.gap_m < self.clearance:
            self.low = trial
        else:
            self.high = trial
        return trial

    def guess(self) -> float:
        """Resistor to try next, Ω: where the reach, one over the resistance, would be what is wanted; kept within the bracket."""
        one = self.high or self.low
        if one is None:
            return 0.0
        series = one.whole - one.ohm
        if self.low is not None and self.high is not None:
            whole = float(np.sqrt(self.low.whole * self.high.whole))
        elif one.found.touched:
            whole = 2.0 * one.whole
        else:
            whole = self.expected(one) * (1.0 + NEAR / 2 if self.high is None else 1.0 - NEAR / 2)
        return float(np.clip(whole - series, 0.0, LARGEST))

    def expected(self, trial: Trial) -> float:
        """Whole resistance at which the wanted clearance is to be expected, Ω."""
        found = trial.found
        return trial.whole * max(found.reach_m, 1e-9) / (found.rest_m - self.clearance)

    def verified(self, kind: str, exact: float) -> Level:
        """Whole runs from the plan's own start, with preferred values that rise until one keeps the clearance."""
        ohm = at_least(exact) if kind == "found" else exact
        take, enough = self.whole_run(ohm)
        for _ in range(WHOLE_RUNS - 1):
            if enough or kind not in ("found", "none needed"):
                break
            kind, ohm = "found", min(LARGEST, at_least(max(self.more(take, ohm), 1.04 * ohm)))
            take, enough = self.whole_run(ohm)
        if kind == "found" and not enough:
            kind = "too near"
        near = nearness(take, range(len(take.sheet.poles)))
        nearest = next((s for s in measured_strings(take) if s.near.head == near.head), measured_strings(take)[0])
        return Level(
            kind="dies" if kind in ("found", "none needed") and nearest.starts is False else kind,
            exact_ohm=exact,
            ohm=ohm,
            clearance_mm=near.clearance_mm or 0.0,
            head=near.head,
            strong_mm=self.strong(ohm),
            **self.drive(take),
            outcome=nearest.outcome,
            runs=self.runs,
        )

    def whole_run(self, ohm: float) -> tuple[Take, bool]:
        """A run with this resistor, and whether it keeps the clearance."""
        take = self.run(self.build(ohm))
        kept = nearness(take, range(len(take.sheet.poles))).clearance_mm or 0.0
        return take, kept >= 1e3 * self.clearance * (1.0 - FORGIVEN)

    def more(self, take: Take, ohm: float) -> float:
        """Resistor with which a run would have kept the clearance, its motion one over the whole resistance, Ω."""
        rest, gaps = rest_gaps(self.build(ohm)), take.frames.least_gap.min(axis=0)
        pole, whole = int(gaps.argmin()), take.sheet.loops[self.loop].drive_resistance_ohm
        reach = rest[pole] - max(float(gaps[pole]), 0.0)
        return float(ohm + whole * (reach / (rest[pole] - self.clearance) - 1.0))

    def run(self, compiled: Compiled) -> Take:
        """A run from the plan's own start."""
        self.runs += 1
        take = lean_take(compiled, lambda _: True)
        if take is None:
            raise RuntimeError
        return take

    def strong(self, ohm: float) -> float | None:
        """Clearance with all heads at the strong end of their band, mm."""
        compiled = self.build(ohm)
        if not any(pole.band.known for pole in compiled.poles):
            return None
        end = end_of(self.run(compile_end(compiled, STRONG)))
        return min((string.clearance_mm for string in end.strings if string.clearance_mm is not None), default=None)

    def drive(self, take: Take) -> dict[str, float]:
        """Rms voltage and current of the loop's drive over the last second."""
        late = samples_of_last(take, 1.0)
        volts, amperes = output_about_bias(take, [self.loop])[late, 0], take.signals.drive_current[late, self.loop].astype(float)
        return {"drive_V": float(np.sqrt(np.mean(volts**2))), "drive_A": float(np.sqrt(np.mean(amperes**2)))}
