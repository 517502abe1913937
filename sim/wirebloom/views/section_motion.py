"""Where a string's section goes over a head, and all that it sweeps on its way."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.take.window import samples_of_last
from wirebloom.views.style import Array

if TYPE_CHECKING:
    from wirebloom.take.take import Take

LATE = 1.0  # s at the end: the motion that has settled
ROUND = 48  # corners of an outline
BOX = 32  # places in a row: a fraction of a period
SOME = 4096  # places that tell which way it swings
ACROSS = 1e-9  # of a way: less of it along the swing is none


class Orbit(NamedTuple):
    """The middle of a string's section over a head, (t, 2): sideways from the head's axis and height above its face, m."""

    late: Array
    whole: Array


def orbit(take: Take, pole: int) -> Orbit:
    """Return where the middle of the string's section goes, over the last second and over the whole take; empty without samples."""
    sheet = take.sheet.poles[pole]
    moved = take.signals.displacement[:, pole].astype(float)
    places = np.stack([sheet.offset_m + moved[:, 1], sheet.gap_m + diameter(take, pole) / 2.0 - moved[:, 0]], axis=1)
    return Orbit(places[samples_of_last(take, LATE)], places)


def diameter(take: Take, pole: int) -> float:
    """Return the diameter of the string over a head, m."""
    name = take.sheet.poles[pole].string
    return next(string.diameter_m for string in take.sheet.strings if string.name == name)


def swept(places: Array, size: float) -> Array:
    """Return the convex outline (k, 2) of all that a round section of this diameter sweeps with its middle at these places (t, 2).

    Examples
    --------
    >>> outline = swept(np.array([[0.0, 0.0], [0.0, 2.0]]), 1.0)
    >>> outline.min(axis=0).tolist(), outline.max(axis=0).tolist()
    ([-0.5, -0.5], [0.5, 2.5])
    """
    turn = 2.0 * np.pi * np.arange(ROUND) / ROUND
    outwards = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    kept = places[_outer(places, outwards)]
    ends = [_ends(kept @ way) for way in outwards[: ROUND // 2]]
    furthest = kept[[most for most, _ in ends] + [least for _, least in ends]]  # least along one way is furthest the other way
    found: Array = furthest + 0.5 * size * outwards
    return found


def _outer(places: Array, outwards: Array) -> NDArray[np.intp]:
    """Return the indices of what may be furthest out along one of these ways (k, 2).

    Told from boxes around a few places in a row each, along and across the way in which the string swings most. Along any way a box
    reaches its far corner at most; as it holds a place on each of its sides, it reaches one of the two corners beside that at least.
    """
    few = places[:: len(places) // SOME + 1]
    main = np.linalg.eigh((few - few.mean(axis=0)).T @ (few - few.mean(axis=0)))[1]
    turned = [places[:, 0] * main[0, axis] + places[:, 1] * main[1, axis] for axis in (0, 1)]
    first = np.arange(0, len(places), BOX)
    sides = [(np.minimum.reduceat(values, first), np.maximum.reduceat(values, first)) for values in turned]
    kept = np.zeros(len(first), dtype=bool)
    kept[[end // BOX for end in _ends(turned[0])]] = True  # of a swing to and fro on a line every place is as far out across it
    for way in outwards @ main:
        (near, far), (low, high) = (
            [part * side for side in pair[:: 1 if part > 0.0 else -1]] for part, pair in zip(way, sides, strict=True)
        )
        if abs(way[1]) > ACROSS:
            kept |= far + high >= np.maximum(far + low, near + high).max()
    return np.flatnonzero(np.repeat(kept, BOX)[: len(places)])


def _ends(along: Array) -> tuple[int, int]:
    return int(along.argmax()), int(along.argmin())


def least_gap(take: Take, pole: int) -> float | None:
    """Return the least gap of the whole take over a head, m, 0 where it touches; None without a record."""
    gaps = take.frames.least_gap[:, pole]
    return None if gaps.size == 0 or "least_gap" in take.lost else max(0.0, float(gaps.min()))
