"""How warm a head's coil gets, and what its own amplifier can do to it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from wirebloom.compile.circuits import swing
from wirebloom.physics.heat import ENAMEL, FILM, TOUCH, cooled_surface, current_for, steady_temperature
from wirebloom.rig import Loop, Rig, RoundHead
from wirebloom.rig.magnets import GRADES
from wirebloom.rig.wires import resistance_at
from wirebloom.take.head_parts import HeatSheet

POINTS = 80  # of the curve
BEYOND = 1.15  # of the current that good cooling bears at the enamel's limit: where the curve ends


def heat_sheet(rig: Rig, head: RoundHead, resistances: Mapping[str, float]) -> HeatSheet:
    """Temperatures and currents of a head's coil in still air.

    Parameters
    ----------
    rig : Rig
    head : RoundHead
    resistances : mapping
        Of this head's coil and of those in series with it, at 20 °C, Ω.

    Returns
    -------
    HeatSheet
    """
    coil, room, own = head.coil, rig.room.temperature, resistances[head.name]
    surface = cooled_surface(coil.inner_diameter, coil.outer_diameter, coil.bottom - coil.top)
    poor, good = FILM[0] * surface, FILM[1] * surface
    current = np.linspace(0.0, BEYOND * current_for(ENAMEL, own, good, room), POINTS)
    most = most_drive(rig, head, resistances)
    return HeatSheet(
        surface_m2=surface,
        film_W_per_m2_K=FILM,
        room_K=room,
        touch_K=TOUCH,
        enamel_K=ENAMEL,
        magnet_K=min((GRADES[one.grade].hottest + 273.15 for one in head.magnets if one.grade), default=None),
        touch_A=(current_for(TOUCH, own, poor, room), current_for(TOUCH, own, good, room)),
        enamel_A=(current_for(ENAMEL, own, poor, room), current_for(ENAMEL, own, good, room)),
        hot_ohm=resistance_at(own, TOUCH),
        current_A=current,
        hottest_K=np.array([steady_temperature(float(i), own, poor, room) for i in current]),
        coolest_K=np.array([steady_temperature(float(i), own, good, room) for i in current]),
        drive_A=most,
        drive_K=None if most is None else (steady_temperature(most, own, poor, room), steady_temperature(most, own, good, room)),
    )


def loop_of(rig: Rig, head: str) -> tuple[str, Loop | None]:
    """Role of a head and the loop that it belongs to."""
    for loop in rig.loops:
        for role, names in (("sense", loop.sense), ("drive", loop.drive)):
            if head in names:
                return role, loop
    return "idle", None


def most_drive(rig: Rig, head: RoundHead, resistances: Mapping[str, float]) -> float | None:
    """Most rms current that the loop can send through a drive head, A: a square wave over the whole swing, against resistances only."""
    role, loop = loop_of(rig, head.name)
    if role != "drive" or loop is None:
        return None
    low, high, _ = swing(loop.amplifier)
    coils = sum(resistance_at(resistances[name], rig.room.temperature) for name in loop.drive)
    whole = coils + loop.amplifier.output_resistance + loop.amplifier.level_resistor
    return float(max(high, -low, (high - low) / 2.0) / whole)
