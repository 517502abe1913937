"""What every partial of a rig does at the faintest: grow or fade, at what pitch, and how far it is from doing the other.

All of it are roots of one characteristic equation (:mod:`wirebloom.analysis.motional`), followed from loops opened in the leads of their
sense coils to the rig as it stands, and to its other polarity (:mod:`wirebloom.analysis.tracking`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from wirebloom.analysis.benches import benches
from wirebloom.analysis.loop_gain import own_gains
from wirebloom.analysis.motional import Bench, Complex, heard, turned
from wirebloom.analysis.thresholds import crossings, gain_factors
from wirebloom.analysis.tracking import SLOW, Followed, Knob, electrical, follow, in_the_field
from wirebloom.kernels.layout import Floats, Ints
from wirebloom.take.check_small import Electrical, PartialCheck, SmallSignal

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

MOST = 1e3  # times as loud as a loop hears: beyond, nothing is looked for
LOUDER = 10.0  # times the gain an amplifier has: beyond, nothing is looked for
FAINT = 1e-2  # loop gain: a partial that is moved so little needs more than that
REAL = 1e-9  # of a root's size: an imaginary part that is none


class Found(NamedTuple):
    """Modes of one bench (M,)."""

    bench: Bench
    closed: Followed  # from open loops to those that stand
    other: Followed  # from open loops to reversed ones
    gains: Complex  # (A, M) of every loop
    share: Floats  # (M,) not a number: none


def small_signal(compiled: Compiled) -> SmallSignal:
    """Growth, pitch, loop gain and thresholds of every partial of a compiled rig.

    Parameters
    ----------
    compiled : Compiled

    Returns
    -------
    SmallSignal

    Examples
    --------
    >>> from wirebloom.analysis.small import small_signal
    >>> from wirebloom.compile import compile_rig
    >>> from wirebloom.rig import load
    >>> found = small_signal(compile_rig(*load("first_note")))
    >>> found.fastest.partial
    1
    """
    partials: list[PartialCheck] = []
    motions: list[Electrical] = []
    for bench in benches(compiled):
        found = find(bench) if bench.strands else None
        motions += [motion for motion in map(_motion, _electrical(bench, found)) if motion is not None]
        partials += [] if found is None else _partials(compiled, found)
    return SmallSignal(
        tuple(sorted(partials, key=lambda own: _order(compiled, own))), tuple(sorted(motions, key=lambda own: -own.growth_rate_per_s))
    )


def _order(compiled: Compiled, own: PartialCheck) -> tuple[int, int, int]:
    return [string.name for string in compiled.rig.strings].index(own.string), own.polarisation, own.partial


def present(bench: Bench) -> Ints:
    """Loops that are on this bench."""
    return np.array([a for a, own in enumerate(bench.own) if own.size], dtype=np.int64)


def find(bench: Bench) -> Found:
    """Follow all modes of a bench from its opened loops on."""
    closed = closing(bench, np.concatenate([in_the_field(strand) for strand in bench.strands]))
    opened = closed.value[0]
    other = closing(turned(bench), opened)
    return Found(bench, closed, other, own_gains(bench, opened), crossings(bench, closed, sense_knob(bench), MOST))


def sense_knob(bench: Bench) -> Knob:
    """How loud all loops of a bench hear their sense coils."""
    loops = present(bench)
    return lambda factor: heard(bench, factor, loops)


def closing(bench: Bench, start: Complex) -> Followed:
    """All modes of a bench (M,) from its opened loops to closed ones."""
    return follow(bench, start, sense_knob(bench), (0.0, 1.0))


def _electrical(bench: Bench, found: Found | None) -> Complex:
    """All roots of a bench's electronics."""
    return electrical(heard(bench, np.ones(1), present(bench))) if found is None else found.closed.electrical


def _motion(root: complex) -> Electrical | None:
    """None for the second of a pair."""
    size = max(abs(root), SLOW)
    pitch = root.imag if abs(root.imag) > REAL * size else 0.0
    return Electrical(pitch / (2.0 * np.pi), float(root.real) if abs(root) > SLOW else 0.0) if pitch >= 0.0 else None


def _partials(compiled: Compiled, found: Found) -> list[PartialCheck]:
    gains = amplifier_gains(compiled, found)
    return [_partial(compiled, found, gains, k) for k in range(found.share.size)]


def amplifier_gains(compiled: Compiled, found: Found) -> Floats:
    """Gain of the plain amplifier of each mode's loop from which on it grows (M,); not a number where there is none."""
    result, loudest = np.full(found.share.size, np.nan), np.abs(found.gains)
    for a in present(found.bench):
        amplifier = compiled.rig.loops[a].amplifier
        mine = np.flatnonzero((loudest.argmax(axis=0) == a) & (loudest[a] > FAINT))
        if amplifier is not None:
            result[mine] = amplifier.gain * gain_factors(found.bench, found.closed.value[0][mine], found.gains[a, mine], int(a), LOUDER)
    return result


def _partial(compiled: Compiled, found: Found, gains: Floats, k: int) -> PartialCheck:
    s, p, n = [place for strand in found.bench.strands for place in strand.place][k]
    now, opened, other = found.closed.last[k], found.closed.value[0][k], found.other.last[k]
    loop = int(np.abs(found.gains[:, k]).argmax()) if found.gains.size else -1
    gain = found.gains[loop, k] if loop >= 0 else 0.0
    return PartialCheck(
        string=compiled.rig.strings[s].name,
        polarisation=p,
        partial=n + 1,
        frequency_Hz=now.imag / (2.0 * np.pi),
        growth_rate_per_s=now.real,
        open_Hz=opened.imag / (2.0 * np.pi),
        open_growth_per_s=opened.real,
        reversed_Hz=other.imag / (2.0 * np.pi),
        reversed_growth_per_s=other.real,
        loop=compiled.rig.loops[loop].name if loop >= 0 and gain != 0.0 else "",
        loop_gain=abs(gain),
        loop_phase_deg=float(np.degrees(np.angle(gain))),
        share=_known(found.share[k]),
        gain=_known(gains[k]),
    )


def _known(value: float) -> float | None:
    return None if np.isnan(value) else float(value)
