"""What can stand against a supply: a regulator without a battery that reaches it, an end voltage that is no use."""

from __future__ import annotations

from collections.abc import Iterator

from wirebloom.rig.dimensions import VOLTAGE
from wirebloom.rig.finding import Finding
from wirebloom.rig.models import Rig
from wirebloom.rig.quantities import shown
from wirebloom.rig.supplies import Battery, Regulator


def supply_findings(rig: Rig) -> Iterator[Finding]:
    """Yield what stands against any of the supplies."""
    for index, supply in enumerate(rig.supplies):
        key = f"supplies[{index}]"
        if isinstance(supply, Battery):
            yield from _plausible(supply, key)
        if isinstance(supply, Regulator) and supply.battery is not None:
            yield from _fed(rig, supply, supply.battery, key)


def _plausible(battery: Battery, key: str) -> Iterator[Finding]:
    """A measured voltage that such cells cannot have is a wrong count, more often than not."""
    most = battery.count * battery.cell.full * 1.15  # a charger's last minutes: estimate
    if battery.voltage is not None and battery.voltage > most:
        what = f"at most {shown(most, VOLTAGE)} for {battery.count} × {battery.cells} in series"
        yield Finding(True, f"{key}.voltage", what, shown(battery.voltage, VOLTAGE))


def _fed(rig: Rig, regulator: Regulator, name: str, key: str) -> Iterator[Finding]:
    source = next((one for one in rig.supplies if one.name == name), None)
    if not isinstance(source, Battery):
        yield Finding(False, f"{key}.battery", "the name of a battery", f"'{name}', which is none")
        return
    if source.split != regulator.split:
        yield Finding(False, f"{key}.split", f"{str(source.split).lower()}, as that of its battery", str(regulator.split).lower())
    full = source.count * source.cell.full if source.voltage is None else source.voltage
    if full < regulator.voltage + regulator.dropout:
        most = max(full - regulator.dropout, 0.0)
        what = f"at most {shown(most, VOLTAGE)}, what '{name}' leaves of {shown(full, VOLTAGE)} after the drop-out"
        yield Finding(True, f"{key}.voltage", what, shown(regulator.voltage, VOLTAGE))
