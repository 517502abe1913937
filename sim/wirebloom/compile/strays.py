"""Stated stray capacitances between heads → capacitors between the terminals of their coils."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wirebloom.circuit.parts import Capacitor, Coil, Part, Resistor
from wirebloom.compile.circuits import circuits_of
from wirebloom.rig import Rig


def terminals(parts: Sequence[Part]) -> dict[int, str]:
    """Node at the live end of every circuit's coils: before their winding's resistance."""
    inside = {part.a: part.circuit for part in parts if isinstance(part, Coil)}
    return {inside[part.b]: part.a for part in parts if isinstance(part, Resistor) and part.b in inside}


def stray_capacitors(rig: Rig, parts: Sequence[Part]) -> Iterator[Capacitor]:
    """A capacitor for every stated capacitance between heads of two circuits; its ends are the live ends of their coils.

    Parameters
    ----------
    rig : Rig
    parts : sequence of Part
        All loops.
    """
    where, live = circuits_of(rig), terminals(parts)
    for coupling in rig.couplings:
        one, other = (where.get(head, -1) for head in coupling.heads)
        if coupling.capacitance is not None and one != other and min(one, other) >= 0:
            name = f"stray capacitance {coupling.heads[0]} to {coupling.heads[1]}"
            yield Capacitor(name, live[one], live[other], coupling.capacitance, min(one, other))
