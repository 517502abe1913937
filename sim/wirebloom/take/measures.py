"""The one definition of every measure of a take: each command, figure and test reads them from here.

Outcome, pitch and electrics refer to the last second of a take or the whole of a shorter one, the ranking of partials to
the last half second, clearance and touches to all of it. A measure that a take does not define (too short, silent, no
head) is None; none is ever infinite or not a number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from wirebloom.take.balance import ledger_drift, ledger_residual
from wirebloom.take.band import STARTS
from wirebloom.take.electrics import LoopMeasures, loop_measures
from wirebloom.take.growth import Growth, growth, linear_rows
from wirebloom.take.levels import bridge_power, head_power, loudest, settled
from wirebloom.take.nearness import Nearness, nearness
from wirebloom.take.outcome import OWN, is_fed, level_slope, outcome, start_time
from wirebloom.take.pitch import cents_between, pitch
from wirebloom.take.squeal import OWN_VOICE, voice
from wirebloom.take.supply import SupplyMeasures, supply_measures
from wirebloom.take.take import Take
from wirebloom.take.warm_parts import DriveWarmth
from wirebloom.take.warming import warmth
from wirebloom.take.window import loops_driving, poles_of

KEPT = 12  # partials whose level is kept


@dataclass(frozen=True)
class StringMeasures:
    """One string.

    Attributes
    ----------
    outcome : str or None
        "sustained", "growing" or "dying" over the last second; "carried" when it only moves at another string's pitch,
        "squeals" when its loop sounds without it; None for a take too short to tell.
    fed : bool
        The drive's work on the string is positive and at least half its damping loss.
    level_slope_dB_per_s : float or None
        Of the bridge force over the last second.
    start_time_s : float or None
        To 90 % of the final amplitude of the bridge force, when sustained.
    growth : Growth or None
        Of the dominant partial while the drive is below 1 % of its swing.
    dominant_partial, dominant_at_head : int or None
        Loudest over the last half second by bridge force, and by displacement at the drive heads.
    pitch_Hz : float or None
        Of the dominant partial.
    cents : float or None
        The pitch against the dominant partial's number times the pitch the string is tuned to.
    cents_from_free : float or None
        The pitch against the same partial of the string alone, without magnets and loop.
    bridge_force_N : float
        Amplitude of the bridge force over the last half second, all partials together by power.
    partial_force_N : tuple of float
        The same of each of the first partials.
    near : Nearness
        To the heads under this string.
    """

    name: str
    outcome: str | None
    fed: bool
    level_slope_dB_per_s: float | None
    start_time_s: float | None
    growth: Growth | None
    dominant_partial: int | None
    dominant_at_head: int | None
    pitch_Hz: float | None
    cents: float | None
    cents_from_free: float | None
    bridge_force_N: float
    partial_force_N: tuple[float, ...]
    near: Nearness

    @property
    def starts(self) -> bool | None:
        """Sustained or growing; None for a take too short to tell."""
        return None if self.outcome is None else self.outcome in STARTS

    @property
    def growth_rate_per_s(self) -> float | None:
        """Of the dominant partial in the linear regime."""
        return None if self.growth is None else self.growth.rate_per_s


@dataclass(frozen=True)
class Measures:
    """A whole take.

    Attributes
    ----------
    strings : tuple of StringMeasures
    loops : tuple of LoopMeasures
        Empty for a take without samples.
    supplies : tuple of SupplyMeasures
        Those that have a name; empty for a take without samples.
    near : Nearness
        Over all heads: a sense head may be the nearer one.
    heat : tuple of DriveWarmth
        Of the drive coils of every loop whose winding is known.
    ledger_residual : float or None
        Largest energy unaccounted for, relative to the largest energy stored up to then.
    ledger_drift : float or None
        Energy unaccounted for at the end, relative to all that was put in.
    realtime_factor : float or None
        Simulated time over the time loop's own time.
    """

    strings: tuple[StringMeasures, ...]
    loops: tuple[LoopMeasures, ...]
    near: Nearness
    ledger_residual: float | None
    ledger_drift: float | None
    realtime_factor: float | None
    heat: tuple[DriveWarmth, ...] = ()
    supplies: tuple[SupplyMeasures, ...] = ()

    @property
    def leading(self) -> StringMeasures:
        """The string that speaks for the take: the loudest of those that start, or of all if none does."""
        return max(self.strings, key=lambda string: (string.starts is True, string.bridge_force_N))

    @property
    def starts(self) -> bool | None:
        """Whether any string starts."""
        return self.leading.starts


def measure(take: Take) -> Measures:
    """Measure a take.

    Parameters
    ----------
    take : Take
        Complete, interrupted or silent, of any length.

    Returns
    -------
    Measures

    Examples
    --------
    >>> import wirebloom as wb
    >>> found = wb.measure(wb.run("first_note", duration="0.2 s", band=False))
    >>> found.near.first_touch_s is None, [string.name for string in found.strings]
    (True, ['pier'])
    """
    loops = tuple(loop for a in range(len(take.sheet.loops)) if (loop := loop_measures(take, a)) is not None)
    factor = float(take.wall.get("realtime_factor", 0.0))
    return Measures(
        strings=measured_strings(take),
        loops=loops,
        near=nearness(take, range(len(take.sheet.poles))),
        ledger_residual=ledger_residual(take.frames),
        ledger_drift=ledger_drift(take.frames),
        realtime_factor=factor if np.isfinite(factor) and factor > 0.0 else None,
        supplies=tuple(one for one in (supply_measures(take, sheet) for sheet in take.sheet.supplies) if one is not None),
        heat=warmth(take, loops),
    )


def measured_strings(take: Take) -> tuple[StringMeasures, ...]:
    """Measure all strings of a take, and tell which of them only move with something else."""
    return drowned(take, own_voices([measure_string(take, s) for s in range(len(take.sheet.strings))]))


def drowned(take: Take, strings: Sequence[StringMeasures]) -> tuple[StringMeasures, ...]:
    """Say "squeals" of a string whose loop sounds without it: one that dies beside that, or that the loop does not hear.

    A drive that squeals moves the string, however little, and replaces all that so small a motion loses: fed and steady by the letter.
    """
    voices = [voice(take, a) for a in range(len(take.sheet.loops))]

    def told(s: int, string: StringMeasures) -> StringMeasures:
        loud = [voices[a] for a in loops_driving(take, s) if voices[a].squeals]
        unheard = any(own.string_share is None or own.string_share < OWN_VOICE for own in loud)
        silent = string.outcome is not None and bool(loud) and (string.outcome == "dying" or unheard)
        return replace(string, outcome="squeals", start_time_s=None) if silent else string

    return tuple(told(s, string) for s, string in enumerate(strings))


def own_voices(strings: Sequence[StringMeasures]) -> tuple[StringMeasures, ...]:
    """Call a string "carried" that would count as started but sounds far from its own partials beside a louder string.

    Fed and steady by the letter, it only moves at the other's pitch, through heads or loop that both share.
    """
    loudest = max(strings, key=lambda string: string.bridge_force_N, default=None)

    def own(string: StringMeasures) -> StringMeasures:
        far = string.cents_from_free is not None and abs(string.cents_from_free) > OWN
        moved = string is not loudest and string.starts and far
        return replace(string, outcome="carried", start_time_s=None) if moved else string

    return tuple(own(string) for string in strings)


def measure_string(take: Take, string: int) -> StringMeasures:
    """Measure one string of a take."""
    power = settled(take, bridge_power(take, string))
    dominant = loudest(power)
    linear, tone = linear_rows(take, string), pitch(take, string, dominant)
    grown = growth(take, string, dominant, linear)
    off = cents(take, string, dominant, tone)
    verdict = outcome(take, string, linear, grown, tone)
    return StringMeasures(
        name=take.sheet.strings[string].name,
        outcome=verdict,
        fed=is_fed(take, string),
        level_slope_dB_per_s=level_slope(take, string),
        start_time_s=start_time(take, string) if verdict == "sustained" else None,
        growth=grown,
        dominant_partial=dominant,
        dominant_at_head=loudest(settled(take, head_power(take, string))),
        pitch_Hz=tone,
        cents=off[0],
        cents_from_free=off[1],
        bridge_force_N=float(np.sqrt(power.sum())),
        partial_force_N=tuple(float(force) for force in np.sqrt(power[:KEPT])),
        near=nearness(take, poles_of(take, string)),
    )


def cents(take: Take, string: int, partial: int | None, tone: float | None) -> tuple[float | None, float | None]:
    """Cents of a tone (Hz) above partial × the string's pitch, and above that partial of the free string towards the heads."""
    if partial is None or tone is None:
        return None, None
    sheet = take.sheet.strings[string]
    return cents_between(tone, partial * sheet.pitch_Hz), cents_between(tone, float(sheet.frequency_Hz[0, partial - 1]))
