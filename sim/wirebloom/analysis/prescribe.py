"""The least change of one thing that turns a failed verdict into a pass: every knob turned until it does, then looked at in full.

A quick probe steers: it is turned the way that helps, in growing steps, until it passes; then the step is halved. What is prescribed is
the next value that can be set or bought, and only if a full forecast with it passes: a little further is tried where it does not.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from wirebloom.analysis.advice_words import prescription_words
from wirebloom.analysis.failures import failure, kinds, kinds_after
from wirebloom.analysis.forecast import forecasts
from wirebloom.analysis.knobs import Knob
from wirebloom.analysis.makers_knobs import knobs_of
from wirebloom.analysis.probes import Probe, probe
from wirebloom.analysis.search import least_turns
from wirebloom.analysis.sensitivities import sensitivities
from wirebloom.analysis.trials import tried
from wirebloom.take.check_prescriptions import FAILURES, Advice, Failure, Forecast, Prescription

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

ONWARDS = (1.0, 1.05, 1.15, 1.3)  # times the turn, where the full forecast is not content


class Case(NamedTuple):
    """A compiled rig, its forecasts string by string, and the partial that its strings are to sound on, if any."""

    compiled: Compiled
    now: tuple[Forecast, ...]
    wanted: int | None

    @property
    def duration(self) -> float:
        """Of the planned run, s."""
        return self.compiled.plan.duration

    def place(self, string: str) -> int:
        """Number of a string."""
        return [own.string for own in self.now].index(string)


def advise(compiled: Compiled, wanted: int | None = None, *, sensitive: bool = True) -> Advice:
    """What is wrong with a rig, what would put it right, and what each thing in a maker's hands does.

    Parameters
    ----------
    compiled : Compiled
    wanted : int, optional
        Partial that its strings are to sound on.
    sensitive : bool
        Whether to look for sensitivities too.

    Returns
    -------
    Advice

    Examples
    --------
    >>> from wirebloom.analysis.prescribe import advise
    >>> from wirebloom.compile import compile_rig
    >>> from wirebloom.rig import load
    >>> advice = advise(compile_rig(*load("first_note")), sensitive=False)
    >>> advice.failures
    ()
    """
    case = Case(compiled, forecasts(compiled), wanted)
    failures = tuple(found for own in case.now if _driven(compiled, own) for found in failures_of(case, own))
    cures = tuple(cure for one in _to_cure(failures) for cure in prescriptions(case, one))
    return Advice(case.now, failures, cures, sensitivities(compiled, case.now) if sensitive else ())


def failures_of(case: Case, own: Forecast) -> Iterator[Failure]:
    """Of one string."""
    for kind in kinds(own, case.duration, case.wanted):
        yield failure(own, kind, case.duration, case.wanted)


def _driven(compiled: Compiled, own: Forecast) -> bool:
    """Whether a loop has heads under the string: nothing is asked of one without."""
    under = {pole.head.name for pole in compiled.poles if compiled.rig.strings[pole.string].name == own.string}
    return any(under & {*loop.sense, *loop.drive} for loop in compiled.rig.loops)


def _to_cure(failures: Sequence[Failure]) -> Iterator[Failure]:
    """The gravest of every string: of one that is held or squeals, a forecast says no more."""
    seen: set[str] = set()
    for one in failures:
        if one.string not in seen or one.kind in ("touches", "other partial"):
            yield one
        if one.kind in ("latched", "squeals"):
            seen.add(one.string)


def prescriptions(case: Case, one: Failure) -> tuple[Prescription, ...]:
    """What turns one failure into a pass: those first that leave no failure, and of them the least change first."""
    base = probe(case.compiled if one.kind != "latched" else None, case.place(one.string), one.kind, case.wanted)
    knobs = [knob for knob in knobs_of(case.compiled, one.string) if not knob.magnets]
    found = [cure for knob in knobs if (cure := _cure(case, one, knob, base)) is not None]
    return tuple(sorted(found, key=lambda cure: (bool(cure.leaves), cure.size)))


def _cure(case: Case, one: Failure, knob: Knob, base: Probe) -> Prescription | None:
    """With one knob: the lesser turn of both ways that is confirmed."""

    def look(turn: float) -> Probe:
        return probe(tried(case.compiled, knob.overrides(knob.at(turn))), case.place(one.string), one.kind, case.wanted)

    turns = sorted(least_turns(knob, look, base), key=abs)
    return next((cure for turn in turns if (cure := _confirmed(case, one, knob, turn)) is not None), None)


def _confirmed(case: Case, one: Failure, knob: Knob, least: float) -> Prescription | None:
    """The first settable value from a turn on with which a full forecast passes; None if none nearby does."""
    for turn in dict.fromkeys(knob.beyond(further * least) for further in ONWARDS):
        changed = tried(case.compiled, knob.overrides(knob.at(turn)))
        found = () if changed is None else forecasts(changed)
        if found and _passes(case, one, found):
            return _told(case, one, knob, turn, found[case.place(one.string)])
    return None


def _passes(case: Case, one: Failure, then: Sequence[Forecast]) -> bool:
    """Whether the failure is gone, the string sounds, and no other string is worse off."""
    for before, after in zip(case.now, then, strict=True):
        if before.string == one.string:
            if _must(one.kind) & {*kinds_after(after, case.duration, case.wanted)}:
                return False
        elif {*kinds(after, case.duration, case.wanted)} - {*kinds(before, case.duration, case.wanted)}:
            return False
    return True


def _must(kind: str) -> set[str]:
    """What a cure of one kind may not leave: itself, what comes before it, and silence after all but a held string or a squeal."""
    return {*FAILURES[: FAILURES.index(kind) + 1], *(("silent", "late") if kind not in ("latched", "squeals") else ())}


def _told(case: Case, one: Failure, knob: Knob, turn: float, after: Forecast) -> Prescription:
    value = knob.at(turn)
    leaves = kinds(after, case.duration, case.wanted)
    return Prescription(
        string=one.string,
        failure=one.kind,
        knob=knob.name,
        before=knob.told(knob.value),
        after=knob.told(value),
        size=abs(turn),
        overrides=knob.overrides(value),
        forecast=after,
        leaves=leaves,
        words=prescription_words(knob, value, one, after, leaves),
    )
