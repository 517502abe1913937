"""The verdict: first one line in a maker's words, then the figures behind it, the model's limits, the cautions."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from wirebloom.views.amounts import amount, figures
from wirebloom.views.silence import not_starting

if TYPE_CHECKING:
    from rich.console import RenderableType

    from wirebloom.take.electrics import LoopMeasures
    from wirebloom.take.measures import Measures, StringMeasures
    from wirebloom.take.nearness import Nearness
    from wirebloom.take.sheet import PoleSheet, StringSheet
    from wirebloom.take.take import Take

EQUILIBRIA = {
    "free": "free: rests clear of every face",
    "bistable": "bistable: rests free, but a push can leave it stuck on a face",
    "latched": "latched: the magnets hold it on a face",
}
BUZZES = {
    "early": "not in the last second",
    "occasional": "now and then in the last second",
    "steady": "steadily in the last second",
    "resting": "and stays on it",
}


UNSOUND = 0.05  # of the energy stored; takes of nothing but noise have shown 2 % without a figure that matters being wrong
DB_60 = math.log(1000.0)
FAINT = 0.01  # of the loudest string's bridge force: 40 dB below it a string is drowned
MOST = 6  # heads with a row of their own


class Verdict(NamedTuple):
    """What a take comes to.

    Attributes
    ----------
    headline : str
        One plain sentence.
    rows : tuple of (str, str)
        Name and figures of each matter.
    limits, cautions : tuple of str
        Of the model for this rig; of what can hurt.
    """

    headline: str
    rows: tuple[tuple[str, str], ...]
    limits: tuple[str, ...]
    cautions: tuple[str, ...]


def verdict(take: Take, measures: Measures) -> Verdict:
    """Put the measures of a take into words.

    Parameters
    ----------
    take : Take
    measures : Measures
        Of the same take.
    """
    return Verdict(headline(take, measures), tuple(_rows(take, measures)), take.sheet.limits, take.sheet.cautions)


def headline(take: Take, measures: Measures) -> str:
    """Return the one line that a maker reads first."""
    stopped = f"Stopped early, at {figures(take.duration_s)} s. " if take.status == "interrupted" else ""
    latched = [string.name for string in take.sheet.strings if string.equilibrium == "latched"]
    if latched:
        return f"{stopped}The magnets hold {_listed(latched)} on a face: more gap or weaker magnets first."
    return stopped + (_several(measures) if len(measures.strings) > 1 else _sentence(take, measures))


def _several(measures: Measures) -> str:
    """Return how many strings start, and the one that matters most in a sentence of its own."""
    names = [string.name for string in measures.strings if string.starts]
    if not names:
        return "No string starts."
    whole = "All strings start" if len(names) == len(measures.strings) else f"{len(names)} of {len(measures.strings)} strings start"
    touching = [string.name for string in measures.strings if string.near.first_touch_s is not None]
    told = f"{whole} ({_listed(names)})"
    if touching:
        return f"{told}, but {_listed(touching)} will buzz: first touch after {_seconds(measures.near.first_touch_s)}."
    return f"{told}{_clear(measures.near)}{_hardly_heard(measures)}."


def _hardly_heard(measures: Measures) -> str:
    """Return which of the strings that start are drowned by the loudest one."""
    loudest = measures.leading.bridge_force_N
    faint = [string.name for string in measures.strings if string.starts and string.bridge_force_N < FAINT * loudest]
    return f"; {_listed(faint)} can hardly be heard beside {measures.leading.name}" if faint else ""


def _sentence(take: Take, measures: Measures) -> str:
    """Return the verdict on the only string."""
    string = measures.strings[0]
    if string.outcome is None:
        return "It ran too short a time to tell: give it at least a second."
    if not string.starts:
        return not_starting(take, measures, 0)
    if string.outcome == "growing":
        return f"It starts, and is still growing when the run ends{_touching(string.near, ', ')}: run longer to see where it settles."
    tone = "" if string.pitch_Hz is None else f" ({string.pitch_Hz:.1f} Hz)"
    begun = f"It starts: near full level after {_seconds(string.start_time_s)}"
    if string.start_time_s == 0.0:
        begun = "It sounds from the first moment"
    return f"{begun} on partial {string.dominant_partial}{tone}{_touching(string.near, ', but buzzes: ')}."


def _touching(near: Nearness, joint: str) -> str:
    """Return since when the string touches, or how clear it stays."""
    if near.first_touch_s is None:
        return _clear(near)
    since = "the first moment" if near.first_touch_s == 0.0 else _seconds(near.first_touch_s)
    return f"{joint}touches {near.head} from {since} on"


def _clear(near: Nearness) -> str:
    return "" if near.clearance_mm is None else f", {figures(near.clearance_mm, 2)} mm clear of {near.head}"


def _seconds(value: float | None) -> str:
    return "an unknown time" if value is None else f"{figures(value, 2)} s"


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _rows(take: Take, measures: Measures) -> Iterator[tuple[str, str]]:
    """Yield name and figures of each matter, in the order in which they decide."""
    for string in measures.strings:
        yield string.name, _sounding(string)
    yield "nearest", _nearest(measures.near)
    for loop in measures.loops:
        yield f"drive of {loop.name}", _drive(loop)
    if len(take.sheet.poles) <= MOST:
        for pole in take.sheet.poles:
            yield f"head {pole.head}", _pole(pole)
    else:
        yield f"{len(take.sheet.poles)} heads", _all_poles(take.sheet.poles)
    for sheet in _strings_to_tell_of(take.sheet.strings):
        yield f"{sheet.name} at rest", _rest(sheet)
    yield "run", _run(take, measures)


def _strings_to_tell_of(strings: Sequence[StringSheet]) -> list[StringSheet]:
    """Return all strings, or of many those that do not rest free and the one with the most stress for its strength."""
    if len(strings) <= MOST // 2:
        return list(strings)
    worst = max(strings, key=lambda sheet: sheet.stress_Pa / sheet.strength_min_Pa)
    return [sheet for sheet in strings if sheet.equilibrium != "free" or sheet is worst]


def _sounding(string: StringMeasures) -> str:
    if string.outcome == "carried":
        return f"carried: moves only at a louder string's pitch ({string.pitch_Hz:.1f} Hz), and does not sound by itself"
    parts = [string.outcome or "too short to tell"]
    if string.start_time_s is not None:
        parts.append(f"90 % of its level after {_seconds(string.start_time_s)}")
    parts += _rate(string)
    if string.dominant_partial is not None and string.starts is not False:
        parts.append(f"partial {string.dominant_partial} leads{_pitch(string)}")
        if string.dominant_at_head not in (None, string.dominant_partial):
            parts.append(f"over the drive head partial {string.dominant_at_head}")
    return ", ".join(parts)


def _rate(string: StringMeasures) -> list[str]:
    """Return how fast it grows, or of a dying string how fast it decays; a rate against the outcome is one of the start, and left out."""
    rate = string.growth_rate_per_s
    if rate is None or rate == 0.0 or (rate > 0.0) == (string.outcome == "dying"):
        return []
    return [f"growth {figures(rate)} per s" if rate > 0.0 else f"falls by 60 dB in {figures(DB_60 / -rate)} s"]


def _pitch(string: StringMeasures) -> str:
    if string.pitch_Hz is None:
        return ""
    times = "" if string.dominant_partial == 1 else f"{string.dominant_partial} × "
    off = "" if string.cents is None else f", {string.cents:+.1f} cents from {times}the tuned pitch"
    return f" at {string.pitch_Hz:.1f} Hz{off}"


def _nearest(near: Nearness) -> str:
    if near.first_touch_s is not None:
        return f"touches {near.head} first at {figures(near.first_touch_s)} s, {BUZZES[near.buzz]}"
    if near.clearance_mm is None:
        return "no head under any string"
    return f"{figures(near.clearance_mm)} mm over {near.head}, never touches"


def _drive(loop: LoopMeasures) -> str:
    return (
        f"{amount(loop.drive_rms_V, 'V')} rms, {amount(loop.drive_rms_A, 'A')} rms (peak {amount(loop.drive_peak_A, 'A')}), "
        f"{_power(loop.drive_power_W)} the drive circuit, {amount(loop.coil_heat_W, 'W')} of heat in the coil; "
        f"supply {amount(loop.supply_A, 'A')}; at its limit {100.0 * loop.drive_saturated:.0f} % of the time"
    )


def _power(power: float) -> str:
    """Return the mean power with its direction: a coupling capacitor that discharges feeds the amplifier."""
    return f"{amount(-power, 'W')} back out of" if power < 0.0 else f"{amount(power, 'W')} into"


def _pole(pole: PoleSheet) -> str:
    role = "" if pole.role in pole.head else f"{pole.role}, "
    return (
        f"{role}under {pole.string}: pulls {amount(pole.pull_N, 'N')} at rest, gap then {figures(_open(pole.rest_gap_m) * 1e3)} mm "
        f"(string straight: {figures(pole.gap_m * 1e3)} mm); {amount(pole.force_factor_N_per_A, 'N/A')}, {amount(pole.resistance_ohm, 'Ω')}"
    )


def _open(gap: float) -> float:
    """Return a gap to the nanometre; one that a string lying on the face has pressed shut is 0."""
    return max(0.0, round(gap, 9))  # in this order: -0.0 is no greater than 0.0


def _all_poles(poles: Sequence[PoleSheet]) -> str:
    pulls, gaps = [pole.pull_N for pole in poles], [_open(pole.rest_gap_m) for pole in poles]
    factors = [pole.force_factor_N_per_A for pole in poles]
    return (
        f"pull {amount(min(pulls), 'N')} to {amount(max(pulls), 'N')} at rest, gap then {amount(min(gaps), 'm')} to "
        f"{amount(max(gaps), 'm')}; {amount(min(factors), 'N/A')} to {amount(max(factors), 'N/A')}"
    )


def _rest(sheet: StringSheet) -> str:
    share = 100.0 * sheet.stress_Pa / sheet.strength_min_Pa
    return (
        f"{EQUILIBRIA[sheet.equilibrium]}; {amount(sheet.tension_N, 'N')}, stress {amount(sheet.stress_Pa, 'Pa')} is {share:.0f} % "
        f"of the least strength of {sheet.diameter_m * 1e3:.2f} mm {sheet.material} ({amount(sheet.strength_min_Pa, 'Pa')})"
    )


def _run(take: Take, measures: Measures) -> str:
    parts = [f"{figures(take.duration_s)} s, seed {take.seed}"]
    if measures.realtime_factor is not None:
        parts.append(f"time loop {figures(measures.realtime_factor)} × real time")
    if measures.ledger_residual is not None:
        parts.append(f"energy ledger off by at most {figures(100.0 * measures.ledger_residual, 2)} % of what is stored")
        if measures.ledger_residual > UNSOUND:
            parts.append("which is far too much: do not rely on the figures of this take")
    return ", ".join(parts)


def render(told: Verdict) -> RenderableType:
    """Return the verdict ready to print: bold and columns on a terminal, plain text elsewhere."""
    from rich.console import Group  # noqa: PLC0415 - a tenth of a second, only where text is wanted
    from rich.text import Text  # noqa: PLC0415

    parts: list[RenderableType] = [Text(told.headline, style="bold"), Text(""), _columns(told.rows)]
    for title, lines in (("The model's limits here", told.limits), ("Take care", told.cautions)):
        if lines:
            parts += [Text(""), Text(title, style="bold"), _columns([("·", line) for line in lines])]
    return Group(*parts)


def _columns(rows: Sequence[tuple[str, str]]) -> RenderableType:
    """Return names on the left and what is said of them on the right, wrapped within its column."""
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    table = Table.grid(padding=(0, 2), expand=False)
    table.add_column(no_wrap=max((len(name) for name, _ in rows), default=0) <= 24, style="cyan")
    table.add_column(overflow="fold")
    for name, said in rows:
        table.add_row(Text(name), Text(said))
    return table
