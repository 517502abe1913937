"""Does a loop sound without its strings? Told by what its amplifier hears, over the last second of a take.

All EMF in the sense coils, as voltage and current there show it, is e = V − R i − L di/dt; the strings' share of it is Σ K u̇. A loop
that plays a string hears mostly the string (half of the power and more, in runs); one that squeals hears its own drive: the
string moves at a squeal too, but by a thousandth of what a note takes.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.take.outcome import work_rate
from wirebloom.take.pitch import line_frequency
from wirebloom.take.take import Floats, Take
from wirebloom.take.window import output_about_bias, rows_of_last, samples_of_last

JUDGED = 1.0  # s at the end
LOUD = 0.1  # of half the swing: less is noise, or a thump that has passed
OWN_VOICE = 0.01  # of the power heard: notes, buzzing ones too, have shown 0.2 and more, squeals 0.0003 and less
NARROW = 0.5  # of the output's power, in one line
LINE, WIDE = 4, 0.01  # bins of a Hann-windowed line to either side, and share of its frequency
LOWEST = 5.0  # Hz: slower is drift
OF_MAINS = 1.0  # Hz from a multiple of the mains' frequency within which a line is hum
NEEDED = {"displacement", "magnetic_force", "sense_voltage", "sense_current", "drive_voltage"}  # signals that tell
BEYOND = 0.5  # of the output's power, above what the signals can hold


class Voice(NamedTuple):
    """What a loop says by itself.

    squeals: bool. squeal_Hz: at which frequency, None for none, or where it lies above what the signals hold. string_share: of the
    power that its amplifier hears, what comes from the strings; 1 at most, None in silence. string_power_W: mean work of its drive
    heads on the strings.
    """

    squeals: bool
    squeal_Hz: float | None
    string_share: float | None
    string_power_W: float


def voice(take: Take, loop: int) -> Voice:
    """Tell a squeal from a string's sound, from hum and from noise.

    Parameters
    ----------
    take : Take
    loop : int

    Returns
    -------
    Voice
    """
    if NEEDED & set(take.lost):
        return Voice(False, None, None, 0.0)
    share = string_share(take, loop)
    squeals, pitch = _squeal(take, loop, share)
    return Voice(squeals, pitch, share, work_rate(take, _poles(take, take.sheet.loops[loop].drive)))


def _squeal(take: Take, loop: int, share: float | None) -> tuple[bool, float | None]:
    power, above = output_power(take, loop), power_above(take, loop)
    if power + above < (LOUD * _half_swing(take, loop)) ** 2:
        return False, None
    if above > BEYOND * (power + above):
        return True, None
    found = lone_line(take, loop) if share is not None and share < OWN_VOICE else None
    return found is not None, found


def _poles(take: Take, heads: tuple[str, ...]) -> list[int]:
    return [j for j, pole in enumerate(take.sheet.poles) if pole.head in heads]


def _half_swing(take: Take, loop: int) -> float:
    sheet = take.sheet.loops[loop]
    return 0.5 * (sheet.swing_high_V - sheet.swing_low_V)


def output_power(take: Take, loop: int) -> float:
    """Variance of the output as the signals hold it, V²."""
    volts = output_about_bias(take, [loop])[samples_of_last(take, JUDGED), 0]
    return float(volts.var()) if volts.size else 0.0


def power_above(take: Take, loop: int) -> float:
    """Mean square of the output above what the signals hold, V²: that of every step less that of the samples."""
    rows, late = take.frames.output_square[rows_of_last(take, JUDGED), loop], samples_of_last(take, JUDGED)
    volts = take.signals.drive_voltage[late, loop].astype(float)
    return max(0.0, float(rows[1:].mean() - np.mean(volts**2))) if rows.size > 1 and volts.size else 0.0


def string_share(take: Take, loop: int) -> float | None:
    """Share of the heard power that comes from strings, none greater than 1; None where nothing is heard."""
    late = samples_of_last(take, JUDGED)
    if late.stop - late.start < 3:
        return None
    all_of_it, theirs = (float(np.mean(part(take, loop, late) ** 2)) for part in (heard, moved))
    return min(1.0, theirs / all_of_it) if all_of_it > 0.0 else None


def heard(take: Take, loop: int, late: slice) -> Floats:
    """EMF in the sense coils of a loop about its mean, with the sign of the terminal voltage (t,), V."""
    resistance, inductance = sense_coils(take, loop)
    volts, amperes = (signal[late, loop].astype(float) for signal in (take.signals.sense_voltage, take.signals.sense_current))
    found = volts - resistance * amperes - inductance * np.gradient(amperes) * take.audio_rate
    return np.asarray(found - found.mean())


def sense_coils(take: Take, loop: int) -> tuple[float, float]:
    """Resistance (Ω) and inductance (H) of a loop's sense coils in series."""
    sheet = take.sheet.loops[loop]
    coils = {pole.head: (pole.resistance_ohm, pole.inductance_H) for pole in take.sheet.poles if pole.head in sheet.sense}
    return sum(ohm for ohm, _ in coils.values()), sum(henry for _, henry in coils.values())


def moved(take: Take, loop: int, late: slice) -> Floats:
    """What the strings induce in a loop's sense heads at rest gap, √Σ (K u̇)² over the heads (t,), V."""
    poles = _poles(take, take.sheet.loops[loop].sense)
    factor = np.array([take.sheet.poles[j].force_factor_N_per_A for j in poles])
    speed = np.gradient(take.signals.displacement[late][:, poles, 0].astype(float), axis=0) * take.audio_rate
    return np.asarray(np.sqrt(((factor * speed) ** 2).sum(axis=1)))


def lone_line(take: Take, loop: int) -> float | None:
    """Frequency (Hz) of the one line that holds at least half of the output's power, if there is one and it is not the mains'."""
    volts = output_about_bias(take, [loop])[samples_of_last(take, JUDGED), 0]
    power = np.abs(np.fft.rfft((volts - volts.mean()) * np.hanning(volts.size))) ** 2
    width = take.audio_rate / volts.size
    best = int(power.argmax())
    reach = max(LINE, round(WIDE * best))
    if best * width < LOWEST or power[max(0, best - reach) : best + reach + 1].sum() < NARROW * power.sum():
        return None
    bounds = ((best - LINE) * width, (best + LINE) * width)
    found = line_frequency(volts, take.audio_rate, bounds, volts.size) or best * width
    return None if is_hum(found, take.sheet.loops[loop].hum_Hz) else found


def is_hum(line: float, mains: float) -> bool:
    """Whether a line (Hz) is a multiple of the mains' frequency (Hz; 0: no mains).

    Examples
    --------
    >>> is_hum(150.2, 50.0), is_hum(163.0, 50.0), is_hum(150.0, 0.0)
    (True, False, False)
    """
    return mains > 0.0 and line > 0.5 * mains and abs(line - mains * round(line / mains)) < OF_MAINS
