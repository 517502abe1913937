"""What a take says of its supplies, in words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from wirebloom.views.amounts import amount, figures

if TYPE_CHECKING:
    from wirebloom.take.measures import Measures
    from wirebloom.take.sheet import SupplySheet
    from wirebloom.take.supply import SupplyMeasures
    from wirebloom.take.take import Take

LONG = 1000.0  # h: beyond it a battery's age counts, not what is taken from it


def supply_rows(take: Take, measures: Measures) -> Iterator[tuple[str, str]]:
    """Yield name and words of every named supply."""
    sheets = {sheet.name: sheet for sheet in take.sheet.supplies}
    for supply in measures.supplies:
        yield f"supply {supply.name}", _supply(sheets[supply.name], supply)


def _supply(sheet: SupplySheet, found: SupplyMeasures) -> str:
    lower = f" and {amount(found.lower_supply_A, 'A')} from its lower half" if sheet.halves > 1.0 else ""
    parts = [f"{sheet.made_of}: {amount(found.supply_A, 'A')}{lower} on average, {amount(found.supply_peak_A, 'A')} in the peaks"]
    if sheet.resistance_ohm > 0.0:
        parts.append(f"{figures(found.least_supply_V)} V at the least, {figures(found.open_supply_V)} V without load")
    if found.battery_h is not None:
        parts.append(_lasting(found.battery_h))
    if found.drops_out:
        parts.append(_too_weak(sheet))
    return "; ".join(parts)


def _lasting(hours: float) -> str:
    if hours > LONG:
        return "lasts for months: its age decides"
    return f"lasts about {figures(hours, 2)} h at this level" if hours > 0.0 else "has nothing left to give at this level"


def _too_weak(sheet: SupplySheet) -> str:
    what = "the regulator drops out" if sheet.kind == "regulator" else "it counts as empty"
    return f"in the peaks the battery falls below {figures(sheet.needed_V)} V, where {what}"
