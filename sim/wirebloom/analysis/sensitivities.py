"""What each thing in a maker's hands does to start time, clearance, dominance and squeal margin: one step either way, looked at anew.

The string stays on the partial that it sounds on; a step after which that no longer lasts tells of its squeal margin only.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import log
from typing import TYPE_CHECKING

from wirebloom.analysis.advice_words import sensitivity_words, step
from wirebloom.analysis.forecast import forecast, forecasts
from wirebloom.analysis.knobs import Knob
from wirebloom.analysis.makers_knobs import knobs_of
from wirebloom.analysis.strand import basis_of
from wirebloom.analysis.trials import tried
from wirebloom.take.check_prescriptions import MEASURES, Forecast, Sensitivity

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

LEAST = 0.03  # of a gain: less is not told
SMALL = {"clearance": 0.05, "dominance": 0.05, "squeal margin": 1.0}  # mm, 1/s, dB: differences are held against this at least
SOONEST = 1e-3  # s


def sensitivities(compiled: Compiled, now: Sequence[Forecast] | None = None) -> tuple[Sensitivity, ...]:
    """What one step of every knob does, the better of both ways, string by string and measure by measure, the most effective first.

    Parameters
    ----------
    compiled : Compiled
    now : sequence of Forecast, optional
        Of all strings as the rig stands.

    Returns
    -------
    tuple of Sensitivity
        None of a measure that a string does not have.
    """
    now = forecasts(compiled) if now is None else now
    found = [own for before in now for own in _of_string(compiled, before)]
    order = {own.string: k for k, own in enumerate(now)}
    return tuple(sorted(found, key=lambda own: (order[own.string], MEASURES.index(own.measure), -own.gain)))


def _of_string(compiled: Compiled, before: Forecast) -> Iterator[Sensitivity]:
    for knob in knobs_of(compiled, before.string):
        trials = [(value, after) for value in _values(knob) if (after := _after(compiled, knob, value, before)) is not None]
        for measure in MEASURES:
            told = [own for value, after in trials if (own := _told(before, after, measure, knob, value)) is not None]
            if told:
                yield max(told, key=lambda own: own.gain)


def _values(knob: Knob) -> list[float]:
    """One step up and one down, of values that can be set; none for a switch."""
    if knob.step == 0.0:
        return []
    found = [knob.at(knob.beyond(sign * knob.step)) for sign in (1.0, -1.0)]
    return [value for value in found if value != knob.value]


def _after(compiled: Compiled, knob: Knob, value: float, before: Forecast) -> Forecast | None:
    changed = tried(compiled, knob.overrides(value), (knob.magnets, value))
    if changed is None:
        return None
    string = [one.name for one in changed.rig.strings].index(before.string)
    return forecast(changed, basis_of(changed.model, changed.rest), string, before.partial)


def measure_of(own: Forecast, measure: str) -> float | None:
    """One of `MEASURES` of a forecast: s, mm, 1/s, dB."""
    if measure == "dominance":
        return None if own.rival_per_s is None else -own.rival_per_s
    return {"start time": own.start_time_s, "clearance": own.clearance_mm, "squeal margin": own.squeal_margin_dB}[measure]


def gain(measure: str, before: float, after: float) -> float:
    """How much better a measure has become: of start times the logarithm of their ratio, else the difference over the measure's size."""
    if measure == "start time":
        return log(max(before, SOONEST) / max(after, SOONEST))
    return (after - before) / max(abs(before), SMALL[measure])


def _told(before: Forecast, after: Forecast, measure: str, knob: Knob, value: float) -> Sensitivity | None:
    """None where either has no such measure, where the string then sounds on another partial, or where it becomes no better."""
    was, then = measure_of(before, measure), measure_of(after, measure)
    if was is None or then is None or (measure != "squeal margin" and after.partial != before.partial):
        return None
    better = gain(measure, was, then)
    if better < LEAST:
        return None
    return Sensitivity(
        string=before.string,
        measure=measure,
        knob=knob.name,
        step=step(knob, value),
        before=was,
        after=then,
        gain=better,
        overrides=knob.overrides(value),
        words=sensitivity_words(knob, value, measure, was, then),
    )
