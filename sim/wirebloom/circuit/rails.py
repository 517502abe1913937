"""Between which nodes a loop's stages work: its supply's rails, and the point about which they rest.

That point is ground on a split supply. On a single one it is half of it: as steady as the supply if nothing moves that, else two
equal resistors across it and a capacitor (their values are common practice, no source).
"""

from __future__ import annotations

from typing import NamedTuple

from wirebloom.circuit.parts import GROUND, Capacitor, Part, Resistor, Source
from wirebloom.circuit.supplies import rails as supply_rails
from wirebloom.rig import Loop
from wirebloom.rig.supplies import AnySupply, Ideal

DIVIDER = 10e3  # Ω each: a milliampere or less from a battery
STEADYING = 10e-6  # F: settles in 50 ms, firm above 3 Hz


class Rest(NamedTuple):
    """Nodes of the rails and of the resting point, and the whole voltage between the rails without load, V."""

    high: str
    low: str
    point: str
    volts: float


def loop_rails(loop: Loop, a: int, supply: AnySupply, supplies: tuple[AnySupply, ...] = ()) -> tuple[Rest, list[Part]]:
    """Rails of loop number a fed by a supply of the rig, and the parts of its resting point.

    Parameters
    ----------
    loop : Loop
    a : int
    supply : Battery, Regulator or Ideal
        The one that the loop names.
    supplies : tuple of these
        All there are.

    Returns
    -------
    rest : Rest
    parts : list of Part
        None on a split supply. The supply's own parts are `circuit.supplies.supply_parts`, once a supply.
    """
    own = supply_rails(supply, supplies)
    if supply.split:
        return Rest(own.high, own.low, GROUND, own.volts), []
    point, home = f"{loop.name}.half", 2 * a + 1
    rest = Rest(own.high, own.low, point, own.volts)
    if isinstance(supply, Ideal):
        return rest, [Source(f"{loop.name} half supply", point, GROUND, own.volts / 2.0, home)]
    return rest, [
        Resistor(f"{loop.name} upper divider resistor", own.high, point, DIVIDER, home),
        Resistor(f"{loop.name} lower divider resistor", point, own.low, DIVIDER, home),
        Capacitor(f"{loop.name} divider capacitor", point, own.low, STEADYING, home),
    ]
