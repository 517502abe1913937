"""Supplies of the rig → what a reader of a take needs to know of them."""

from __future__ import annotations

from collections.abc import Iterator

from wirebloom.circuit.supplies import battery_of, dropout_of, feed
from wirebloom.physics.supply import short_circuit
from wirebloom.rig import Rig
from wirebloom.rig.dimensions import VOLTAGE
from wirebloom.rig.quantities import shown
from wirebloom.rig.supplies import AnySupply, Battery
from wirebloom.take.sheet import SupplySheet

# Common practice; the makers' own instructions and local codes go first.
DANGERS = {
    "lithium": "Lithium cells burn when shorted, crushed, overcharged or run down too far: fit a protection circuit, use their charger.",
    "lead": "A lead battery holds acid and gives off explosive gas while it is charged: charge it in moving air, away from sparks.",
}


def supply_sheets(rig: Rig) -> tuple[SupplySheet, ...]:
    """Facts of every supply that feeds a loop."""
    used = [loop.supply for loop in rig.loops]
    return tuple(supply_sheet(rig, supply) for supply in rig.supplies if supply.name in used)


def supply_sheet(rig: Rig, supply: AnySupply) -> SupplySheet:
    """Facts of one supply, with those of the battery that it is or that feeds it."""
    own, battery = feed(supply, rig.supplies), supply if isinstance(supply, Battery) else battery_of(supply, rig.supplies)
    return SupplySheet(
        name=supply.name,
        kind=supply.kind,
        made_of=made_of(supply, battery),
        loops=tuple(loop.name for loop in rig.loops if loop.supply == supply.name),
        halves=2.0 if supply.split else 1.0,
        open_V=own.volts,
        resistance_ohm=own.ohm,
        battery_V=battery.open_voltage if battery else 0.0,
        battery_ohm=battery.resistance if battery else 0.0,
        empty_V=battery.empty_voltage if battery else 0.0,
        needed_V=needed(supply, battery) if battery else 0.0,
        charge_C=(1.0 - battery.used) * battery.charge if battery else 0.0,
        rated_A=battery.rated if battery else 0.0,
        peukert=battery.cell.peukert if battery else 1.0,
    )


def needed(supply: AnySupply, battery: Battery) -> float:
    """Voltage under load that the battery of a supply must have, V: its own end, or what the regulator behind it needs."""
    return battery.end_voltage if supply is battery else max(battery.end_voltage, supply.open_voltage + dropout_of(supply))


def made_of(supply: AnySupply, battery: Battery | None) -> str:
    """What a supply is made of, in words."""
    halves = "2 × " if supply.split else ""
    if battery is None:
        return f"{halves}{supply.kind} of {shown(supply.open_voltage, VOLTAGE)}"
    rows = "" if battery.parallel == 1 else f", {battery.parallel} rows side by side"
    cells = f"{halves}{battery.count} × {battery.cells}{rows}"
    return cells if supply is battery else f"regulator of {shown(supply.open_voltage, VOLTAGE)} behind {cells}"


def supply_limits(rig: Rig) -> Iterator[str]:
    """What the model leaves out of the supplies that feed loops."""
    used = supply_sheets(rig)
    if any(sheet.battery_V for sheet in used):
        yield "A battery keeps its state for the length of a run; capacity is certain to 20 %, internal resistance to a factor 1.5."
    if any(sheet.kind == "regulator" for sheet in used):
        yield "A regulator holds its voltage behind its output resistance: drop-out in peaks alone, and any current limit, are left out."
    for name in _feeding_twice(rig):
        yield f"{name} feeds more than one supply or loop: behind a regulator they do not meet here, and its hours count for each alone."
    if any(sheet.resistance_ohm and len(sheet.loops) > 1 for sheet in used):
        yield "Loops on one supply meet in its internal resistance only: shared leads and ground wires, which can do worse, are left out."


def _feeding_twice(rig: Rig) -> list[str]:
    """Batteries that feed a regulator in use and something else besides."""
    used = [supply for supply in rig.supplies if any(loop.supply == supply.name for loop in rig.loops)]
    named = [battery.name for battery in (_battery(rig, supply.name) for supply in used) if battery is not None]
    return [name for name in dict.fromkeys(named) if named.count(name) > 1]


def supply_cautions(rig: Rig) -> Iterator[str]:
    """What can hurt in a battery: what it gives into a short, and what it is made of."""
    batteries = {one.name: one for one in (_battery(rig, loop.supply) for loop in rig.loops) if one is not None}
    for battery in batteries.values():
        amperes = round_amperes(short_circuit(battery.open_voltage, battery.resistance))
        yield f"{battery.name} can give some {amperes} into a short: put a fuse next to its terminal, and let nothing bridge its poles."
    for chemistry in dict.fromkeys(battery.cell.chemistry for battery in batteries.values()):
        if chemistry in DANGERS:
            yield DANGERS[chemistry]


def round_amperes(current: float) -> str:
    """A current as a rough figure.

    Examples
    --------
    >>> round_amperes(5.588)
    '6 A'
    """
    return f"{float(f'{current:.0e}'):g} A"


def _battery(rig: Rig, name: str | None) -> Battery | None:
    """Battery that a supply of this name is, or that feeds it."""
    supply = next((one for one in rig.supplies if one.name == name), None)
    if supply is None or isinstance(supply, Battery):
        return supply
    return battery_of(supply, rig.supplies)
