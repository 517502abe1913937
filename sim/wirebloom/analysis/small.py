"""What every partial of a rig does at the faintest: grow or fade, at what pitch, and how far it is from doing the other.

All of it are roots of one characteristic equation (:mod:`wirebloom.analysis.motional`), followed from loops opened in the leads of their
sense coils to the rig as it stands, and to its other polarity (:mod:`wirebloom.analysis.tracking`).
"""

from __future__ import annotations

from cmath import phase
from math import degrees, isnan, pi
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from wirebloom.analysis.benches import Laid, laid_out
from wirebloom.analysis.loop_gain import own_gains
from wirebloom.analysis.motional import Bench, Complex, Knob, heard, hearing, turned
from wirebloom.analysis.thresholds import crossings, gain_factors, gain_factors_below
from wirebloom.analysis.tracking import SLOW, Followed, electrical, follow, in_the_field, loaded
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


class Mode(NamedTuple):
    """One of them."""

    place: tuple[int, int, int]  # string, polarisation, partial from 0
    now: complex
    opened: complex
    other: complex
    led: tuple[int, complex]  # loop that moves it most, −1: none does; and its gain
    share: float
    gain: float  # of the amplifier, from which on it grows


def small_signal(compiled: Compiled, laid: Laid | None = None) -> SmallSignal:
    """Growth, pitch, loop gain and thresholds of every partial of a compiled rig.

    Parameters
    ----------
    compiled : Compiled
    laid : Laid, optional
        Its benches, if they are at hand.

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
    for bench in (laid_out(compiled) if laid is None else laid).benches:
        found = find(bench) if bench.strands else None
        motions += [motion for motion in map(_motion, _electrical(bench, found)) if motion is not None]
        partials += [] if found is None else _partials(compiled, found)
    number = {string.name: s for s, string in enumerate(compiled.rig.strings)}
    partials.sort(key=lambda own: (number[own.string], own.polarisation, own.partial))
    return SmallSignal(tuple(partials), tuple(sorted(motions, key=lambda own: -own.growth_rate_per_s)))


def present(bench: Bench) -> Ints:
    """Loops that are on this bench."""
    return np.array([a for a, own in enumerate(bench.own) if own.size], dtype=np.int64)


def find(bench: Bench) -> Found:
    """Follow all modes of a bench from its opened loops on."""
    closed = closing(bench, *_opened(bench))
    opened = closed.value[0]
    other = closing(turned(bench), opened, closed.still)
    return Found(bench, closed, other, own_gains(bench, opened, closed.turn[0]), crossings(bench, closed, sense_knob(bench), MOST))


def _opened(bench: Bench) -> tuple[Complex, Complex]:
    """Nearly exact roots of strings (M,) and of electronics (n,) with all loops open: not on the poles that a string has in the field."""
    setting, field = sense_knob(bench)(np.zeros(1)), np.concatenate([in_the_field(strand) for strand in bench.strands])
    return loaded(bench, field, np.arange(field.size), setting), electrical(setting)


def sense_knob(bench: Bench) -> Knob:
    """How loud all loops of a bench hear their sense coils."""
    return hearing(bench, present(bench))


def closing(bench: Bench, start: Complex, still: Complex | None = None) -> Followed:
    """All modes of a bench (M,) from its opened loops to closed ones; still (n,): roots of its electronics then, if known."""
    return follow(bench, start, sense_knob(bench), (0.0, 1.0), still)


def _electrical(bench: Bench, found: Found | None) -> Complex:
    """All roots of a bench's electronics."""
    return electrical(heard(bench, np.ones(1), present(bench))) if found is None else found.closed.electrical


def _motion(root: complex) -> Electrical | None:
    """None for the second of a pair."""
    size = max(abs(root), SLOW)
    pitch = root.imag if abs(root.imag) > REAL * size else 0.0
    return Electrical(pitch / (2.0 * np.pi), float(root.real) if abs(root) > SLOW else 0.0) if pitch >= 0.0 else None


def _partials(compiled: Compiled, found: Found) -> list[PartialCheck]:
    places = [place for strand in found.bench.strands for place in strand.place]
    roots = (own.tolist() for own in (found.closed.last, found.closed.value[0], found.other.last))
    margins = (own.tolist() for own in (found.share, amplifier_gains(compiled, found)))
    return [_partial(compiled, Mode(*own)) for own in zip(places, *roots, _led(found), *margins, strict=True)]


def _led(found: Found) -> list[tuple[int, complex]]:
    """Loop that moves each mode most, and its gain; -1 where none does."""
    if not found.gains.size:
        return [(-1, 0j)] * found.share.size
    loops = np.abs(found.gains).argmax(axis=0)
    return [(a if gain else -1, gain) for a, gain in zip(loops.tolist(), found.gains[loops, np.arange(loops.size)].tolist(), strict=True)]


def amplifier_gains(compiled: Compiled, found: Found) -> Floats:
    """Gain of the plain amplifier of each mode's loop from which on it grows (M,); not a number where there is none."""
    result, loudest = np.full(found.share.size, np.nan), np.abs(found.gains)
    for a in present(found.bench):
        amplifier = compiled.rig.loops[a].amplifier
        mine = np.flatnonzero((loudest.argmax(axis=0) == a) & (loudest[a] > FAINT))
        if amplifier is not None:
            result[mine] = amplifier.gain * gain_factors(found.bench, found.closed.value[0][mine], found.gains[a, mine], int(a), LOUDER)
            lost = mine[np.isnan(result[mine]) & (found.closed.last[mine].real > 0.0)]
            result[lost] = amplifier.gain * gain_factors_below(found.bench, found.closed.last[lost], int(a))
    return result


def _partial(compiled: Compiled, own: Mode) -> PartialCheck:
    (s, p, n), now, opened, other, (loop, gain) = own[:5]
    return PartialCheck(
        string=compiled.rig.strings[s].name,
        polarisation=p,
        partial=n + 1,
        frequency_Hz=now.imag / (2.0 * pi),
        growth_rate_per_s=now.real,
        open_Hz=opened.imag / (2.0 * pi),
        open_growth_per_s=opened.real,
        reversed_Hz=other.imag / (2.0 * pi),
        reversed_growth_per_s=other.real,
        loop=compiled.rig.loops[loop].name if loop >= 0 else "",
        loop_gain=abs(gain),
        loop_phase_deg=degrees(phase(gain)),
        share=_known(own.share),
        gain=_known(own.gain),
    )


def _known(value: float) -> float | None:
    return None if isnan(value) else value
