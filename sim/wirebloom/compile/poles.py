"""Heads under strings → poles with their tables, shape weights and faces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wirebloom.compile.strings import padded, padded_count
from wirebloom.errors import RigError
from wirebloom.folders import cache_folder
from wirebloom.kernels.layout import Contacts, Floats, Ints, Poles, Tables
from wirebloom.physics.band import UNKNOWN, PoleBand
from wirebloom.physics.head_table import HeadTable, head_table
from wirebloom.physics.shapes import point_weights
from wirebloom.physics.string import StringModes
from wirebloom.rig import MATERIALS, MeasuredHead, Place, Rig, RoundHead
from wirebloom.rig.magnetism import magnetism_of

AnyHead = RoundHead | MeasuredHead
STATIC, PER_AMPERE, PER_SQUARE = 0, 1, 2  # parts of a head's force, as HeadTable.load has them


@dataclass(frozen=True)
class Pole:
    """One string over one head.

    Attributes
    ----------
    string : int
        Index of the string.
    head : RoundHead or MeasuredHead
    place : Place
    table : HeadTable
    weight : (N_s,) ndarray
        Shape weights of the string's partials, averaged over what the head sees of it.
    band : PoleBand
        How far its table may be off.
    """

    string: int
    head: AnyHead
    place: Place
    table: HeadTable
    weight: Floats
    band: PoleBand = UNKNOWN


def aperture_weights(table: HeadTable, place: Place, modes: StringModes, part: int = PER_AMPERE) -> Floats:
    """φ̄_n = ∫ w(x) sin k_n x dx with the load density w of one part of the force at its stated gap: (N,).

    The same weights turn modal motion into the head's motion and its force into modal forces, so no energy is lost between.
    """
    node = np.clip((place.gap - table.gap_start) / table.gap_step, 0.0, table.gap.size - 1.001)
    low, share = int(node), node - int(node)
    load = (1.0 - share) * table.load[part, low] + share * table.load[part, low + 1]
    shapes = point_weights(place.position + table.load_x, modes)
    return np.asarray(load @ shapes / load.sum())


def find_poles(rig: Rig, modes: Sequence[StringModes]) -> tuple[Pole, ...]:
    """All poles of a rig, ordered by string, then as the heads are listed.

    Raises
    ------
    RigError
        If a head stands under a string that no magnet moves.
    """
    poles = []
    numbers = {string.name: s for s, string in enumerate(rig.strings)}
    for head in rig.heads:
        for place in head.places:
            s = numbers[place.string]
            string, material = rig.strings[s], MATERIALS[rig.strings[s].material]
            steel = magnetism_of(string)
            if steel is None:
                raise RigError(
                    f"heads.{head.name}.string must be a string that magnets pull; instead received {string.name}, "
                    f"which is {material.name} and not magnetic."
                )
            table = head_table(head, string.diameter, steel, place.offset, cache_folder(), core_diameter=string.core_diameter)
            poles.append(Pole(s, head, place, table, aperture_weights(table, place, modes[s])))
    return tuple(sorted(poles, key=lambda pole: pole.string))


def first_of(strings: Sequence[int], count: int) -> np.ndarray:
    """For rows sorted by string: where each string's rows begin, and the end, (S + 1,)."""
    return np.searchsorted(np.asarray(strings, dtype=np.int64), np.arange(count + 1)).astype(np.int64)


def lay_out_poles(poles: Sequence[Pole], circuit_of: dict[str, int], modes: Sequence[StringModes]) -> Poles:
    """Poles as the loop takes them; circuit_of maps head names to circuits, idle heads are missing from it."""
    count = padded_count(modes)
    return Poles(
        first=first_of([pole.string for pole in poles], len(modes)),
        table=np.arange(len(poles)),
        circuit=np.array([circuit_of.get(pole.head.name, -1) for pole in poles], dtype=np.int64),
        sign=np.array([-1.0 if pole.head.reversed else 1.0 for pole in poles]),
        gap=np.array([pole.place.gap for pole in poles]),
        offset=np.array([pole.place.offset for pole in poles]),
        weight=padded([pole.weight for pole in poles], count) if poles else np.zeros((0, count)),
    )


def lay_out_tables(poles: Sequence[Pole]) -> Tables:
    """Tables of all poles, padded to one size by repeating the last coefficients."""
    if not poles:
        return Tables(np.zeros((0, 4, 4, 4)), *(np.zeros(0) for _ in range(4)))
    tables = [pole.table for pole in poles]
    return Tables(
        coefficient=_same_size([table.coefficient for table in tables]),
        gap_start=np.array([table.gap_start for table in tables]),
        gap_step=np.array([table.gap_step for table in tables]),
        offset_start=np.array([table.offset_start for table in tables]),
        offset_step=np.array([table.offset_step for table in tables]),
    )


def _same_size(coefficients: Sequence[Floats]) -> Floats:
    """(T, G, Y, 4) from tables of different sizes, by repeating their last rows."""
    size = np.max([c.shape for c in coefficients], axis=0)
    padded_ones = [np.pad(c, [(0, most - have) for most, have in zip(size, c.shape, strict=True)], mode="edge") for c in coefficients]
    return np.ascontiguousarray(np.stack(padded_ones))


def faces(head: AnyHead) -> tuple[tuple[float, float], tuple[float, float]]:
    """Radii (m) and depths below the face plane (m) of the two steps of a head's face."""
    if isinstance(head, RoundHead):
        return (head.face_radius, head.flange_diameter / 2.0), (0.0, head.flange_recess)
    return (head.face_radius, head.face_radius), (0.0, 0.0)


def lay_out_contacts(poles: Sequence[Pole], modes: Sequence[StringModes], lead: Ints) -> Contacts:
    """One contact point a pole, over the middle of its face; lead (J,): which of the time loop's poles it is."""
    count = padded_count(modes)
    weights = [point_weights(pole.place.position, modes[pole.string]) for pole in poles]
    steps = [faces(pole.head) for pole in poles]
    laws = [pole.head.contact for pole in poles]
    return Contacts(
        first=first_of([pole.string for pole in poles], len(modes)),
        pole=lead,
        weight=padded(weights, count) if poles else np.zeros((0, count)),
        strength=np.array([w @ w / modes[pole.string].mass for w, pole in zip(weights, poles, strict=True)]),
        stiffness=np.array([law.stiffness for law in laws]),
        exponent=np.array([law.exponent for law in laws]),
        loss=np.array([law.loss for law in laws]),
        radius=np.array([radii for radii, _ in steps]).reshape(-1, 2),
        recess=np.array([depths for _, depths in steps]).reshape(-1, 2),
    )
