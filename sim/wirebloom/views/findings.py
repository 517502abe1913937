"""What each page of pictures shows, in a sentence or two: for who does not see it, and for whoever reads only the words."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.take.band import COMPLETE
from wirebloom.take.levels import bridge_power, settled
from wirebloom.views.amounts import amount, figures
from wirebloom.views.electrics import accounts
from wirebloom.views.phasors import drive_pole, phasors
from wirebloom.views.style import NAME, one_line

if TYPE_CHECKING:
    from wirebloom.take.measures import Measures
    from wirebloom.take.take import Take
    from wirebloom.views.phasors import Phasor

OUTCOMES = {
    "sustained": "sounds on", "growing": "is still growing when the run ends", "dying": "dies away",
    "carried": "only moves at another string's pitch", "squeals": "does not sound, as its loop squeals",
    None: "ran too short a time to tell",
}  # fmt: skip
MM = 1e3
SINKS = {"heat in drive circuit": "heat in the drive circuit", "string damping": "the strings' own damping"}
MM = 1e3
STILL = 1e-9  # m: less is no motion
LEAST_TOLD = 1e-6  # of the energy stored: less is no news
HEARD = 60.0  # dB below the loudest partial within which one counts


def finding(page_name: str, take: Take, measures: Measures) -> str:
    """Return what a page shows.

    Parameters
    ----------
    page_name : str
        Name of one of the pages that :func:`wirebloom.views.figures.pages` returns for this take.
    take : Take
    measures : Measures
        Of the same take.
    """
    return FINDINGS[page_name](take, measures)


def called(name: str) -> str:
    """Return a name for a sentence: short, and one that is written from right to left kept from turning the rest of it round."""
    shown = one_line(name, NAME)
    turned = any(unicodedata.bidirectional(letter) in ("R", "AL") for letter in shown)
    return f"\u2068{shown}\u2069" if turned else shown


def _subject(measures: Measures) -> tuple[str, str]:
    """Return who is spoken of, and the end of its verbs."""
    return ("The string", "s") if len(measures.strings) == 1 else ("The strings", "")


def motion(_: Take, measures: Measures) -> str:
    """Return how near the string comes to the faces."""
    near, (who, s) = measures.near, _subject(measures)
    if near.first_touch_s is not None:
        since = "from the first moment on" if near.first_touch_s == 0.0 else f"from {figures(near.first_touch_s)} s on"
        return f"{who} meet{s} the face of head {called(near.head or '')} {since}; faces are the hatched grey bands."
    if near.clearance_mm is None:
        return "There is no head under any string."
    return f"{who} stay{s} {figures(near.clearance_mm)} mm clear of head {called(near.head or '')}; its face is the hatched grey band."


def approach(take: Take, measures: Measures) -> str:
    """Return what the motion leaves of the gap at the head that it comes nearest to."""
    near = measures.near
    if near.clearance_mm is None:
        return "There is no head under any string."
    gap = take.frames.least_gap
    pole = take.sheet.poles[int(gap.min(axis=0).argmin())]
    over, rest = f"Over head {called(near.head or '')}", f"{figures(MM * pole.rest_gap_m)} mm"
    if near.first_touch_s is not None:
        return f"{over} the motion uses up all of the gap of {rest}, first at {figures(near.first_touch_s)} s: there it meets the face."
    used = figures(MM * pole.rest_gap_m - near.clearance_mm, 2)
    return f"{over} the motion uses up {used} of {rest}, and leaves {figures(near.clearance_mm)} mm."


def spectrogram(take: Take, measures: Measures) -> str:
    """Return at what pitch the leading partial runs, and how many of them can be seen."""
    leading = measures.leading
    power = settled(take, bridge_power(take, measures.strings.index(leading)))
    if leading.dominant_partial is None or power.max(initial=0.0) <= 0.0:
        return f"No partial of {called(leading.name)} stands out."
    seen = int((power > power.max() * 10.0 ** (-HEARD / 10.0)).sum())
    tone = "" if leading.pitch_Hz is None else f", at {leading.pitch_Hz:.1f} Hz"
    off = "" if leading.cents is None else f" ({leading.cents:+.1f} cents from where it is tuned)".replace("-", "−")
    who = f"The brightest line of {called(leading.name)} is partial {leading.dominant_partial}{tone}{off}"
    return f"{who}; at the end {seen} of its partials are within {HEARD:.0f} dB of it."


def portrait(take: Take, measures: Measures) -> str:
    """Return how the drive feeds the partials of the loop that drives hardest."""
    if not measures.loops:
        return "Nothing is recorded of the drive."
    busiest = max(measures.loops, key=lambda one: one.drive_rms_A)
    loop = [sheet.name for sheet in take.sheet.loops].index(busiest.name)
    pole = drive_pole(take, loop)
    found = [] if pole is None else phasors(take, loop, pole, late=True)
    if not found:
        return f"Current of {called(busiest.name)} against the string's velocity: too little moves to tell how one follows the other."
    told = "; ".join(_fed(one) for one in found)
    return f"At the end, by the drive of {called(busiest.name)}, {told}."


def _fed(one: Phasor) -> str:
    degrees = round(np.degrees(one.ahead))
    ahead = "in step with" if degrees == 0 else f"{abs(degrees)}° {'ahead of' if degrees > 0 else 'behind'}"
    feeds = f"{100.0 * abs(one.feeds):.0f} % of it {'feeds' if one.feeds >= 0.0 else 'brakes'} the string"
    return f"the current at partial {one.partial} is {ahead} the string's velocity, so that {feeds} there"


def bloom(take: Take, measures: Measures) -> str:
    """Return when the leading string stands, as computed and at either end of the band."""
    leading, index = measures.leading, measures.strings.index(measures.leading)
    told = [f"As computed, {called(leading.name)} {_coming_up(leading.outcome, leading.start_time_s)}"]
    for name, end in ({} if take.band is None else take.band.ends).items():
        known = end.status == COMPLETE
        string = end.strings[index]
        told.append(f"with {name} heads it {_coming_up(string.outcome, string.start_time_s) if known else 'leaves all bounds'}")
    return "; ".join(told) + "."


def _coming_up(outcome: str | None, start: float | None) -> str:
    return OUTCOMES.get(outcome, str(outcome)) if start is None else f"is near full level after {figures(start, 2)} s"


def partials(_: Take, measures: Measures) -> str:
    """Return which partial is loudest and how far the next one is below it."""
    leading = measures.leading
    order = sorted(range(len(leading.partial_force_N)), key=lambda n: -leading.partial_force_N[n])
    if not order or leading.partial_force_N[order[0]] == 0.0:
        return f"{called(leading.name)} is silent in every partial."
    first = leading.partial_force_N[order[0]]
    told = f"At the end partial {order[0] + 1} of {called(leading.name)} is the loudest, {amount(first, 'N')} at the bridge"
    if len(order) > 1 and (second := leading.partial_force_N[order[1]]) > 0.0:
        told += f"; partial {order[1] + 1} follows {20.0 * np.log10(first / second):.0f} dB below it"
    return told + "."


def drive(take: Take, measures: Measures) -> str:
    """Return how hard the busiest loop drives, against its limits."""
    if not measures.loops:
        return "Nothing is recorded of the drive."
    loop = max(measures.loops, key=lambda one: one.drive_rms_V)
    sheet = next(sheet for sheet in take.sheet.loops if sheet.name == loop.name)
    limits = f"{figures(sheet.bias_V + sheet.swing_low_V)} to {figures(sheet.bias_V + sheet.swing_high_V)} V"
    return (
        f"Over the last second the output of {called(loop.name)} is at a limit of its swing ({limits}) "
        f"{100.0 * loop.drive_saturated:.0f} % of the time, {amount(loop.drive_rms_V, 'V')} rms; "
        f"the drive coils carry {amount(loop.drive_rms_A, 'A')} rms."
    )


def clearance(_: Take, measures: Measures) -> str:
    """Return where the gap is least."""
    near = measures.near
    if near.clearance_mm is None:
        return "There is no head under any string."
    if near.first_touch_s is None:
        return f"The least gap is {figures(near.clearance_mm)} mm, over head {called(near.head or '')}; no face is ever touched."
    return f"Head {called(near.head or '')} is touched first at {figures(near.first_touch_s)} s: red ticks in the face mark every touch."


def ledger(take: Take, measures: Measures) -> str:
    """Return how well the energy is accounted for, and where most of it went."""
    share = measures.ledger_residual
    told = "Nothing is stored" if share is None else "All of the energy stored is accounted for"
    if share is not None and share > 1.0:
        told = "More energy is unaccounted for than was stored up to then"
    elif share is not None and share > LEAST_TOLD:
        told = f"All but {figures(100.0 * share, 2)} % of the energy stored is accounted for"
    spent = {SINKS[name]: float(joule[-1]) for name, joule in accounts(take.frames).items() if name in SINKS}
    given = float(take.frames.supplied[-1].sum())
    if given <= 0.0 or not spent:
        return told + "."
    most = max(spent, key=lambda name: spent[name])
    return f"{told}; of what the amplifiers gave, {amount(given, 'J')}, {100.0 * spent[most] / given:.0f} % went into {most}."


def shape(take: Take, measures: Measures) -> str:
    """Return how far the leading string swings."""
    index = measures.strings.index(measures.leading)
    towards, sideways = (float(np.abs(take.shape.displacement[:, index, p]).max(initial=0.0)) for p in (0, 1))
    aside = f"{amount(sideways, 'm')} sideways" if sideways > STILL else "and does not move sideways"
    who = called(measures.leading.name)
    return f"In its last period {who} is up to {amount(towards, 'm')} off the straight line, towards the heads or away, {aside}."


FINDINGS: dict[str, Callable[[Take, Measures], str]] = {
    "motion": motion,
    "approach": approach,
    "bloom": bloom,
    "partials": partials,
    "spectrogram": spectrogram,
    "drive": drive,
    "portrait": portrait,
    "clearance": clearance,
    "ledger": ledger,
    "shape": shape,
}
