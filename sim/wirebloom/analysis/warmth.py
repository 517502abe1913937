"""How warm a head's coil gets, how soon, and what its own amplifier can do to it."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf

import numpy as np

from wirebloom.circuit.nodal import network_of
from wirebloom.circuit.steady import steady
from wirebloom.compile.coils import coil_sheet, magnet_limit
from wirebloom.compile.electronics import lay_out_stages, netlist_of
from wirebloom.physics.heat import FILM, TOUCH, cooled_surface, current_for, steady_temperature
from wirebloom.physics.warming import Feed, Lump, seconds_to
from wirebloom.rig import Loop, Rig, RoundHead
from wirebloom.rig.enamels import ENAMELS
from wirebloom.rig.wires import resistance_at
from wirebloom.take.head_parts import HeatSheet
from wirebloom.take.sheet import CoilSheet

POINTS = 80  # of the curve
BEYOND = 1.15  # of the current that good cooling bears at the enamel's limit: where the curve ends


def heat_sheet(rig: Rig, head: RoundHead, resistances: Mapping[str, float]) -> HeatSheet:
    """Temperatures and currents of a head's coil between little and good cooling.

    Parameters
    ----------
    rig : Rig
    head : RoundHead
    resistances : mapping
        Of all heads' coils at 20 °C, Ω.

    Returns
    -------
    HeatSheet

    Raises
    ------
    RigError
        If the electronics of the rig cannot be.
    """
    coil, enamel = head.coil, ENAMELS[head.coil.enamel]
    sheet = coil_sheet(head, "", resistances[head.name], rig.room.temperature)
    current = np.linspace(0.0, BEYOND * _currents(sheet, enamel)[1], POINTS)
    hottest, coolest = (np.array([_ends(sheet, float(i))[k] for i in current]) for k in (0, 1))
    most = most_drive(rig, head, resistances)
    return HeatSheet(
        surface_m2=cooled_surface(coil.inner_diameter, coil.outer_diameter, coil.bottom - coil.top),
        film_W_per_m2_K=FILM,
        room_K=sheet.room_K,
        touch_K=TOUCH,
        enamel_K=enamel,
        magnet_K=magnet_limit(head),
        touch_A=_currents(sheet, TOUCH),
        enamel_A=_currents(sheet, enamel),
        hot_ohm=resistance_at(sheet.resistance_ohm, TOUCH),
        current_A=current,
        hottest_K=hottest,
        coolest_K=coolest,
        drive_A=most,
        drive_K=None if most is None else _ends(sheet, most),
        enamel=coil.enamel,
        conductance_W_per_K=(sheet.conductance_low_W_per_K, sheet.conductance_high_W_per_K),
        capacity_J_per_K=(sheet.capacity_low_J_per_K, sheet.capacity_high_J_per_K),
        too_hot_s=None if most is None else _too_hot(sheet, most, min(enamel, magnet_limit(head) or inf)),
    )


def _currents(sheet: CoilSheet, temperature: float) -> tuple[float, float]:
    """Steady rms currents that lead to a temperature (K), with little and with good cooling, A."""
    ohm, room = sheet.resistance_ohm, sheet.room_K
    little, good = sheet.conductance_low_W_per_K, sheet.conductance_high_W_per_K
    return current_for(temperature, ohm, little, room), current_for(temperature, ohm, good, room)


def _ends(sheet: CoilSheet, current: float) -> tuple[float, float]:
    """Where a steady rms current (A) leads, with little and with good cooling, K."""
    ohm, room = sheet.resistance_ohm, sheet.room_K
    little, good = sheet.conductance_low_W_per_K, sheet.conductance_high_W_per_K
    return steady_temperature(current, ohm, little, room), steady_temperature(current, ohm, good, room)


def _too_hot(sheet: CoilSheet, current: float, limit: float) -> tuple[float, float]:
    """Earliest and latest time until a held current (A) warms the coil to a limit (K), s; infinite: never."""
    early = Lump(sheet.resistance_ohm, sheet.capacity_low_J_per_K, sheet.conductance_low_W_per_K, sheet.room_K)
    late = Lump(sheet.resistance_ohm, sheet.capacity_high_J_per_K, sheet.conductance_high_W_per_K, sheet.room_K)
    return seconds_to(early, Feed(current), limit), seconds_to(late, Feed(current), limit)


def loop_of(rig: Rig, head: str) -> tuple[str, Loop | None]:
    """Role of a head and the loop that it belongs to."""
    for loop in rig.loops:
        for role, names in (("sense", loop.sense), ("drive", loop.drive)):
            if head in names:
                return role, loop
    return "idle", None


def most_drive(rig: Rig, head: RoundHead, resistances: Mapping[str, float]) -> float | None:
    """Most rms current that the loop can send through a drive head, A; None for a head that is not driven.

    A square wave over the whole swing of the last stage, against resistances only, or its current limit if that is less.
    """
    role, loop = loop_of(rig, head.name)
    if role != "drive" or loop is None:
        return None
    a, circuits = rig.loops.index(loop), [names for one in rig.loops for names in (one.sense, one.drive)]
    network, parts = network_of(netlist_of(rig, [_winding(names, resistances, rig.room.temperature) for names in circuits]))
    stages = lay_out_stages(parts, 1.0)
    rest = steady(network, stages._replace(offset=np.zeros_like(stages.offset)))
    last, coil = np.nonzero(stages.loop == a)[0][-1], 2 * a + 1
    low, high = float(rest.low[last]), float(rest.high[last])
    whole = -float(network.voltage[coil, network.rate.shape[0] + coil]) + float(stages.bend[last])
    return min(max(high, -low, (high - low) / 2.0) / whole, float(stages.limit[last]))


def _winding(names: tuple[str, ...], resistances: Mapping[str, float], room: float) -> float:
    """Resistance of coils in series in a room of so many K, Ω."""
    return sum(resistance_at(resistances[name], room) for name in names)
