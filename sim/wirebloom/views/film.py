"""What an animation shows: moments of a take, the string's shape and orbit at each of them, the drive beside them.

A film is one or more whole periods as the string sounds there, so that its end joins its beginning.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from wirebloom.errors import FileError, ScenarioError
from wirebloom.rig.sentences import listed, perhaps, sentence, show
from wirebloom.take.moments import has_phases, has_signal, period_at, recorded_at, shape_at
from wirebloom.take.window import poles_of
from wirebloom.views.prefixed import times
from wirebloom.views.style import Array

if TYPE_CHECKING:
    from wirebloom.take.take import Take

PERIOD = 2.0  # s that a period takes on the screen, unless asked otherwise
PICTURE = 0.04  # s between two pictures, where that leaves enough of them
SHORTEST = 0.02  # s: viewers slow down what changes faster
FEWEST, MOST = 16, 160  # pictures of a period, and in all: fewer jump, more make a file too large to send
SLOWEST = 1e5
PLACES = 161
TRACE = 400  # points of the drive's curve
OLDER = "Phases of the partials were not recorded in this take: only the period that follows its end can be shown."
BRIEF = "This take ended before its first frame: only the period that follows its end can be shown."


class Span(NamedTuple):
    """What is shown of a take: from start_s on span_s (s), so many whole periods, so many times slower; and what is to be said of it."""

    start_s: float
    span_s: float
    periods: int
    slow: float
    note: str = ""


class Film(NamedTuple):
    """One string in slow motion.

    Attributes
    ----------
    string, pole, loop : int
        Indices into the sheet's; pole is the head at which the orbit is drawn, loop what drives it; -1: there is none.
    where_m : float
        Place of the orbit along the string, m from the bridge.
    start_s, span_s : float
        Moment at which it begins, and how much of the take it shows, s.
    periods : int
        Whole periods in that.
    slow : float
        How many times slower it plays.
    note : str
        What could not be shown as asked; empty where all could.
    moments : (m,) ndarray
        Of the pictures, s from the start.
    places : (X,) ndarray
        Along the string, m.
    shapes : (m, 2, X) ndarray
        Displacement towards the heads and sideways, m.
    orbit : (m, 2) ndarray
        The same at the head, or in the middle of a string without heads, m.
    trace_s : (k,) ndarray
        Closer moments, from 0 to span_s, s from the start.
    path : (k, 2) ndarray
        The orbit at these, m.
    trace : (k,) ndarray
        The drive current at these, A; without a loop the bridge force, N. Not a number where none was recorded.
    """

    string: int
    pole: int
    loop: int
    where_m: float
    start_s: float
    span_s: float
    periods: int
    slow: float
    note: str
    moments: Array
    places: Array
    shapes: Array
    orbit: Array
    trace_s: Array
    path: Array
    trace: Array

    @property
    def plays_s(self) -> float:
        """How long it plays, s."""
        return self.span_s * self.slow


def film(take: Take, *, at: float | None = None, string: int | str = 0, periods: int = 1, slow: float | None = None) -> Film:
    """Choose the moments and find the string at each.

    Parameters
    ----------
    take : Take
    at : float, optional
        Moment at which to begin, s; the last whole periods by default.
    string : int or str
        Index or name.
    periods : int
        Whole periods to show, 1 to 8.
    slow : float, optional
        How many times slower to play; by default a period takes about two seconds.

    Raises
    ------
    ScenarioError
        If a moment, a string, a number of periods or a slow-down is not one that this take and a screen can show.
    FileError
        If the take holds no motion at all.
    """
    place = _index([one.name for one in take.sheet.strings], string)
    if periods not in range(1, 9):
        raise ScenarioError(sentence("periods", "a whole number from 1 to 8", f"{periods}"))
    return _from_phases(take, at, place, periods, slow) if has_phases(take) else _from_shape(take, at, place, slow)


def _from_phases(take: Take, at: float | None, string: int, periods: int, slow: float | None) -> Film:
    end = take.duration_s
    if at is not None and not 0.0 <= at <= end:
        raise ScenarioError(sentence("at", f"between 0 s and the take's end at {end:g} s", f"{at:g} s"))
    period = min(period_at(take, string, end if at is None else at), end / periods)
    start = max(0.0, min(end if at is None else at, end - periods * period))
    slow, count = _pace(period, periods, slow)
    moments = np.arange(count) * (periods * period / count)
    places = np.linspace(0.0, take.sheet.strings[string].length_m, PLACES)
    shapes = shape_at(take, string, start + moments, places)
    return _finished(take, string, Span(start, periods * period, periods, slow), (moments, places, shapes))


def _from_shape(take: Take, at: float | None, string: int, slow: float | None) -> Film:
    """The period after the end, beside the drive of the one before it."""
    if at is not None:
        raise ScenarioError(sentence("at", "left out for a take without phases of its partials", f"{at:g} s"))
    if take.shape.time.size < 2:
        raise FileError(sentence("an animation", "made of a take that holds phases or shapes of its strings", "one with neither"))
    span, count = float(take.shape.time[-1]), take.shape.time.size - 1
    slow, _ = _pace(span, 1, slow)
    pictures = take.shape.time[:-1], take.shape.x[string], take.shape.displacement[:count, string]
    return _finished(take, string, Span(take.duration_s, span, 1, slow, OLDER if take.frames.time.size > 1 else BRIEF), pictures)


def _finished(take: Take, string: int, span: Span, pictures: tuple[Array, Array, Array]) -> Film:
    """Add orbit and drive to moments, places and shapes; beyond the take's end the drive is that of the period before."""
    moments, places, shapes = pictures
    pole = _pole(take, string)
    loop = _index_or_none([one.name for one in take.sheet.loops], take.sheet.poles[pole].loop if pole >= 0 else "")
    where = take.sheet.poles[pole].position_m if pole >= 0 else 0.5 * take.sheet.strings[string].length_m
    since, recorded = np.linspace(0.0, span.span_s, TRACE), span.start_s - (span.span_s if span.note else 0.0)
    orbit = np.stack([[np.interp(where, places, shape[side]) for side in range(2)] for shape in shapes])
    path = np.stack([np.interp(since, moments, orbit[:, side], period=span.span_s) for side in range(2)], axis=1)
    name, signal = "bridge_force", take.signals.bridge_force[:, string, 0]
    if loop >= 0:
        name, signal = "drive_current", take.signals.drive_current[:, loop]
    trace = recorded_at(take, signal, recorded + since) if has_signal(take, name) else np.full(TRACE, np.nan)
    if not span.note and pole >= 0 and has_signal(take, "displacement"):
        orbit, path = (recorded_at(take, take.signals.displacement[:, pole], recorded + when) for when in (moments, since))
    return Film(string, pole, loop, where, *span, moments, places, shapes, orbit, since, path, trace)


