"""One head, three loads: the static pull, the force per ampere and that per square ampere each spread along the string in their own way.

A pole then goes to the time loop as up to three, each with one part of the co-energy and with that part's weights, so that every
part's force and flux linkage are still faces of one co-energy. The part per ampere comes first: its motion is the one that is
recorded and that meets the face.

Worth it only for the highest partials: 1 mm over a core of 5 mm the three weights part by 2 % at partial 40 of a 640 mm string, and
pitch, level and start of the shipped notes by 0.002 cent, 2e-5 and 1e-4, at 2 to 2.5 times the time of the loop.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from wirebloom.compile.poles import PER_AMPERE, PER_SQUARE, STATIC, Pole, aperture_weights
from wirebloom.kernels.layout import Ints
from wirebloom.physics.string import StringModes

ORDER = (PER_AMPERE, STATIC, PER_SQUARE)
ALIKE = 1e-9  # weights nearer to each other than this are one


class Parts(NamedTuple):
    """Poles as the time loop takes them, and where those of the rig are among them."""

    poles: tuple[Pole, ...]  # in the order of the rig's; a split one as three that follow each other
    lead: Ints  # (J,) that whose motion counts: the part per ampere, or the whole pole
    still: Ints  # (J,) that which carries the static pull


def whole(poles: Sequence[Pole]) -> Parts:
    """All poles as they are: the three parts of each share the load of the force per ampere."""
    every = np.arange(len(poles))
    return Parts(tuple(poles), every, every)


def split(poles: Sequence[Pole], modes: Sequence[StringModes]) -> Parts:
    """Every pole whose three loads differ as three poles, each with its own."""
    rows = [_parts(pole, modes[pole.string]) for pole in poles]
    counts = np.array([len(row) for row in rows], dtype=np.int64)
    lead = np.cumsum(counts) - counts
    return Parts(tuple(part for row in rows for part in row), lead, np.where(counts > 1, lead + ORDER.index(STATIC), lead))


def _parts(pole: Pole, modes: StringModes) -> tuple[Pole, ...]:
    weights = [aperture_weights(pole.table, pole.place, modes, part) for part in ORDER]
    if max(np.max(np.abs(weight - weights[0])) for weight in weights) < ALIKE:
        return (pole,)
    return tuple(_only(pole, part, weight) for part, weight in zip(ORDER, weights, strict=True))


def _only(pole: Pole, part: int, weight: np.ndarray) -> Pole:
    """The pole with one part of its co-energy."""
    kept = np.arange(pole.table.coefficient.shape[-1]) == part
    return replace(pole, table=replace(pole.table, coefficient=pole.table.coefficient * kept), weight=weight)
