"""Which verdicts on a string fail, by its forecast, and how clearly a change must pass to count as a cure."""

from __future__ import annotations

from collections.abc import Iterator

from wirebloom.take.check_prescriptions import Failure, Forecast

TOO_NEAR, CLEAR = 0.05, 0.12  # of the reach, that must be left to a face: for a pass, and after a cure
PATIENCE = 15.0  # s to start that anybody waits, or the planned run where that is longer
SOON = 0.8  # of that, after a cure
MARGIN_DB = 1.0  # of the crosstalk, after a cure

WORDS = {
    "latched": "String {string} cannot hang clear: its magnets hold it on a face.",
    "squeals": "The electronics around {string} sound by themselves.",
    "silent": "String {string} does not start.",
    "late": "String {string} needs some {time:.2g} s to start, more than {latest:.2g} s.",
    "touches": "String {string} comes to {clearance:.2g} mm of {head} or meets it.",
    "other partial": "String {string} ends up on partial {partial}, not on {wanted}.",
}


def latest(duration: float) -> float:
    """By when a string must have started, s; duration of the planned run, s."""
    return max(duration, PATIENCE)


def kinds(own: Forecast, duration: float, wanted: int | None = None) -> tuple[str, ...]:
    """Kinds of failure of one string, the gravest first: of :data:`wirebloom.take.check_prescriptions.FAILURES`.

    Parameters
    ----------
    own : Forecast
    duration : float
        Of the planned run, s.
    wanted : int, optional
        Partial that it is to sound on.
    """
    return tuple(_kinds(own, latest(duration), TOO_NEAR, wanted))


def kinds_after(own: Forecast, duration: float, wanted: int | None = None) -> tuple[str, ...]:
    """The same after a change, judged more strictly: a forecast is not a run."""
    thin = own.squeal_margin_dB is not None and own.squeal_margin_dB < MARGIN_DB
    found = tuple(_kinds(own, SOON * latest(duration), CLEAR, wanted))
    return ("squeals", *found) if thin and "squeals" not in found else found


def _kinds(own: Forecast, last: float, room: float, wanted: int | None) -> Iterator[str]:
    if own.equilibrium == "latched":
        yield "latched"
    if own.squeals:
        yield "squeals"
    if own.equilibrium == "latched":
        return
    if own.partial is None or own.start_time_s is None:
        yield "silent"
        return
    if own.start_time_s > last:
        yield "late"
    if own.clearance_mm is not None and own.reach_mm is not None and own.clearance_mm < room * own.reach_mm:
        yield "touches"
    if wanted is not None and own.partial != wanted:
        yield "other partial"


def failure(own: Forecast, kind: str, duration: float, wanted: int | None = None) -> Failure:
    """One of them, in words."""
    words = WORDS[kind].format(
        string=own.string,
        time=own.start_time_s or 0.0,
        latest=latest(duration),
        clearance=own.clearance_mm or 0.0,
        head=own.nearest,
        partial=own.partial,
        wanted=wanted,
    )
    return Failure(own.string, kind, words)
