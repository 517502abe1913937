"""Does the string start? Judged over the last second of a take, or the whole of a shorter one."""

from __future__ import annotations

import numpy as np

from wirebloom.take.growth import Growth, line
from wirebloom.take.levels import SETTLED, bridge_power, partial_amplitude
from wirebloom.take.take import Floats, Take
from wirebloom.take.window import Flags, loops_driving, output_about_bias, poles_of, rows_of_last, samples_of_last

JUDGED = 1.0  # s at the end
SHORTEST = 0.25  # s below which a take tells nothing of a level over time
FEWEST = 6  # rows, likewise
STEADY = 1.0  # dB/s either way
HALF = 0.5  # of the damping loss, that the drive must at least replace
MOSTLY = 0.5  # of the rows
REACHED = 0.9  # of the final amplitude: started
OWN = 150.0  # cents from a partial of its own within which a string sounds itself; magnets and gain pull it by far less
LINE = 4  # bins of a Hann-windowed line, either side
NEEDED = {"displacement", "magnetic_force", "drive_voltage"}  # signals without which nobody can tell


def drive_power(take: Take, string: int) -> float:
    """Mean work of the string's drive heads on it over the last second, W.

    Of the force about its mean: a constant pull gives back what it takes, but within one second that exchange would
    drown the work on a string that hardly moves.
    """
    return work_rate(take, poles_of(take, string, "drive"))


def work_rate(take: Take, poles: list[int]) -> float:
    """Mean work of the magnetic force at some poles over the last second, W."""
    late = samples_of_last(take, JUDGED)
    force = take.signals.magnetic_force[late][:, poles].astype(float)
    moved = np.diff(take.signals.displacement[late][:, poles].astype(float), axis=0)
    if moved.shape[0] == 0:
        return 0.0
    force -= force.mean(axis=0)
    return float(0.5 * np.einsum("tjp,tjp->", force[1:] + force[:-1], moved) * take.audio_rate / moved.shape[0])


def damping_power(take: Take, string: int) -> float:
    """Mean damping loss Σ 2σ·½m(ωA)² of a string over the last second, W.

    From the partials' amplitudes about rest. The ledger's own account also holds what the time steps lose in holding the
    string against the constant pull (some 10⁻¹⁰ W): nothing to a note, much to a string that hardly moves.
    """
    sheet, amplitude = take.sheet.strings[string], partial_amplitude(take, string)[rows_of_last(take, JUDGED)]
    speed = 2.0 * np.pi * sheet.frequency_Hz * amplitude
    lost = sheet.mass_kg * (sheet.decay_per_s * speed**2).sum(axis=(1, 2))
    return float(lost.mean()) if lost.size else 0.0


def is_fed(take: Take, string: int) -> bool:
    """Whether the drive's work on the string is positive and at least half its damping loss."""
    fed = drive_power(take, string)
    return fed > 0.0 and fed >= HALF * damping_power(take, string)


def level_slope(take: Take, string: int) -> float | None:
    """Slope of the bridge force's level over the last second, dB/s; None in silence or where there are too few rows."""
    rows = rows_of_last(take, JUDGED)
    power, time = bridge_power(take, string)[rows].sum(axis=1), take.frames.time[rows]
    heard = power > 0.0
    if heard.sum() < FEWEST or time[-1] - time[0] < SHORTEST - 1e-9:
        return None
    return line(time[heard], 10.0 * np.log10(power[heard]))[0]


def outcome(take: Take, string: int, linear: Flags, grown: Growth | None, pitch_Hz: float | None) -> str | None:
    """Return "sustained", "growing" or "dying"; None for a take too short to tell, or without the signals that tell.

    While the drive is below 1 % of its swing nothing limits a note: it grows or it dies. There, a rising level alone
    may be noise; it counts as growth if a growth rate can be read from it, or if the note outweighs the noise in the drive.
    Noise by itself may pass 1 % now and then, so that most of the rows decide.
    """
    rows, slope = rows_of_last(take, JUDGED), level_slope(take, string)
    if take.frames.time.size < FEWEST or take.frames.time[-1] < SHORTEST - 1e-9 or NEEDED & set(take.lost):
        return None
    if slope is None or slope < -STEADY or not is_fed(take, string):
        return "dying"
    if linear[rows][1:].mean() > MOSTLY:
        clear = (grown is not None and grown.rate_per_s > 0.0) or (slope > 0.0 and stands_out(take, string, pitch_Hz))
        return "growing" if clear else "dying"
    return "growing" if slope > STEADY else "sustained"


def stands_out(take: Take, string: int, pitch_Hz: float | None) -> bool:
    """Whether the line at this pitch holds at least half of the power of the string's drives over the last second."""
    volts = output_about_bias(take, loops_driving(take, string))[samples_of_last(take, JUDGED)].sum(axis=1)
    if pitch_Hz is None or volts.size == 0:
        return False
    power = np.abs(np.fft.rfft((volts - volts.mean()) * np.hanning(volts.size))) ** 2
    middle = round(pitch_Hz * volts.size / take.audio_rate)
    return bool(power[max(0, middle - LINE) : middle + LINE + 1].sum() >= 0.5 * power.sum() > 0.0)


def start_time(take: Take, string: int) -> float | None:
    """When the bridge force first reaches 90 % of its final amplitude (its rms over the last half second), s."""
    power, time = bridge_power(take, string).sum(axis=1), take.frames.time
    goal = REACHED**2 * float(power[rows_of_last(take, SETTLED)].mean())
    if goal <= 0.0:
        return None
    return float(crossing(time, power, goal))


def crossing(time: Floats, power: Floats, goal: float) -> float:
    """First time at which a power that reaches `goal` does so; between two rows it is taken as an exponential."""
    row = int((power >= goal).argmax())
    if row == 0 or power[row - 1] <= 0.0:
        return float(time[row])
    share = np.log(goal / power[row - 1]) / np.log(power[row] / power[row - 1])
    return float(time[row - 1] + share * (time[row] - time[row - 1]))
