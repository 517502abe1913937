"""The sentence on a string that does not start: what is known of why, and what only a longer run can tell."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirebloom.take.outcome import JUDGED, stands_out
from wirebloom.take.window import loops_driving
from wirebloom.views.amounts import amount, figures
from wirebloom.views.squeal_rows import instead_of_the_string

if TYPE_CHECKING:
    from wirebloom.take.electrics import LoopMeasures
    from wirebloom.take.measures import Measures, StringMeasures
    from wirebloom.take.nearness import Nearness
    from wirebloom.take.take import Take

ENOUGH = 2.0 * JUDGED  # s: in a shorter take the start itself lies in the time that is judged
STUCK = 0.999  # of the time at its limit
LOUD = 0.1  # of the swing: more than noise, or a thump that has passed


def not_starting(take: Take, measures: Measures, index: int) -> str:
    """Return the sentence on a string whose outcome is "dying" or "squeals".

    Parameters
    ----------
    take : Take
    measures : Measures
        Of the same take.
    index : int
        Of the string.
    """
    string = measures.strings[index]
    met = "" if string.near.first_touch_s is None else f"meets {string.near.head} and "
    loops = [measures.loops[a] for a in loops_driving(take, index) if a < len(measures.loops)]
    if not loops:
        return f"It does not start, as no loop drives it: the string {met}falls silent."
    plain = _stuck_on_a_face(string.near) or _without_magnets(take, string.name)
    if plain or string.outcome == "squeals":
        return plain or instead_of_the_string(take, loops)
    if take.duration_s < ENOUGH:
        return f"It does not start within {figures(take.duration_s)} s: the string {met}is falling silent, but give it longer to be sure."
    loudest = max(loops, key=lambda loop: loop.drive_rms_V)
    if loudest.drive_saturated > STUCK:
        stuck = f"the output of {loudest.name} is stuck at its limit (look at input_offset × gain)"
        return f"It does not start: {stuck}, and the string {met}falls silent."
    if loudest.drive_rms_V > LOUD * _swing(take, loudest):
        return _while_the_drive_is_loud(take, loudest, index, string, met)
    return f"It does not start: the string {met}falls silent."


def _stuck_on_a_face(near: Nearness) -> str:
    if near.buzz != "resting" or near.first_touch_s is None:
        return ""
    at = "from the first moment" if near.first_touch_s == 0.0 else f"after {figures(near.first_touch_s, 2)} s"
    return f"It does not last: the string meets {near.head} {at} and stays on its face: more gap, weaker magnets or less drive first."


def _without_magnets(take: Take, name: str) -> str:
    """Return the sentence on a string that a side of the loop has no magnets for; nothing where both have."""
    for role, what in (("sense", "hears no string"), ("drive", "cannot keep one going")):
        poles = [pole for pole in take.sheet.poles if pole.string == name and pole.role == role]
        if poles and all(pole.force_factor_N_per_A == 0.0 for pole in poles):
            return f"It does not start: {poles[0].head} has no magnets (its force factor is 0), so it {what}."
    return ""


def _swing(take: Take, loop: LoopMeasures) -> float:
    """Half of what the output can do, V."""
    sheet = next(sheet for sheet in take.sheet.loops if sheet.name == loop.name)
    return 0.5 * (sheet.swing_high_V - sheet.swing_low_V)


def _while_the_drive_is_loud(take: Take, loop: LoopMeasures, index: int, string: StringMeasures, met: str) -> str:
    """Tell a plucked note on its way down to what the drive can hold from a loop that drifts or hums without the string."""
    if not stands_out(take, index, string.pitch_Hz):
        loud = f"but the drive of {loop.name} does not ({amount(loop.drive_rms_V, 'V')} rms)"
        return f"It does not start: the string {met}falls silent, {loud}: the loop drifts or hums on its own (gain, mains)."
    if string.fed:
        touched = "" if string.near.first_touch_s is None else f", met {string.near.head}"
        return f"It is driven{touched}, but still falling when the run ends: run longer to see whether it settles or dies."
    return f"It does not start: the string {met}falls silent."
