"""Measures as one JSON object: numbers finite or null, units at the end of the keys."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from wirebloom.take.band_summary import band_summary
from wirebloom.take.electrics import LoopMeasures
from wirebloom.take.measures import Measures, StringMeasures
from wirebloom.take.nearness import Nearness
from wirebloom.take.noise import noise_summary
from wirebloom.take.sheet import PoleSheet
from wirebloom.take.take import Take
from wirebloom.take.warm_summary import heat_summary

POLARISATIONS = ("towards the heads", "sideways")


def summary(take: Take, measures: Measures) -> dict[str, Any]:
    """Return what a machine needs to know of a take.

    The top level speaks of the leading string (the loudest of those that start, or of all if none does) and of all
    heads; currents, powers and heat are sums over the loops, voltages the highest of them. Where there are several
    strings, "strings" holds each of them.

    Parameters
    ----------
    take : Take
    measures : Measures
        Of the same take.
    """
    answer: dict[str, Any] = {"title": take.sheet.title, "status": take.status, "duration_s": take.duration_s, "seed": take.seed}
    answer |= _sounding(measures.leading) | _near(measures.near) | _electric(measures.loops)
    answer |= {"supplies": [asdict(supply) for supply in measures.supplies]}
    answer |= {
        "realtime_factor": measures.realtime_factor,
        "ledger_residual": measures.ledger_residual,
        "ledger_drift": measures.ledger_drift,
        "heads": [_head(pole) for pole in take.sheet.poles],
        **noise_summary(take, measures.strings.index(measures.leading), measures.leading.pitch_Hz),
        "heat": heat_summary(measures.heat),
        "band": band_summary(take.band, measures.strings.index(measures.leading), measures.leading),
        "digest": take.sheet.digest,
    }
    if len(measures.strings) > 1:
        answer["string"] = measures.leading.name
        answer["strings"] = [_several(take, index, string) for index, string in enumerate(measures.strings)]
    if len(measures.loops) > 1:
        answer["loops"] = [asdict(loop) for loop in measures.loops]
    return answer


def _several(take: Take, index: int, string: StringMeasures) -> dict[str, Any]:
    return {"name": string.name} | _sounding(string) | _near(string.near) | {"band": band_summary(take.band, index, string)}


def _head(pole: PoleSheet) -> dict[str, Any]:
    return {
        "name": pole.head,
        "string": pole.string,
        "gap_mm": 1e3 * pole.gap_m,
        "force_factor_N_per_A": pole.force_factor_N_per_A,
        "force_factor_low_N_per_A": pole.force_factor_N_per_A * pole.factor_low,
        "force_factor_high_N_per_A": pole.force_factor_N_per_A * pole.factor_high,
        "static_pull_N": pole.pull_N,
        "static_pull_low_N": pole.pull_N * pole.pull_low,
        "static_pull_high_N": pole.pull_N * pole.pull_high,
        "band_note": pole.band_note or None,
        "resistance_ohm": pole.resistance_ohm,
        "inductance_H": pole.inductance_H,
    }


def _sounding(string: StringMeasures) -> dict[str, Any]:
    return {
        "starts": string.starts,
        "outcome": string.outcome,
        "start_time_s": string.start_time_s,
        "growth_rate_per_s": string.growth_rate_per_s,
        "growth": _growth(string),
        "dominant_partial": string.dominant_partial,
        "dominant_at_head": string.dominant_at_head,
        "pitch_Hz": string.pitch_Hz,
        "pitch_cent": string.cents,
        "pitch_from_free_cent": string.cents_from_free,
        "level_slope_dB_per_s": string.level_slope_dB_per_s,
        "bridge_force_N": string.bridge_force_N,
        "partial_force_N": list(string.partial_force_N),
    }


def _growth(string: StringMeasures) -> dict[str, Any] | None:
    grown = string.growth
    if grown is None:
        return None
    return {
        "partial": grown.partial,
        "polarisation": POLARISATIONS[grown.polarisation],
        "start_s": grown.start_s,
        "end_s": grown.end_s,
    }


def _near(near: Nearness) -> dict[str, Any]:
    return {
        "clearance_mm": near.clearance_mm,
        "clearance_head": near.head,
        "first_touch_s": near.first_touch_s,
        "buzz": near.buzz,
    }


SUMMED = ("drive_power_W", "coil_heat_W", "supply_A", "lower_supply_A", "supply_W")
HIGHEST = ("drive_rms_V", "drive_peak_V", "drive_rms_A", "drive_peak_A", "drive_saturated")


def _electric(loops: tuple[LoopMeasures, ...]) -> dict[str, Any]:
    answer: dict[str, Any] = {name: max((getattr(loop, name) for loop in loops), default=None) for name in HIGHEST}
    answer["drive_crest"] = loops[0].drive_crest if len(loops) == 1 else None
    answer |= {name: sum(getattr(loop, name) for loop in loops) if loops else None for name in SUMMED}
    return answer | _own_voice(loops)


def _own_voice(loops: tuple[LoopMeasures, ...]) -> dict[str, Any]:
    pitches = [loop.squeal_Hz for loop in loops if loop.squeal_Hz is not None]
    shares = [loop.string_share for loop in loops if loop.string_share is not None]
    return {
        "squeals": any(loop.squeals for loop in loops),
        "squeal_Hz": pitches[0] if pitches else None,
        "string_share": min(shares, default=None),
        "string_power_W": sum(loop.string_power_W for loop in loops) if loops else None,
    }
