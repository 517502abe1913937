"""How sure a rig's heads are: bands, saturated iron, near neighbours, small motions. Only what matters for it, with figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import hypot, log, log2, pi

import numpy as np

from wirebloom.compile.bands import percent
from wirebloom.compile.poles import Pole
from wirebloom.physics.band import PoleBand
from wirebloom.physics.rest import BAND
from wirebloom.take.sheet import StringSheet

SATURATED_CORE = 1.4  # T: a core's linear permeability is too generous above it
NEIGHBOURS = 30e-3  # m: heads closer than this are warned of
# What a like neighbour with its magnet the same way up does to the force factor of the prototype head at 1 mm, the wire in the field
# of both at once (derived): with its ferrite disc of 8 mm, and with a strong disc of 15 mm.
DISTANCES = (12e-3, 15e-3, 20e-3, 25e-3, 30e-3)  # m
FERRITE = (0.12, 0.074, 0.030, 0.012, 0.005)
STRONG = (0.38, 0.155, 0.056, 0.028, 0.016)
NOTICED = 5.0  # cent: of a smaller shift a quarter is nothing
CLOSE = 1e-5  # m: over which the slope of a pull is read


def doubts(poles: Sequence[Pole], strings: Sequence[StringSheet]) -> Iterator[str]:
    """All of it, in words."""
    yield from _band(poles)
    yield from _saturated(poles)
    yield from _neighbours(poles)
    yield from _small_motions(poles, strings)


def possible_pull(poles: Sequence[Pole]) -> float:
    """How many times the computed pulls on a string the true ones may be."""
    return max((pole.band.pull[1] if pole.band.known else BAND for pole in poles), default=BAND)


def _band(poles: Sequence[Pole]) -> Iterator[str]:
    known = [pole.band for pole in poles if pole.band.known and pole.table.force_factor(pole.place.gap, pole.place.offset) != 0.0]
    if known:
        factor, pull = (
            percent(log(min(ends[0] for ends in part)), log(max(ends[1] for ends in part)))
            for part in ([band.factor for band in known], [band.pull for band in known])
        )
        yield (
            f"Force and voltage per head are known to about {factor}, pulls to {pull}: the wire's magnetism is the largest unknown. "
            f"Start times go with the square. {_narrower(known)}"
        )


def _narrower(known: Sequence[PoleBand]) -> str:
    if any(band.note for band in known):
        return "What was measured is in it; the worst known head sets it."
    return "One measured value (a weighed pull, a coil reading, a face field) narrows that."


def _saturated(poles: Sequence[Pole]) -> Iterator[str]:
    for pole in poles:
        field = pole.table.core_field
        if field is not None and field > SATURATED_CORE:  # of iron whose curve is not known
            yield (
                f"Iron of head {pole.head.name} would carry {field:.1f} T by its constant permeability: it saturates, and the true pull is "
                "weaker. State what steel it is."
            )


def _neighbours(poles: Sequence[Pole]) -> Iterator[str]:
    for a, b in combinations(poles, 2):
        apart = hypot(a.place.position - b.place.position, a.place.offset - b.place.offset)
        if a.string == b.string and apart < NEIGHBOURS:
            least, most = (100.0 * np.interp(apart, DISTANCES, values) for values in (FERRITE, STRONG))
            yield (
                f"Heads {a.head.name} and {b.head.name} stand {1e3 * apart:.0f} mm apart and are computed each alone. Closer than 30 mm "
                f"they change each other's force factor: here by about {least:.0f} % (ferrite) to {most:.0f} % (strong wide magnets)."
            )


def _small_motions(poles: Sequence[Pole], strings: Sequence[StringSheet]) -> Iterator[str]:
    for s, string in enumerate(strings):
        cents = sum(magnets_shift(pole, string) for pole in poles if pole.string == s)
        if abs(cents) > NOTICED and string.equilibrium != "latched":
            yield (
                f"The magnets lower {string.name} by {abs(cents):.0f} cent at small amplitude. True wire answers small motions a little "
                "less than the bias curve used here: the shift may be smaller, by a tenth to a quarter."
            )


def magnets_shift(pole: Pole, string: StringSheet) -> float:
    """Shift of partial 1 by how the static pull of a head grows towards it, −k w₁²/(2 m ω₁²), in cent."""
    gap, offset = pole.place.gap, pole.place.offset
    growth = (pole.table.pull(gap - CLOSE, offset) - pole.table.pull(gap + CLOSE, offset)) / (2.0 * CLOSE)
    stiffness = string.mass_kg * (2.0 * pi * float(string.frequency_Hz[0, 0])) ** 2
    share = 1.0 - growth * float(pole.weight[0]) ** 2 / stiffness
    return 600.0 * log2(share) if share > 0.0 else -float("inf")
