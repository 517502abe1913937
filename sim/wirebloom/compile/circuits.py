"""Coils of the rig → inductances, couplings, cores, noise."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from wirebloom.compile.poles import Pole
from wirebloom.errors import RigError
from wirebloom.kernels.layout import Coils, Cores, Floats
from wirebloom.physics.coil import mutual_inductance
from wirebloom.physics.thermal import thermal_noise
from wirebloom.rig import Rig
from wirebloom.rig.dimensions import INDUCTANCE
from wirebloom.rig.quantities import shown
from wirebloom.rig.sentences import sentence
from wirebloom.rig.wires import resistance_at


def circuits_of(rig: Rig) -> dict[str, int]:
    """Circuit of every head that belongs to a loop: 2a for the sense heads of loop a, 2a + 1 for its drive heads."""
    return {name: 2 * a + d for a, loop in enumerate(rig.loops) for d, names in enumerate((loop.sense, loop.drive)) for name in names}


def by_head(poles: Sequence[Pole]) -> dict[str, Pole]:
    """A pole of every head, for what depends on the head alone."""
    return {pole.head.name: pole for pole in reversed(poles)}


def winding_resistance(rig: Rig, heads: dict[str, Pole], names: Sequence[str]) -> float:
    """Coils in series at the temperature of the room, Ω."""
    return sum(resistance_at(heads[name].table.resistance, rig.room.temperature) for name in names)


def mutual_inductances(rig: Rig, poles: Sequence[Pole]) -> dict[frozenset[str], float]:
    """Mutual inductance of every pair of heads, H, for coils wound alike: the stated one, else that of two far dipoles.

    Heads that share no string stand at an unknown distance: nothing is assumed between them.
    """
    found: dict[frozenset[str], float] = {}
    for a, b in combinations(poles, 2):
        if a.string == b.string and a.head.name != b.head.name and a.table.dipole and b.table.dipole:
            apart = (a.place.position, a.place.offset), (b.place.position, b.place.offset)
            found[frozenset((a.head.name, b.head.name))] = mutual_inductance(a.table, apart[0], b.table, apart[1])
    found |= {frozenset(coupling.heads): coupling.mutual for coupling in rig.couplings if coupling.mutual is not None}
    return found


def check_couplings(rig: Rig, heads: dict[str, Pole]) -> None:
    """Refuse a stated coupling of more flux than a coil has: its energy would have no lowest value.

    Raises
    ------
    RigError
        If a mutual inductance reaches √(L₁ L₂).
    """
    for index, coupling in enumerate(rig.couplings):
        if coupling.mutual is None:
            continue
        one, other = (heads[name].table.inductance for name in coupling.heads)
        most = (one * other) ** 0.5
        if abs(coupling.mutual) >= most:
            what = f"within ± {shown(most, INDUCTANCE)} (√(L₁ L₂)), where all the flux of one coil passes the other"
            raise RigError(sentence(f"couplings[{index}].mutual", what, shown(coupling.mutual, INDUCTANCE)))


def inductance_matrix(rig: Rig, poles: Sequence[Pole]) -> Floats:
    """L⁰ of all circuits, (2A, 2A), H: coils in series, mutual terms with the sense of each winding.

    Raises
    ------
    RigError
        If a stated coupling is one that no two coils can have.
    """
    heads, where = by_head(poles), circuits_of(rig)
    check_couplings(rig, heads)
    sign = {head.name: -1.0 if head.reversed else 1.0 for head in rig.heads}
    matrix = np.zeros((2 * len(rig.loops),) * 2)
    for name, c in where.items():
        matrix[c, c] += heads[name].table.inductance
    for pair, mutual in mutual_inductances(rig, poles).items():
        a, b = sorted(pair)
        if a in where and b in where:
            matrix[where[a], where[b]] += sign[a] * sign[b] * mutual
            matrix[where[b], where[a]] += sign[a] * sign[b] * mutual
    _require_passive(matrix)
    return matrix


def _require_passive(matrix: Floats) -> None:
    """All couplings together must leave no current without an energy: each pair alone can be possible, and all of them not."""
    if matrix.size and np.linalg.eigvalsh(matrix)[0] <= 0.0:
        raise RigError(sentence("couplings", "such as coils can have all at once", "a set whose signs contradict one another"))


def windings(rig: Rig, poles: Sequence[Pole]) -> list[float]:
    """Resistance of every circuit's coils at the temperature of the room, (C,), Ω."""
    heads = by_head(poles)
    return [winding_resistance(rig, heads, names) for loop in rig.loops for names in (loop.sense, loop.drive)]


def lay_out_coils(rig: Rig, poles: Sequence[Pole], step: float) -> Coils:
    """Coils as the time loop takes them; noise as rms per step of `step` s: one-sided density S gives √(S/(2h)).

    The drive coils' own noise meets an output that is deaf to it, and is left out.
    """
    noise = thermal_noise(np.array(windings(rig, poles)), rig.room.temperature) / np.sqrt(2.0 * step)
    noise[1::2] = 0.0
    return Coils(inductance_matrix(rig, poles), stray_areas(rig, by_head(poles)), noise)


def stray_areas(rig: Rig, heads: dict[str, Pole]) -> Floats:
    """Flux of every circuit per stray flux density along the axes of its heads, (C,), m².

    By reciprocity that is a coil's moment per ampere, its core's included: what it would do to a far loop, that loop does to it.
    """
    areas = np.zeros(2 * len(rig.loops))
    signs = {head.name: -1.0 if head.reversed else 1.0 for head in rig.heads}
    for name, c in circuits_of(rig).items():
        areas[c] += signs[name] * heads[name].table.dipole
    return areas


def lay_out_cores(rig: Rig, poles: Sequence[Pole]) -> Cores:
    """Solid cores of all heads that belong to a loop, as the loop takes them; `poles` as it takes them too."""
    where = circuits_of(rig)
    solid = {name: pole.table.ladder for name, pole in by_head(poles).items() if name in where and np.any(pole.table.ladder)}
    number = {name: g for g, name in enumerate(solid)}
    ladder = np.array(list(solid.values())).reshape(-1, 2, 3)
    return Cores(
        circuit=np.array([where[name] for name in solid], dtype=np.int64),
        under=np.array([number.get(pole.head.name, -1) for pole in poles], dtype=np.int64),
        inductance=ladder[:, :, 0].copy(),
        resistance=ladder[:, :, 1].copy(),
        share=ladder[:, :, 2].copy(),
    )
