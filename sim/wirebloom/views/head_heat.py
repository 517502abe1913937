"""What a sheet for a head says of the heat in its coil."""

from __future__ import annotations

from math import inf, isfinite

from wirebloom.take.head_parts import HeatSheet
from wirebloom.views.amounts import amount
from wirebloom.views.head_words import span
from wirebloom.views.warm_words import celsius, duration, durations, temperatures


def head_heat(heat: HeatSheet) -> str:
    """Say which currents the coil of a head bears, and whether its own amplifier can do it harm."""
    touch, enamel = (span(*amperes, "A") for amperes in (heat.touch_A, heat.enamel_A))
    told = (
        f"{celsius(heat.touch_K)}, the most for a hand, at {touch} rms; {celsius(heat.enamel_K)}, the most for its enamel ({heat.enamel}), "
        f"at {enamel} (room at {celsius(heat.room_K)}, hanging in still air to seated on wood in moving air: "
        f"{span(*heat.conductance_W_per_K, 'W/K')}, time constant {durations(*time_constants(heat))})"
    )
    if heat.magnet_K is not None and heat.magnet_K < heat.enamel_K:
        told += f"; magnets of this grade serve to {celsius(heat.magnet_K)} only"
    if heat.drive_A is None or heat.drive_K is None:
        return told
    return f"{told}; its amplifier can send at most {amount(heat.drive_A, 'A')}: {_driven(heat, *heat.drive_K)}"


def time_constants(heat: HeatSheet) -> tuple[float, float]:
    """Return the shortest and the longest that the coil's warming can have, s, without the rise of its resistance."""
    (least, most), (little, good) = heat.capacity_J_per_K, heat.conductance_W_per_K
    return least / good, most / little


def _driven(heat: HeatSheet, hottest: float, coolest: float) -> str:
    """Say what the most that the amplifier can send leads to."""
    ends = temperatures(coolest, hottest)
    earliest, latest = heat.too_hot_s or (inf, inf)
    if not isfinite(earliest):
        return f"{ends} in the end, and it can stay on for good"
    if not isfinite(latest):
        return f"{ends} in the end, with little cooling too hot after {duration(earliest)}"
    return f"{ends} if it lived to see that, too hot after {durations(earliest, latest)}"
