"""What the loops take from their supplies over the last second of a take, how far these give way, how long a battery lasts."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

import numpy as np

from wirebloom.physics.supply import discharge_time, share_until, under_load
from wirebloom.take.sheet import SupplySheet
from wirebloom.take.take import Take
from wirebloom.take.window import rows_of_last, samples_of_last

JUDGED = 1.0  # s at the end
NEEDED = {"supply_voltage", "drive_current"}  # signals without which there is nothing to measure


@dataclass(frozen=True)
class SupplyMeasures:
    """One named supply over the last second, all its loops together.

    Attributes
    ----------
    supply_A, lower_supply_A : float
        Mean current from the upper rail and, with a split supply, into the lower one (0 otherwise).
    supply_peak_A : float
        Greatest current from either rail: what the drives take at one time, with the quiescent currents. Decoupling keeps part of it from a
        battery.
    least_supply_V, open_supply_V : float
        Least voltage, and that without load; of a split supply those of its upper half.
    battery_h : float or None
        For which the battery lasts at this level; None without a battery.
    drops_out : bool
        Whether the battery falls below what is needed in the peaks.
    """

    name: str
    supply_A: float
    lower_supply_A: float
    supply_peak_A: float
    least_supply_V: float
    open_supply_V: float
    battery_h: float | None
    drops_out: bool


def supply_measures(take: Take, supply: SupplySheet) -> SupplyMeasures | None:
    """Measures of one supply; None for a take too short to have any."""
    loops = [a for a, loop in enumerate(take.sheet.loops) if loop.name in supply.loops]
    volts = take.signals.supply_voltage[settled(take), loops[0]].astype(float)
    drawn = [mean_draw(take, a) for a in loops]
    if volts.size == 0 or None in drawn or NEEDED & set(take.lost):
        return None
    upper, lower = np.sum([each for each in drawn if each is not None], axis=0)
    lower = lower if supply.halves > 1.0 else 0.0
    return SupplyMeasures(
        name=supply.name,
        supply_A=float(upper),
        lower_supply_A=float(lower),
        supply_peak_A=peak_draw(take, loops),
        least_supply_V=float(volts.min()),
        open_supply_V=supply.open_V,
        battery_h=hours(supply, float(max(upper, lower))),
        drops_out=battery_at_peak(supply, float(volts.min())) < supply.needed_V,
    )


def settled(take: Take) -> slice:
    """Samples of the last second, or of the second half of a shorter take: its beginning is the supply coming up."""
    return samples_of_last(take, min(JUDGED, take.duration_s / 2.0))


def mean_draw(take: Take, loop: int) -> tuple[float, float] | None:
    """Mean current out of a loop's high rail and into its low one over the last second, A, by the charge drawn; None if not recorded."""
    time, frames = take.frames.time, take.frames
    late = rows_of_last(take, JUDGED)
    if time[late].size < 2 or not frames.drawn_high[-1, loop] > 0.0:
        return None
    span = time[-1] - time[late.start]
    high, low = (float((drawn[-1, loop] - drawn[late.start, loop]) / span) for drawn in (frames.drawn_high, frames.drawn_low))
    return high, low


def peak_draw(take: Take, loops: list[int]) -> float:
    """Greatest current from either rail of several loops together, A: drive currents of one sign, and the quiescent ones."""
    amperes = take.signals.drive_current[settled(take)][:, loops].astype(float)
    rest = sum(take.sheet.loops[a].quiescent_A for a in loops)
    return float(max(np.maximum(sign * amperes, 0.0).sum(axis=1).max() for sign in (1.0, -1.0))) + rest


def battery_at_peak(supply: SupplySheet, least: float) -> float:
    """Least voltage (V) of the battery of a supply that falls to so many volts: by the current that takes."""
    if supply.resistance_ohm == 0.0:
        return supply.battery_V
    current = (supply.open_V - least) / supply.resistance_ohm
    return under_load(supply.battery_V, supply.battery_ohm, current)


def hours(supply: SupplySheet, current: float) -> float | None:
    """How long the battery of a supply lasts at a mean current (A), h; None without a battery or a current."""
    if not supply.battery_V:
        return None
    drop = supply.battery_ohm * current
    share = share_until(supply.needed_V, supply.battery_V - drop, supply.empty_V - drop)
    lasting = discharge_time(share * supply.charge_C, supply.rated_A, supply.peukert, current) / 3600.0
    return lasting if isfinite(lasting) else None