def _pace(period: float, periods: int, slow: float | None) -> tuple[float, int]:
    """Return how many times slower it plays and the number of pictures."""
    least = FEWEST * SHORTEST / period
    chosen = max(float(f"{PERIOD / period:.2g}"), least) if slow is None else float(slow)
    if not least * (1.0 - 1e-9) <= chosen <= SLOWEST:
        what = f"between {times(float(np.ceil(least)))} ({FEWEST} pictures of a period, 50 a second) and {times(SLOWEST)}"
        raise ScenarioError(sentence("slow", what, f"{chosen:g}"))
    return chosen, int(np.clip(round(chosen * period * periods / PICTURE), FEWEST * periods, MOST))


def _pole(take: Take, string: int) -> int:
    """Return the string's first drive head, else its first head, else -1."""
    return next(iter([*poles_of(take, string, "drive"), *poles_of(take, string)]), -1)


def _index(names: list[str], wanted: int | str) -> int:
    if isinstance(wanted, str):
        if wanted not in names:
            raise ScenarioError(sentence("string", f"the name of a string ({listed(names)})", f"'{show(wanted)}'", perhaps(wanted, names)))
        return names.index(wanted)
    if not 0 <= wanted < len(names):
        raise ScenarioError(sentence("string", f"a number from 0 to {len(names) - 1}", f"{wanted}"))
    return wanted


def _index_or_none(names: list[str], wanted: str) -> int:
    return names.index(wanted) if wanted in names else -1
