"""Poles with what is known of them: tables moved to what was measured, and the band that is left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import exp, log
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.compile.poles import Pole, find_poles
from wirebloom.physics.band import Known, PoleBand, Reading, Slopes, Spread, condition, pole_slopes, surprise
from wirebloom.physics.head_table import REMANENCE
from wirebloom.physics.string import StringModes
from wirebloom.rig import MeasuredHead, Rig, RoundHead

Floats = NDArray[np.float64]
ODD = 3.0  # standard deviations off from which a reading is called odd
FAR = log(2.0)  # a shift of a logarithm beyond which per cent are hard to read
WEAK, STRONG = 0, 1


class Told(NamedTuple):
    """A reading, the string and the head it was taken at, and what it is called."""

    string: int
    head: str
    name: str
    reading: Reading


def known_poles(rig: Rig, modes: Sequence[StringModes]) -> tuple[Pole, ...]:
    """All poles of a rig as in :func:`wirebloom.compile.poles.find_poles`, at what was measured, with their bands.

    Raises
    ------
    RigError
        If a head stands under a string that no magnet moves.
    """
    poles = find_poles(rig, modes)
    told = [one for pole in poles for one in _readings(rig, pole)]
    asked = [slopes for pole in poles for slopes in _slopes(rig, pole)]
    after = condition(asked, [one.reading for one in told])
    before = condition([slopes for pole in poles for slopes in _slopes(rig, pole, unmeasured=True)])
    return tuple(_known(pole, told, _of(before, j), _of(after, j)) for j, pole in enumerate(poles))


def band_along(rig: Rig, poles: Sequence[Pole], pole: Pole, gaps: Floats) -> Floats | None:
    """Band of one of a rig's poles over the gap, the gap itself taken as set.

    Parameters
    ----------
    rig : Rig
    poles : sequence of Pole
        All that may have readings, of :func:`known_poles`.
    pole : Pole
    gaps : (G,) ndarray
        m.

    Returns
    -------
    (2, G, 2) ndarray or None
        Weak and strong end of force factor and pull (last axis) over their values; None where no band is known.
    """
    if pole.table.band.shape[1] == 0:
        return None
    string, spread = rig.strings[pole.string].name, replace(spread_of(pole.head), gap=0.0)
    names = (string, pole.head.name, string)
    asked = [slopes for gap in gaps for slopes in pole_slopes(pole.table, float(gap), pole.place.offset, names, spread)]
    known = condition(asked, [one.reading for other in poles for one in _readings(rig, other)])
    return np.exp(np.stack([known.low, known.high]).reshape(2, -1, 2))


def at_end(pole: Pole, end: int) -> Pole:
    """The pole at the weak (0) or strong (1) end of its band: force factor and pull both there."""
    return replace(pole, table=pole.table.scaled(pole.band.factor[end], pole.band.pull[end]))


def _of(known: Known, pole: int) -> Known:
    """Rows of one pole's force factor and pull."""
    rows = slice(2 * pole, 2 * pole + 2)
    return Known(known.shift[rows], known.low[rows], known.high[rows])


def spread_of(head: RoundHead | MeasuredHead, *, unmeasured: bool = False) -> Spread:
    """Standard deviations of a head as built; magnets whose field was measured are as sure as that."""
    if isinstance(head, MeasuredHead):
        return Spread(REMANENCE, 0.0, 0.0)
    tolerance, known = head.tolerance, head.measured
    remanence = tolerance.remanence
    if remanence is None:
        remanence = max((magnet.data.spread for magnet in head.magnets), default=REMANENCE)
    if known is not None and known.face_field is not None and not unmeasured:
        remanence = known.accuracy
    return Spread(remanence, tolerance.turns, tolerance.gap)


def _slopes(rig: Rig, pole: Pole, *, unmeasured: bool = False) -> tuple[Slopes, Slopes]:
    string, place = rig.strings[pole.string].name, pole.place
    spread = spread_of(pole.head, unmeasured=unmeasured)
    return pole_slopes(pole.table, place.gap, place.offset, (string, pole.head.name, string), spread)


def _readings(rig: Rig, pole: Pole) -> Iterator[Told]:
    """What was measured of the head over this very string; at a gap of its own, that gap has an error of its own."""
    head, string = pole.head, rig.strings[pole.string].name
    known = head.measured if isinstance(head, RoundHead) else None
    if known is None or (known.string or head.places[0].string) != string:
        return
    gap, setting = (pole.place.gap, string) if known.gap is None else (known.gap, "bench")
    slopes = pole_slopes(pole.table, gap, pole.place.offset, (string, head.name, setting), spread_of(head))
    computed = abs(pole.table.force_factor(gap, pole.place.offset)), pole.table.pull(gap, pole.place.offset)
    for name, value, own, here in zip(("coil reading", "weighed pull"), (known.force_factor, known.pull), slopes, computed, strict=True):
        if value is not None and here > 0.0:
            yield Told(pole.string, head.name, name, Reading(own, log(value / here), known.accuracy))


def _known(pole: Pole, told: Sequence[Told], before: Known, after: Known) -> Pole:
    """The pole moved to the likeliest values, with its band."""
    factor, pull = ((exp(low), exp(high)) for low, high in zip(after.low, after.high, strict=True))
    shift = exp(after.shift[0]), exp(after.shift[1])
    table = pole.table if shift == (1.0, 1.0) else pole.table.scaled(*shift)
    return replace(pole, table=table, band=PoleBand(factor, pull, _note(pole, told, before, after)))


def _note(pole: Pole, told: Sequence[Told], before: Known, after: Known) -> str:
    """What measured values did to this pole, in words."""
    who = _who(pole, told)
    if not who or not (after.low[0] - before.low[0] > 5e-3 or after.low[1] - before.low[1] > 5e-3 or after.shift.any()):
        return ""
    what = [
        f"{name} from {percent(before.low[q], before.high[q])} to {percent(after.low[q], after.high[q])}{_moved(after.shift[q])}"
        for q, name in enumerate(("the force factor", "the pull"))
    ]
    odd = [one.name for one in told if one.head == pole.head.name and surprise(one.reading) > ODD]
    verb = "is" if len(odd) == 1 else "are"
    warned = f"; the {' and the '.join(odd)} {verb} far from anything expected: measure again" if odd else ""
    return f"{who} {' and '.join(what)}{warned}"


def _who(pole: Pole, told: Sequence[Told]) -> str:
    """What was measured that tells of this pole, and its verb."""
    field = isinstance(pole.head, RoundHead) and pole.head.measured is not None and pole.head.measured.face_field is not None
    own = [*(["face field"] if field else []), *(one.name for one in told if one.head == pole.head.name)]
    others = list(dict.fromkeys(one.head for one in told if one.head != pole.head.name and one.string == pole.string))
    if own:
        return f"the {' and the '.join(own)} narrow{'s' if len(own) == 1 else ''}"
    return f"what was measured at {' and '.join(others)} narrows" if others else ""


def _moved(shift: float) -> str:
    if abs(shift) > FAR:
        return f" (moved to {exp(shift):.2g} times what was computed)"
    return f" (moved by {100.0 * (exp(shift) - 1.0):+.0f} %)" if abs(shift) > 5e-3 else ""


def percent(low: float, high: float) -> str:
    """Ends of a band, logarithms, in per cent of the value."""
    return f"{100.0 * (exp(low) - 1.0):+.0f}/{100.0 * (exp(high) - 1.0):+.0f} %"
