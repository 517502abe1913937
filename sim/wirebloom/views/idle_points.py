"""Test points of a loop that is switched on while its strings are held.

Bounds where the take knows none are the usual spread of parts (common practice, no source); what a preset's devices draw at rest spreads
as their data sheets say.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot
from typing import TYPE_CHECKING

from wirebloom.rig import Link, Loop
from wirebloom.rig.dimensions import CURRENT
from wirebloom.rig.presets import PRESETS
from wirebloom.rig.quantities import quantity
from wirebloom.views.amounts import amount, figures
from wirebloom.views.head_words import span
from wirebloom.views.points import DRAWN, FAINT, SLIP, VOLTS, Point, at_most, by_voltmeter

if TYPE_CHECKING:
    from wirebloom.take.sheet import LoopSheet
    from wirebloom.take.take import Take
    from wirebloom.views.bench import Bench

DRAW = 0.5, 2.0  # of a quiescent current that nobody's data sheet bounds
NOISY = 2.0  # times the idle noise expected
REGULATED = 0.05  # of a supply without load


def idle_points(take: Take, sheet: LoopSheet, bench: Bench) -> Iterator[Point]:
    """Yield what a loop shows while its strings are held."""
    loop, at = bench.loop(sheet.name), f"{sheet.name}: "
    volts, low, high = _supply(take, sheet)
    yield Point("supply, DC", f"{at}across the amplifier's supply pins", f"{figures(volts)} V", span(low, high, "V"), "voltmeter, DC", SLIP)
    own = f"{at}supply's lead to this loop alone"
    yield Point("supply current", own, amount(sheet.quiescent_A, "A"), span(*quiescent(loop, sheet), "A"), DRAWN, SLIP)
    yield _resting(sheet, at)
    if loop is not None and (loop.output.capacitor is not None or loop.phase.capacitor is not None):
        yield Point(
            "drive coils, DC",
            f"{at}across the drive coils",
            "0 V",
            "± 20 mV",
            "voltmeter, DC, a minute after switching on",
            "coils warm up",
        )
    yield from _noise(sheet, at)


def _resting(sheet: LoopSheet, at: str) -> Point:
    """Return the output's direct voltage, at rest or where an offset holds it."""
    rest, where = VOLTS * sheet.supply_V, f"{at}amplifier's output to ground"
    if sheet.gain_left == 0.0:
        ends = f"{figures(sheet.bias_V + sheet.swing_low_V)} or {figures(sheet.bias_V + sheet.swing_high_V)} V"
        return Point("output, DC", where, f"{ends}: its input offset holds it there", "either", "voltmeter, DC", SLIP)
    bounds = f"{figures(sheet.bias_V - rest)} to {figures(sheet.bias_V + rest)} V"
    return Point("output, DC", where, f"{figures(sheet.bias_V)} V", bounds, "voltmeter, DC", SLIP)


def _supply(take: Take, sheet: LoopSheet) -> tuple[float, float, float]:
    """Return voltage without load, and between what it may lie: a battery's from empty to fresh."""
    own = next((one for one in take.sheet.supplies if sheet.name in one.loops), None)
    if own is None:
        return sheet.supply_V, (1.0 - VOLTS) * sheet.supply_V, (1.0 + VOLTS) * sheet.supply_V
    low = own.empty_V if own.kind == "battery" else (1.0 - REGULATED) * own.open_V
    return own.open_V, low, (1.0 + REGULATED) * own.open_V


def quiescent(loop: Loop | None, sheet: LoopSheet) -> tuple[float, float]:
    """Return between what a loop's current without a signal may lie, A: by its presets' data sheets, else half to twice."""
    stages = () if loop is None else [stage for stage in loop.stages if not isinstance(stage, Link)]
    ends = [PRESETS[stage.preset].keys["quiescent_current"] for stage in stages if stage.preset]
    if not ends or len(ends) < len(stages):
        return DRAW[0] * sheet.quiescent_A, DRAW[1] * sheet.quiescent_A
    low, high = (sum(quantity(getattr(end, side), CURRENT) for end in ends) for side in ("low", "high"))
    return min(low, sheet.quiescent_A), max(high, sheet.quiescent_A)


def _noise(sheet: LoopSheet, at: str) -> Iterator[Point]:
    """Yield noise and hum at output and input; nothing where nobody worked them out."""
    if sheet.idle_noise_V == 0.0:
        return
    most = max(sheet.swing_high_V, -sheet.swing_low_V)
    output = min(hypot(sheet.idle_noise_V, sheet.idle_hum_V), most)
    heard = hypot(sheet.idle_noise_V, sheet.idle_hum_V) / sheet.gain
    yield Point(
        "output, AC",
        f"{at}amplifier's output to ground",
        amount(output, "V", 2),
        at_most(min(NOISY * output, most), "V"),
        by_voltmeter(output),
        SLIP,
    )
    more = "more is hum: turn the heads, twist the leads, move transformers away"
    told = amount(heard, "V", 2) if heard >= FAINT else f"less than {amount(FAINT, 'V')}"
    yield Point("input, AC", f"{at}amplifier's input to ground", told, at_most(max(NOISY * heard, FAINT), "V"), by_voltmeter(heard), more)
