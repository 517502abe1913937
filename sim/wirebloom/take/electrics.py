"""What the drives take: voltage, current, power, heat and the supply's share, over the last second of a take."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wirebloom.take.squeal import voice
from wirebloom.take.supply import mean_draw
from wirebloom.take.take import Floats, Take
from wirebloom.take.window import output_about_bias, samples_of_last

JUDGED = 1.0  # s at the end
NEEDED = {"drive_current", "drive_voltage"}  # signals without which there is nothing to measure
AT_LIMIT = 0.01  # of the whole swing, from either end of it


@dataclass(frozen=True)
class LoopMeasures:
    """One loop over the last second; voltages of the amplifier's output are about its bias.

    Attributes
    ----------
    drive_power_W : float
        Mean of voltage times current into the whole drive circuit: coils, series resistances, string.
    coil_heat_W : float
        In the windings alone, at the resistance of the room's temperature.
    drive_crest : float or None
        Peak over rms voltage: 1 for a square wave, √2 for a sine. None in silence.
    drive_saturated : float
        Share of the time within 1 % of the swing's ends.
    supply_A, lower_supply_A : float
        Mean current from the upper rail and, with a split supply, from the lower one (0 otherwise): by the charge drawn, or if a take has
        none, the output current of one sign and the quiescent current.
    supply_W : float
        Power from the supply.
    squeals, squeal_Hz, string_share, string_power_W
        See :class:`~wirebloom.take.squeal.Voice`.
    """

    name: str
    drive_rms_V: float
    drive_peak_V: float
    drive_rms_A: float
    drive_peak_A: float
    drive_power_W: float
    coil_heat_W: float
    drive_crest: float | None
    drive_saturated: float
    supply_A: float
    lower_supply_A: float
    supply_W: float
    squeals: bool = False
    squeal_Hz: float | None = None
    string_share: float | None = None
    string_power_W: float = 0.0


def loop_measures(take: Take, loop: int) -> LoopMeasures | None:
    """Measures of one loop; None for a take without samples, or without these."""
    late, sheet = samples_of_last(take, JUDGED), take.sheet.loops[loop]
    amperes = take.signals.drive_current[late, loop].astype(float)
    if amperes.size == 0 or NEEDED & set(take.lost):
        return None
    # The recorder's filter rings at a square wave's edges: the amplifier itself cannot leave its swing.
    volts = np.clip(output_about_bias(take, [loop])[late, 0], sheet.swing_low_V, sheet.swing_high_V)
    upper, lower = mean_draw(take, loop) or half_waves(amperes, sheet.quiescent_A)
    lower = 0.0 if sheet.bias_V > 0.0 else lower
    return LoopMeasures(
        name=sheet.name,
        drive_rms_V=rms(volts),
        drive_peak_V=float(np.abs(volts).max()),
        drive_rms_A=rms(amperes),
        drive_peak_A=float(np.abs(amperes).max()),
        drive_power_W=float((volts * amperes).mean()),
        coil_heat_W=sheet.coil_resistance_ohm * rms(amperes) ** 2,
        drive_crest=float(np.abs(volts).max()) / rms(volts) if rms(volts) > 0.0 else None,
        drive_saturated=saturated(volts, sheet.swing_low_V, sheet.swing_high_V),
        supply_A=upper,
        lower_supply_A=lower,
        supply_W=sheet.supply_V * (upper + lower),
        **voice(take, loop)._asdict(),
    )


def half_waves(amperes: Floats, quiescent: float) -> tuple[float, float]:
    """Mean current of one sign and of the other, with the quiescent one: what a take without recorded charges tells of its supply, A."""
    return float(np.maximum(amperes, 0.0).mean()) + quiescent, float(np.maximum(-amperes, 0.0).mean()) + quiescent


def rms(values: Floats) -> float:
    """Root of the mean square."""
    return float(np.sqrt(np.mean(values**2)))


def saturated(volts: Floats, low: float, high: float) -> float:
    """Share of samples within 1 % of the swing from either end of it."""
    margin = AT_LIMIT * (high - low)
    return float(np.mean((volts <= low + margin) | (volts >= high - margin)))
