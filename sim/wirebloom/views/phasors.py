"""How far the drive current runs ahead of the string's velocity, partial by partial: what of it feeds the string.

A current i pushes with K i, so that a partial gets the mean power ½ K |i| |u̇| cos φ. At φ = 0 all of the current feeds it, at a
quarter of a turn none does, and beyond it brakes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from wirebloom.take.growth import longest_run
from wirebloom.take.levels import loudest
from wirebloom.take.pitch import REACH, line_frequency
from wirebloom.take.take import Floats
from wirebloom.take.window import by_frame, poles_of

if TYPE_CHECKING:
    from wirebloom.take.take import Take

PIECES, PERIODS = 4, 40  # of partial 1 that the phase is read from, in so many pieces
COHERENT = 0.8  # of one piece with the next: noise alone shows as much in less than one case of a hundred
FEWEST = 4  # periods, below which it is not
LINEAR = 0.5  # of the swing: below it an amplifier is as good as linear


class Phasor(NamedTuple):
    """One partial of velocity (m/s) and current (A), and by how much the current is ahead, rad; from −π to π."""

    partial: int
    frequency: float
    velocity: float
    current: float
    ahead: float

    @property
    def feeds(self) -> float:
        """Share of the current that feeds the partial, cos φ; below 0 it brakes."""
        return float(np.cos(self.ahead))


class Swing(NamedTuple):
    """Velocity towards the head (t,), m/s, and the current that adds to its pull (t,), A, up to a moment (s)."""

    velocity: Floats
    current: Floats
    until: float


def drive_pole(take: Take, loop: int) -> int | None:
    """Return the pole of a loop's drive heads under which the string moves most at the end; None without any."""
    own = [j for j, pole in enumerate(take.sheet.poles) if pole.loop == take.sheet.loops[loop].name and pole.role == "drive"]
    late = take.signals.displacement[-round(take.audio_rate) :, :, 0]
    return max(own, key=lambda j: float(np.ptp(late[:, j]))) if own and len(late) else None


def string_of(take: Take, pole: int) -> int:
    """Return the string over a pole."""
    return [string.name for string in take.sheet.strings].index(take.sheet.poles[pole].string)


def linear_end(take: Take, loop: int) -> float | None:
    """Return when the longest stretch ends in which the output stays within half its swing about its mean (s); None if there is none."""
    sheet, volts = take.sheet.loops[loop], by_frame(take, take.signals.drive_voltage[:, loop])
    if volts.size == 0:
        return None
    peak = np.abs(volts - volts.mean(axis=1, keepdims=True)).max(axis=1)
    first, last = longest_run(peak < LINEAR * min(-sheet.swing_low_V, sheet.swing_high_V))
    return float(take.frames.time[last]) if last > first else None


def swing(take: Take, loop: int, pole: int, *, late: bool) -> Swing | None:
    """Return velocity and current about its mean over the last periods, or over those before the output leaves its linear range.

    None where the take has too few samples for that, or no linear range.
    """
    string = string_of(take, pole)
    until = take.duration_s if late else linear_end(take, loop)
    wanted = round(PERIODS * take.audio_rate / take.sheet.strings[string].pitch_Hz)
    last = 0 if until is None else min(round(until * take.audio_rate), len(take.signals.displacement))
    window = slice(max(last - wanted, 0), last)
    if until is None or window.stop - window.start < FEWEST * wanted // PERIODS:
        return None
    towards = take.signals.displacement[window, pole, 0].astype(float)
    velocity = np.gradient(towards - towards.mean()) * take.audio_rate
    current = take.signals.drive_current[window, loop].astype(float)
    return Swing(velocity, pulling(take, loop, pole) * (current - current.mean()), until)


def pulling(take: Take, loop: int, pole: int) -> float:
    """Return 1 if a positive current adds to the pull of this head, −1 if it takes from it (winding and connection reversed).

    Read from the force over the last second: what of it goes with the current, beside what goes with the string's place.
    """
    late = slice(-round(take.audio_rate), None)
    columns = np.stack([take.signals.drive_current[late, loop], take.signals.displacement[late, pole, 0]], axis=1).astype(float)
    columns -= columns.mean(axis=0)
    columns /= np.maximum(np.abs(columns).max(axis=0), 1e-300)
    force = take.signals.magnetic_force[late, pole, 0].astype(float)
    found = np.linalg.lstsq(columns, force - force.mean(), rcond=None)[0]
    return -1.0 if found[0] < 0.0 else 1.0


def phasor(take: Take, string: int, moved: Swing, partial: int) -> Phasor | None:
    """Return one partial (from 1) of velocity and current, of the last piece; None where one does not keep step with the other.

    Keeping step is ordinary coherence, |Σ i u̇*|² over Σ |i|² Σ |u̇|², over pieces of ten periods.
    """
    sheet = take.sheet.strings[string]
    free, reach = float(sheet.frequency_Hz[0, partial - 1]), REACH * sheet.pitch_Hz
    fewest = round(FEWEST * take.audio_rate / sheet.pitch_Hz)
    found = line_frequency(moved.velocity, take.audio_rate, (free - reach, free + reach), fewest)
    length = moved.velocity.size // PIECES
    if found is None:
        return None
    window = np.hanning(length)
    turned = window * np.exp(-2j * np.pi * found / take.audio_rate * np.arange(length)) * (2.0 / window.sum())
    velocity, current = (signal[-PIECES * length :].reshape(PIECES, length) @ turned for signal in (moved.velocity, moved.current))
    together, apart = np.vdot(velocity, current), float(np.sum(np.abs(velocity) ** 2) * np.sum(np.abs(current) ** 2))
    if abs(together) ** 2 <= COHERENT * apart:
        return None
    return Phasor(partial, found, abs(velocity[-1]), abs(current[-1]), float(np.angle(together)))


def phasors(take: Take, loop: int, pole: int, *, late: bool) -> list[Phasor]:
    """Return partial 1, and the one that leads over this head at that time if it is another."""
    moved = swing(take, loop, pole, late=late)
    if moved is None:
        return []
    string = string_of(take, pole)
    leading = _leading(take, string, pole, moved.until)
    found = [phasor(take, string, moved, n) for n in dict.fromkeys((1, leading or 1))]
    return [one for one in found if one is not None]


def _leading(take: Take, string: int, pole: int, until: float) -> int | None:
    """Return the partial with the greatest velocity over a head at a time (s)."""
    if pole not in poles_of(take, string):
        return None
    sheet, row = take.sheet.strings[string], int(np.searchsorted(take.frames.time, until + 1e-9)) - 1
    count = sheet.bridge_N_per_m.size
    if row < 0:
        return None
    moving = take.frames.amplitude[row, string, 0, :count] * take.sheet.poles[pole].weight[:count] * sheet.frequency_Hz[0]
    return loudest(moving**2)
