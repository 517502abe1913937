"""Advice in a maker's words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf
from typing import TYPE_CHECKING

from wirebloom.analysis.sign_words import listed

if TYPE_CHECKING:
    from wirebloom.analysis.knobs import Knob
    from wirebloom.take.check_prescriptions import Failure, Forecast

HALF = 0.45, 0.55  # ratios that read as "halves"
ENDS = {
    "latched": "it still hangs on a face",
    "squeals": "the electronics still sound by themselves",
    "silent": "it does not start by itself then",
    "late": "that is late",
    "touches": "it meets {head} or nearly so",
    "other partial": "it is not the partial that was asked for",
}


def change_words(knob: Knob, value: float) -> str:
    """What to do, as an instruction; two gaps are set apart."""
    if knob.kind == "polarity":
        return f"swap the two wires of the drive coils of {knob.name.removeprefix('polarity of ')}"
    if knob.kind == "added bypass":
        return f"add a {knob.name.replace('bypass of', 'bypass capacitor of 10 uF to')}"
    if knob.kind == "magnets":
        return f"make the {knob.name} {_percent(value)}"
    if knob.kind == "gap" and knob.name.startswith("gaps of"):
        return f"set the gaps of {listed(list(_gaps(knob.overrides(value))))}"
    verb = {"gap": "set", "position": "move"}.get(knob.kind, "change")
    what = knob.name.removeprefix("position of ") if knob.kind == "position" else f"the {knob.name}"
    return f"{verb} {what} from {knob.told(knob.value)} to {knob.told(value)}"


def _gaps(overrides: Sequence[str]) -> Iterator[str]:
    for one in overrides:
        key, _, value = one.partition("=")
        if key.endswith(".gap") and not key.endswith(".measured.gap"):
            yield f"{key.split('.')[1]} to {value}"


def _percent(times: float) -> str:
    return f"{abs(100.0 * (times - 1.0)):.0f} % {'stronger' if times > 1.0 else 'weaker'}"


def prescription_words(knob: Knob, value: float, one: Failure, after: Forecast, leaves: tuple[str, ...]) -> str:
    """One prescription as a sentence."""
    first = change_words(knob, value)
    return f"{first[0].upper()}{first[1:]}: {then_words(one, after, leaves)}."


def then_words(one: Failure, after: Forecast, leaves: tuple[str, ...]) -> str:
    """What comes of it."""
    if after.partial is None or after.start_time_s is None:
        cured = {"latched": "it hangs clear", "squeals": "the electronics keep still"}.get(one.kind, "it passes")
        return f"{cured}, but {one.string} does not start"
    started = f"{one.string} starts on partial {after.partial} in some {after.start_time_s:.2g} s"
    kept = f" and stays {after.clearance_mm or 0.0:.2g} mm clear of {after.nearest}"
    still = [ENDS[kind].format(head=after.nearest) for kind in leaves]
    return started + (kept if "touches" not in leaves else "") + (f", but {listed(still)}" if still else "")


def sensitivity_words(knob: Knob, value: float, measure: str, before: float, after: float) -> str:
    """One sensitivity as a sentence: what the step is, and what it does."""
    first = step_words(knob, value)
    return f"{first[0].upper()}{first[1:]} {effect_words(measure, before, after)}."


def step_words(knob: Knob, value: float) -> str:
    """A step as the subject of a sentence."""
    if knob.kind == "gap":
        heads = knob.name.removeprefix("gaps of ").removeprefix("gap of ")
        return f"bringing {heads} {step(knob, value).lstrip('+-')} {'closer' if value < knob.value else 'further away'}"
    if knob.kind == "position":
        towards = "away from" if value > knob.value else "towards"
        return f"moving {knob.name.removeprefix('position of ')} {step(knob, value).lstrip('+-')} {towards} the bridge"
    if knob.kind == "magnets":
        return f"making the {knob.name} {_percent(value)}"
    return f"taking the {knob.name} from {knob.told(knob.value)} to {knob.told(value)}"


def step(knob: Knob, value: float) -> str:
    """A step with its sign and unit: of gaps and places a difference, of all else a ratio."""
    if knob.kind in ("gap", "position"):
        return f"{1e3 * (value - knob.value):+.2g} mm"
    if knob.beside == inf or knob.value == 0.0:
        return f"to {knob.told(value)}"
    return f"{100.0 * (value / knob.value - 1.0):+.3g} %"


def effect_words(measure: str, before: float, after: float) -> str:
    """What it does to a measure."""
    if measure == "start time":
        ratio, times = after / before, f"({before:.2g} to {after:.2g} s)"
        if HALF[0] < ratio < HALF[1]:
            return f"halves the start time {times}"
        return f"makes the start {abs(100.0 * (ratio - 1.0)):.0f} % {'shorter' if ratio < 1.0 else 'longer'} {times}"
    told = {
        "clearance": f"leaves {after:.2g} mm to the nearest face in place of {before:.2g} mm",
        "dominance": f"lets what disturbs the note fade at {after:.2g} in place of {before:.2g} per second",
        "squeal margin": f"takes the squeal margin from {before:.1f} to {after:.1f} dB",
    }
    return told[measure]
