"""The figures behind a verdict: name and words of each matter, in the order in which they decide."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from wirebloom.views.amounts import amount, figures
from wirebloom.views.band_words import Ranges, aside, head_band, notes, ranges
from wirebloom.views.noise_rows import noise_rows
from wirebloom.views.squeal_rows import squeal_rows
from wirebloom.views.supply_rows import supply_rows
from wirebloom.views.warm_rows import warm_rows

if TYPE_CHECKING:
    from wirebloom.take.electrics import LoopMeasures
    from wirebloom.take.measures import Measures, StringMeasures
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
LEAST_TOLD = 1e-4  # %: less of the energy is of no interest to anybody
DB_60 = math.log(1000.0)
MOST = 6  # heads with a row of their own


def seconds(value: float | None) -> str:
    """Return a time in words."""
    return "an unknown time" if value is None else f"{figures(value, 2)} s"


def verdict_rows(take: Take, measures: Measures) -> Iterator[tuple[str, str]]:
    """Yield name and figures of each matter, in the order in which they decide."""
    found = [ranges(take, s, string) for s, string in enumerate(measures.strings)]
    for string, own in zip(measures.strings, found, strict=True):
        yield string.name, _sounding(string, own)
    yield "nearest", "not known: the record of the gaps is lost" if "least_gap" in take.lost else _nearest(measures, found)
    for loop in measures.loops:
        yield f"drive of {loop.name}", _drive(loop)
    yield from squeal_rows(take, measures)
    yield from warm_rows(measures.heat)
    yield from supply_rows(take, measures)
    yield from noise_rows(take, measures)
    if len(take.sheet.poles) <= MOST:
        for pole in take.sheet.poles:
            yield f"head {pole.head}", _pole(pole)
    else:
        yield f"{len(take.sheet.poles)} heads", _all_poles(take.sheet.poles)
    yield from notes(take.sheet.poles)
    for sheet in _strings_to_tell_of(take.sheet.strings):
        yield f"{sheet.name} at rest", _rest(sheet)
    yield "run", _run(take, measures)


def _strings_to_tell_of(strings: Sequence[StringSheet]) -> list[StringSheet]:
    """Return all strings, or of many those that do not rest free and the one with the most stress for its strength."""
    if len(strings) <= MOST // 2:
        return list(strings)
    worst = max(strings, key=lambda sheet: sheet.stress_Pa / sheet.strength_min_Pa)
    return [sheet for sheet in strings if sheet.equilibrium != "free" or sheet is worst]


def _sounding(string: StringMeasures, found: Ranges) -> str:
    if string.outcome == "carried":
        return f"carried: moves only at a louder string's pitch ({string.pitch_Hz:.1f} Hz), and does not sound by itself"
    if string.outcome == "squeals":
        return "does not sound: its loop squeals by itself"
    parts = [string.outcome or "too short to tell"]
    if string.start_time_s is not None:
        parts.append(f"90 % of its level after {seconds(string.start_time_s)}{aside(found, 'start_time_s', 's')}")
    parts += _rate(string, found)
    if string.dominant_partial is not None and string.starts is not False:
        parts.append(f"partial {string.dominant_partial} leads{_pitch(string)}")
        if string.dominant_at_head not in (None, string.dominant_partial):
            parts.append(f"over the drive head partial {string.dominant_at_head}")
    return ", ".join(parts)


def _rate(string: StringMeasures, found: Ranges) -> list[str]:
    """Return how fast it grows, or of a dying string how fast it decays; a rate against the outcome is one of the start, and left out."""
    rate = string.growth_rate_per_s
    if rate is None or rate == 0.0 or (rate > 0.0) == (string.outcome == "dying"):
        return []
    if rate < 0.0:
        return [f"falls by 60 dB in {figures(DB_60 / -rate)} s"]
    told = aside(found, "growth_rate_per_s", "per s")
    return [f"growth {figures(rate, 2 if told else 3)} per s{told}"]


def _pitch(string: StringMeasures) -> str:
    if string.pitch_Hz is None:
        return ""
    times = "" if string.dominant_partial == 1 else f"{string.dominant_partial} × "
    off = "" if string.cents is None else f", {string.cents:+.1f} cents from {times}the tuned pitch"
    return f" at {string.pitch_Hz:.1f} Hz{off}"


def _nearest(measures: Measures, found: Sequence[Ranges]) -> str:
    near = measures.near
    if near.first_touch_s is not None:
        return f"touches {near.head} first at {figures(near.first_touch_s)} s, {BUZZES[near.buzz]}"
    if near.clearance_mm is None:
        return "no head under any string"
    own = next((one for string, one in zip(measures.strings, found, strict=True) if string.near.head == near.head), {})
    told = aside(own, "clearance_mm", "mm")
    never = "touches at an end of the band only" if own.get("clearance_mm", (1.0, 1.0))[0] == 0.0 else "never touches"
    return f"{figures(near.clearance_mm, 2 if told else 3)} mm{told} over {near.head}, {never}"


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
    if pole.pull_N == pole.force_factor_N_per_A == 0.0:
        return f"{role}under {pole.string}: no magnets, so neither pull nor force factor; {amount(pole.resistance_ohm, 'Ω')}"
    pull = f"{amount(pole.pull_N, 'N')}{head_band(pole.pull_low, pole.pull_high)}"
    factor = f"{amount(pole.force_factor_N_per_A, 'N/A')}{head_band(pole.factor_low, pole.factor_high)}"
    return (
        f"{role}under {pole.string}: pulls {pull} at rest, gap then {figures(_open(pole.rest_gap_m) * 1e3)} mm "
        f"(string straight: {figures(pole.gap_m * 1e3)} mm); {factor}, {amount(pole.resistance_ohm, 'Ω')}"
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
        off = 100.0 * measures.ledger_residual
        most = f"at most {figures(off, 2)}" if off >= LEAST_TOLD else "less than 0.0001"
        parts.append(f"energy ledger off by {most} % of what is stored")
        if measures.ledger_residual > UNSOUND:
            parts.append("which is far too much: do not rely on the figures of this take")
    return ", ".join(parts)
