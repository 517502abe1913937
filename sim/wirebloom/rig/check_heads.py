"""What can stand against a head: its place, its neighbours, its parts, its winding."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from wirebloom.rig.check_strings import outside
from wirebloom.rig.finding import Finding
from wirebloom.rig.heads import Head, RoundHead
from wirebloom.rig.materials import MATERIALS
from wirebloom.rig.models import Rig
from wirebloom.rig.parts import Coil, Magnet, Plate
from wirebloom.rig.quantities import metres
from wirebloom.rig.wires import turns_that_fit

TOUCHING = 1e-9  # m: parts that share a face are not inside one another


class Stand(NamedTuple):
    """One place of one head, with the key of its entry."""

    key: str
    head: Head
    string: str
    position: float
    offset: float


class Ring(NamedTuple):
    """The section of a round part: radii, and depths below the face plane, m."""

    key: str
    inner: float
    outer: float
    top: float
    bottom: float


def head_findings(rig: Rig) -> Iterator[Finding]:
    """Yield what stands against any of the heads."""
    stands = [stand for index, head in enumerate(rig.heads) for stand in _stands(head, f"heads[{index}]")]
    for stand in stands:
        yield from _under(rig, stand)
    for one, other in combinations(stands, 2):
        yield from _collision(one, other)
    for index, head in enumerate(rig.heads):
        if isinstance(head, RoundHead):
            yield from _parts(head, f"heads[{index}]")
            yield from _magnets(head, f"heads[{index}]")
            yield from _winding(head.coil, f"heads[{index}].coil")
    yield from _pairs(rig)


def _stands(head: Head, key: str) -> list[Stand]:
    keys = [f"{key}.over[{index}]" for index in range(len(head.over))] or [key]
    return [Stand(k, head, place.string, place.position, place.offset) for k, place in zip(keys, head.places, strict=True)]


def _under(rig: Rig, stand: Stand) -> Iterator[Finding]:
    """A head must stand under its string, and the string must be of something magnetic."""
    string = next(one for one in rig.strings if one.name == stand.string)
    yield from outside(string, stand.position, f"{stand.key}.position")
    if not MATERIALS[string.material].magnetic:
        yield Finding(
            True,
            f"{stand.key}.string",
            "the name of a string of magnetic steel",
            f"'{string.name}', which is of {string.material}",
            f"A head can neither drive nor hear it: {string.material} is not magnetic, so the field has nothing to pull at.",
        )


def _collision(one: Stand, other: Stand) -> Iterator[Finding]:
    if one.string != other.string or one.head is other.head:
        return
    apart = math.hypot(one.position - other.position, one.offset - other.offset)
    least = one.head.outer_radius + other.head.outer_radius
    if apart < least - TOUCHING:
        what = f"at least {metres(least)}, their radii together, from head '{one.head.name}' under string '{one.string}'"
        yield Finding(True, f"{other.key}.position", what, f"{metres(other.position)}, which is {metres(apart)} away")


def _rings(head: RoundHead) -> list[Ring]:
    coil = head.coil
    rings = [Ring("core", 0.0, head.core.diameter / 2.0, 0.0, head.core.length)] if head.core else []
    rings.append(Ring("coil", coil.inner_diameter / 2.0, coil.outer_diameter / 2.0, coil.top, coil.bottom))
    for index, magnet in enumerate(head.magnets):
        rings.append(_ring(f"magnets[{index}]", magnet, magnet.height))
    for index, plate in enumerate(head.plates):
        rings.append(_ring(f"plates[{index}]", plate, plate.thickness))
    return rings


def _ring(key: str, part: Magnet | Plate, height: float) -> Ring:
    return Ring(key, part.inner_diameter / 2.0, part.diameter / 2.0, part.top, part.top + height)


def _parts(head: RoundHead, key: str) -> Iterator[Finding]:
    """No two parts in the same place, and the flange not above the face of the winding."""
    for one, other in combinations(_rings(head), 2):
        across = min(one.outer, other.outer) - max(one.inner, other.inner)
        along = min(one.bottom, other.bottom) - max(one.top, other.top)
        if min(across, along) > TOUCHING:
            yield Finding(True, f"{key}.{other.key}", f"clear of {one.key}", f"parts that share {metres(across)} by {metres(along)}")
    if head.flange_recess > head.coil.top + TOUCHING:
        what = f"at most coil.top ({metres(head.coil.top)}), as the winding lies under it"
        yield Finding(True, f"{key}.flange_recess", what, metres(head.flange_recess))


def _magnets(head: RoundHead, key: str) -> Iterator[Finding]:
    """Magnets that lie on one another in opposite directions push apart, and cancel each other where the string is."""
    for (i, one), (j, other) in combinations(enumerate(head.magnets), 2):
        across = min(one.diameter, other.diameter) - max(one.inner_diameter, other.inner_diameter)
        apart = max(one.top - other.top - other.height, other.top - one.top - one.height)
        if one.direction != other.direction and across > TOUCHING and abs(apart) <= TOUCHING:
            what = f"'{one.direction}', as that of magnets[{i}] on which it lies (like poles push apart)"
            yield Finding(True, f"{key}.magnets[{j}].direction", what, f"'{other.direction}'")


def _winding(coil: Coil, key: str) -> Iterator[Finding]:
    """Even the closest packing of the enamelled wire must have room for the turns."""
    width, height = (coil.outer_diameter - coil.inner_diameter) / 2.0, coil.bottom - coil.top
    most = turns_that_fit(coil.copper.overall_diameter, width, height)
    if most == 0:
        window = f"the window of {metres(width)} by {metres(height)}"
        received = f"{coil.wire}, which with its enamel is {metres(coil.copper.overall_diameter)} thick"
        yield Finding(True, f"{key}.wire", f"thin enough for {window}", received)
    elif coil.turns > most:
        enamelled = metres(coil.copper.overall_diameter)
        what = f"at most {most}, which is all that fits of {enamelled} enamelled wire into {metres(width)} by {metres(height)}"
        yield Finding(True, f"{key}.turns", what, str(coil.turns))


def _pairs(rig: Rig) -> Iterator[Finding]:
    seen: set[frozenset[str]] = set()
    for index, coupling in enumerate(rig.couplings):
        pair = frozenset(coupling.heads)
        if pair in seen:
            yield Finding(False, f"couplings[{index}].heads", "a pair that is not there yet", " and ".join(sorted(pair)))
        seen.add(pair)
