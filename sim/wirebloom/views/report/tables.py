"""The tables of a take: its strings, heads, drives, supplies and partials, each value under a unit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from wirebloom.views.amounts import figures
from wirebloom.views.comparison import comparison_cells
from wirebloom.views.motion import pole_name
from wirebloom.views.tables import NOTHING, Table

if TYPE_CHECKING:
    from wirebloom.take.measures import Measures, StringMeasures
    from wirebloom.take.sheet import StringSheet
    from wirebloom.take.take import Take

DB_60 = math.log(1000.0)
MILLI = 1e3
Cells = Sequence[tuple[str, Callable[[Any], float | str | None]]]

SOUND: Cells = (
    ("outcome", lambda one: one.outcome or "too short to tell"),
    ("90 % of its level after, s", lambda one: one.start_time_s),
    ("growth, 1/s", lambda one: one.growth_rate_per_s),
    ("leading partial", lambda one: one.dominant_partial),
    ("its pitch, Hz", lambda one: None if one.pitch_Hz is None else f"{one.pitch_Hz:.2f}"),
    ("off its number × the tuned pitch, cent", lambda one: None if one.cents is None else signed(one.cents, 1)),
    ("level over the last second, dB/s", lambda one: None if one.level_slope_dB_per_s is None else signed(one.level_slope_dB_per_s, 2)),
    ("bridge force, mN", lambda one: MILLI * one.bridge_force_N),
    ("nearest head", lambda one: one.near.head),
    ("least gap to it, mm", lambda one: one.near.clearance_mm),
    ("first touch, s", lambda one: one.near.first_touch_s),
)
HEAD: Cells = (
    ("role", lambda one: one.role),
    ("from the bridge, mm", lambda one: MILLI * one.position_m),
    ("gap, string straight, mm", lambda one: MILLI * one.gap_m),
    ("gap at rest, mm", lambda one: MILLI * max(0.0, round(one.rest_gap_m, 9))),
    ("string off the axis, mm", lambda one: MILLI * one.offset_m),
    ("pull at rest, mN", lambda one: MILLI * one.pull_N),
    ("weak … strong end, mN", lambda one: _band(MILLI * one.pull_N, one.pull_low, one.pull_high)),
    ("force per current, mN/A", lambda one: MILLI * one.force_factor_N_per_A),
    ("weak … strong end, mN/A", lambda one: _band(MILLI * one.force_factor_N_per_A, one.factor_low, one.factor_high)),
    ("coil, Ω", lambda one: one.resistance_ohm),
    ("coil, mH", lambda one: MILLI * one.inductance_H),
)
DRIVE: Cells = (
    ("voltage, rms, V", lambda one: one.drive_rms_V),
    ("voltage, peak, V", lambda one: one.drive_peak_V),
    ("current, rms, mA", lambda one: MILLI * one.drive_rms_A),
    ("current, peak, mA", lambda one: MILLI * one.drive_peak_A),
    ("power into the drive circuit, mW", lambda one: MILLI * one.drive_power_W),
    ("heat in the coils, mW", lambda one: MILLI * one.coil_heat_W),
    ("at the limit, % of the time", lambda one: 100.0 * one.drive_saturated),
    ("from the upper rail, mA", lambda one: MILLI * one.supply_A),
    ("into the lower rail, mA", lambda one: MILLI * one.lower_supply_A),
    ("power from the supply, mW", lambda one: MILLI * one.supply_W),
)
SUPPLY: Cells = (
    ("from the upper rail, mA", lambda one: MILLI * one.supply_A),
    ("into the lower rail, mA", lambda one: MILLI * one.lower_supply_A),
    ("peak, mA", lambda one: MILLI * one.supply_peak_A),
    ("without load, V", lambda one: one.open_supply_V),
    ("least, V", lambda one: one.least_supply_V),
    ("a battery lasts, h", lambda one: one.battery_h),
)


def take_tables(take: Take, measures: Measures) -> list[Table]:
    """Return the tables of a take; those that would be empty are left out.

    Parameters
    ----------
    take : Take
    measures : Measures
        Of the same take.
    """
    poles = take.sheet.poles
    found = [
        upright("Strings, over the last second", [one.name for one in measures.strings], SOUND, measures.strings),
        upright("Heads", [pole_name(pole, poles) for pole in poles], HEAD, poles, "Band: what is not known of steel, magnets and gap."),
        upright("Drives, over the last second", [one.name for one in measures.loops], DRIVE, measures.loops),
        upright("Supplies, over the last second", [one.name for one in measures.supplies], SUPPLY, measures.supplies),
    ]
    return [table for table in found if len(table.columns) > 1]


def upright(title: str, names: Sequence[str], cells: Cells, found: Sequence[object], note: str = "") -> Table:
    """Return a table with a column for each thing and a row for each quantity of theirs."""
    rows = tuple((what, *(told(read(one)) for one in found)) for what, read in cells)
    return Table(title, ("", *names), rows, note)


def told(value: float | str | None) -> str:
    """Return a cell's text: a dash for what a take does not define."""
    if value is None or value == "":
        return NOTHING
    return value if isinstance(value, str) else figures(value).replace("-", "−")


def signed(value: float, digits: int) -> str:
    """Return a number with its sign, the minus a true one."""
    return f"{value:+.{digits}f}".replace("-", "−")


def _band(value: float, low: float, high: float) -> str | None:
    return None if low == high == 1.0 else f"{figures(value * low)} … {figures(value * high)}"


def partial_tables(take: Take, measures: Measures) -> Iterator[Table]:
    """Yield a table of the first partials of each string."""
    columns = ("partial", "alone, Hz", "alone falls by 60 dB in, s", "at the end, mN", "at the end, dB re 1 N")
    for sheet, string in zip(take.sheet.strings, measures.strings, strict=True):
        rows = tuple(_partial(sheet, string, n) for n in range(min(len(string.partial_force_N), sheet.frequency_Hz.shape[-1])))
        if rows:
            note = "Alone: towards the heads, without magnets and loop. At the end: bridge force, amplitude over the last half second."
            yield Table(f"Partials of {sheet.name}", columns, rows, note)


def _partial(sheet: StringSheet, string: StringMeasures, n: int) -> tuple[str, ...]:
    decay, force = float(sheet.decay_per_s[0, n]), string.partial_force_N[n]
    return (
        str(n + 1),
        f"{sheet.frequency_Hz[0, n]:.2f}",
        told(DB_60 / decay if decay > 0.0 else None),
        told(MILLI * force),
        told(f"{20.0 * math.log10(force):.1f}".replace("-", "−") if force > 0.0 else None),
    )


def beside_table(measures: Mapping[str, Measures]) -> Table:
    """Return a table with a column for each take and a row for each thing that decides between them."""
    cells = [comparison_cells(one) for one in measures.values()]
    rows = tuple((what, *(column[what] for column in cells)) for what in cells[0])
    return Table("What decides between them", ("", *measures), rows, "Of several strings the leading one is told of.")
