"""Driving heads of the rig → how their coils keep cool."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from wirebloom.physics.cooling import warm_body
from wirebloom.rig import Rig, RoundHead
from wirebloom.rig.enamels import ENAMELS
from wirebloom.rig.magnets import GRADES
from wirebloom.take.sheet import CoilSheet, LoopSheet

ZERO_CELSIUS = 273.15
NOTICED = 10.0  # K: a smaller rise of a coil is of no interest
NO_GRADE = -1.0


def coil_sheets(rig: Rig, resistances: Mapping[str, float]) -> tuple[CoilSheet, ...]:
    """Facts of the coil of every driving head whose winding is known.

    Parameters
    ----------
    rig : Rig
    resistances : mapping
        Of the heads' coils at 20 °C, Ω.
    """
    heads = {head.name: head for head in rig.heads if isinstance(head, RoundHead)}
    driven = [(loop.name, heads[name]) for loop in rig.loops for name in loop.drive if name in heads]
    return tuple(coil_sheet(head, loop, resistances[head.name], rig.room.temperature) for loop, head in driven)


def coil_sheet(head: RoundHead, loop: str, resistance: float, room: float) -> CoilSheet:
    """Facts of one coil of so many Ω at 20 °C, in a room of so many K."""
    body = warm_body(head)
    return CoilSheet(
        head=head.name,
        loop=loop,
        resistance_ohm=resistance,
        conductance_low_W_per_K=body.conductance[0],
        conductance_high_W_per_K=body.conductance[1],
        capacity_low_J_per_K=body.capacity[0],
        capacity_high_J_per_K=body.capacity[1],
        room_K=room,
        enamel=head.coil.enamel,
        enamel_K=ENAMELS[head.coil.enamel],
        magnet_K=magnet_limit(head) or (NO_GRADE if head.magnets else 0.0),
    )


def heat_limits(coils: Sequence[CoilSheet], loops: Sequence[LoopSheet]) -> Iterator[str]:
    """What the model leaves out of the heat in drive coils, if an amplifier can warm one of them at all."""
    most = {loop.name: max(loop.swing_high_V, -loop.swing_low_V) / loop.drive_resistance_ohm for loop in loops}
    if any(most[coil.loop] ** 2 * coil.resistance_ohm > NOTICED * coil.conductance_low_W_per_K for coil in coils):
        yield (
            "A run keeps its copper as cool as the room. How warm a coil gets is that of a head by itself: a closed case or warm "
            "neighbours add to it, and the inside of a deep winding is warmer."
        )


def magnet_limit(head: RoundHead) -> float | None:
    """What the magnets of a head bear in service, K; None without any, or where no grade says so."""
    return min((GRADES[one.grade].hottest + ZERO_CELSIUS for one in head.magnets if one.grade), default=None)
