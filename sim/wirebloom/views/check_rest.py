"""What `check` says of a rig at rest: its heads under their strings, its strings, and what its loops hear."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.views.amounts import amount, figures
from wirebloom.views.band_words import head_band
from wirebloom.views.check_tables import SHORT
from wirebloom.views.head_sheet import winding_words
from wirebloom.views.verdict_rows import EQUILIBRIA

if TYPE_CHECKING:
    from wirebloom.take.check import Check
    from wirebloom.take.check_sheet import HeadStatic, Hearing, StringStatic

MM, MILLI = 1e3, 1e3
MOST = 6  # heads with rows of their own
NOTICED = 0.005  # of a resistance
FEW = 3  # strings with rows of their own


def head_rows(check: Check) -> Iterator[tuple[str, str]]:
    """Yield what every head does to its string, its coil, and once for each build its winding."""
    if len(check.sheet.heads) > MOST:
        yield f"{len(check.sheet.heads)} heads", _all_heads(check.sheet.heads)
        return
    told: list[str] = []
    for head in check.sheet.heads:
        coil = "" if head.name in told else f"; {_coil(head)}"
        yield f"head {head.name}", f"{_over(head, len(check.strings) > 1)}{coil}"
        told.append(head.name)
        winding = "" if head.winding is None else winding_words(head.winding)
        if winding and winding not in told:
            yield f"winding of {head.name}", winding
            told.append(winding)


def _over(head: HeadStatic, several: bool) -> str:
    """Return force factor and pull at the gap at rest."""
    role = "" if head.role in head.name else f"{head.role}, "
    under = f"under {head.string}, " if several else ""
    place = f"gap {figures(MM * max(0.0, head.rest_gap_m))} mm at rest ({figures(MM * head.gap_m)} mm with the string straight)"
    if head.force_factor_N_per_A == head.static_pull_N == 0.0:
        return f"{role}{under}{place}: no magnets, so neither pull nor force factor"
    factor = f"{amount(abs(head.force_factor_N_per_A), 'N/A')}{head_band(head.factor_low, head.factor_high)}"
    pull = f"pulls {amount(head.static_pull_N, 'N')}{head_band(head.pull_low, head.pull_high)}"
    emf, force = amount(head.emf_V_per_mm_s, "V"), amount(head.force_N_per_mA, "N")
    return f"{role}{under}{place}: {factor}, that is {emf} per mm/s and {force} per mA; {pull}"


def _coil(head: HeadStatic) -> str:
    changed = abs(head.warm_ohm - head.resistance_ohm) > NOTICED * head.resistance_ohm
    warm = f" ({amount(head.warm_ohm, 'Ω')} in the room)" if changed else ""
    ohm, henry, constant = amount(head.resistance_ohm, "Ω"), amount(head.inductance_H, "H"), amount(head.time_constant_s, "s")
    return f"{ohm} at 20 °C{warm}, {henry}, time constant {constant}"


def _all_heads(heads: tuple[HeadStatic, ...]) -> str:
    gaps, pulls = [max(0.0, head.rest_gap_m) for head in heads], [head.static_pull_N for head in heads]
    factors = [abs(head.force_factor_N_per_A) for head in heads]
    ranges = [(gaps, "m"), (factors, "N/A"), (pulls, "N")]
    gap, factor, pull = (f"{amount(min(values), unit)} to {amount(max(values), unit)}" for values, unit in ranges)
    return f"gap {gap} at rest, {factor}, pull {pull}"


def string_rows(check: Check) -> Iterator[tuple[str, str]]:
    """Yield tension, rest and decay of each string and what its loop hears of it; of many, only of the one with most stress."""
    strings = check.sheet.strings
    shown = strings if len(strings) <= FEW else (max(strings, key=lambda own: own.load),)
    for string in shown:
        yield f"{string.name} at rest", rest_words(string)
        yield f"{string.name} alone", alone_words(string)
        for hearing in check.sheet.hearing:
            if hearing.string == string.name:
                yield f"{hearing.loop} hears", hearing_words(hearing)


def rest_words(string: StringStatic) -> str:
    """Say how it hangs, and how much it could bear."""
    drawn = ""
    if string.equilibrium != "latched" and (string.sag_m or string.side_m):
        shift = float(string.magnet_cent[0, 0])
        aside = f", {string.magnet_cent[1, 0]:+.2f} sideways" if np.isfinite(string.magnet_cent[1, 0]) else ""
        flat = f"; partial 1 shifts by {shift:+.2f} cent{aside}" if np.isfinite(shift) else ""
        drawn = f"; the magnets draw it {amount(string.sag_m, 'm', 2)} nearer{flat}"
    return (
        f"{EQUILIBRIA[string.equilibrium]}; {amount(string.tension_N, 'N')}, stress {amount(string.stress_Pa, 'Pa')} is "
        f"{100.0 * string.load:.0f} % of the least strength of {MM * string.diameter_m:.2f} mm {string.material} "
        f"({amount(string.strength_min_Pa, 'Pa')}){drawn}"
    )


def alone_words(string: StringStatic) -> str:
    """Say how its partials stand and fade without heads."""
    sharp = string.sharp_cent
    last = min(10, sharp.size)
    whole = string.decay_per_s[0, 0]
    shares = {SHORT.get(cause.name, cause.name): 100.0 * cause.per_s[0, 0] / whole for cause in string.causes} if whole > 0.0 else {}
    why = f" ({', '.join(f'{name} {share:.0f} %' for name, share in shares.items())})" if shares else ""
    return (
        f"inharmonicity {string.inharmonicity:.2g}: partial {last} is {sharp[last - 1]:.1f} cent sharper than {last} times f₀; "
        f"partial 1 falls by 60 dB in {figures(string.t60_s[0, 0], 2)} s{why}"
    )


def hearing_words(hearing: Hearing) -> str:
    """Say how small a motion is not lost in the noise."""
    if not np.any(np.isfinite(hearing.least_m_per_rtHz)):
        return f"nothing of {hearing.string}"
    first = hearing.least_m_per_rtHz[0]
    if not np.isfinite(first):
        return f"not partial 1 of {hearing.string}"
    told = f"partial 1 of {hearing.string} from {amount(first, 'm', 2)}/√Hz on"
    return f"{told}: its noise is as {amount(hearing.noise_V_per_rtHz[0], 'V', 2)}/√Hz in the sense coil"
