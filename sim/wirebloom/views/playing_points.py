"""Test points of a loop while its strings play, by the last second of a take.

Bounds where the take knows none are the usual spread of parts (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.rig import Loop, OpAmp
from wirebloom.take.window import samples_of_last
from wirebloom.views.amounts import amount, figures
from wirebloom.views.head_words import span
from wirebloom.views.points import DRAWN, SLIP, VOLTS, Point, about, by_voltmeter
from wirebloom.views.warm_words import temperatures

if TYPE_CHECKING:
    from wirebloom.take.electrics import LoopMeasures
    from wirebloom.take.measures import Measures
    from wirebloom.take.sheet import LoopSheet
    from wirebloom.take.take import Take
    from wirebloom.views.bench import Bench

AMPERES = 0.2  # of a current that several parts set
UNKNOWN = 0.5, 2.0  # of a level of which no band is known
SATURATED = 0.5  # of the time at a limit: then the supply sets the level
LATE = 1.0  # s at the end
LOUD = "can be loud, and its coils warm: level down first, hands off the string"


def playing_points(take: Take, loop: LoopMeasures, bench: Bench, measures: Measures) -> Iterator[Point]:
    """Yield what a loop shows while its strings play as in the last second; nothing of one that plays none."""
    mine = {pole.string for pole in take.sheet.poles if pole.loop == loop.name}
    driven = [s for s, string in enumerate(take.sheet.strings) if string.name in mine]
    if not any(measures.strings[s].starts for s in driven):
        return
    a = [sheet.name for sheet in take.sheet.loops].index(loop.name)
    bounds, own, at = level_band(take, measures, driven), bench.loop(loop.name), f"{loop.name}: "
    yield from _pitches(measures, driven)
    if "sense_voltage" not in take.lost:
        yield _heard(take, a, own, bounds)
    held = loop.drive_saturated > SATURATED
    given = (1.0 - VOLTS, 1.0 + VOLTS) if held else bounds
    volts = loop.drive_rms_V
    yield Point("output, AC", f"{at}amplifier's output to ground", amount(volts, "V"), _within(volts, given), by_voltmeter(volts), SLIP)
    yield from _resistor(own, at, loop.drive_rms_A, given)
    yield from _supplied(take, loop, measures)
    yield from _warm(measures, loop.name, at)


def _heard(take: Take, a: int, loop: Loop | None, bounds: tuple[float, float]) -> Point:
    """Return what the loop hears: at its input, or behind an inverting stage, whose input stays still."""
    sheet, volts = take.sheet.loops[a], sensed(take, a)
    where, amplified = f"{sheet.name}: amplifier's input to ground", inverted(loop, take, sheet)
    if amplified is not None:
        where, volts = f"{sheet.name}: output of stage 1, whose input stays still", min(amplified * volts, sheet.supply_V)
    return Point("input, AC", where, amount(volts, "V"), _within(volts, bounds), by_voltmeter(volts), LOUD)


def _within(volts: float, bounds: tuple[float, float]) -> str:
    return span(bounds[0] * volts, bounds[1] * volts, "V")


def _pitches(measures: Measures, driven: list[int]) -> Iterator[Point]:
    for string in (measures.strings[s] for s in driven):
        if string.starts and string.pitch_Hz is not None:
            near = "± 10 cents"
            yield Point(
                f"pitch, partial {string.dominant_partial}", string.name, f"{string.pitch_Hz:.1f} Hz", near, "tuner beside the string", LOUD
            )


def sensed(take: Take, a: int) -> float:
    """Return the rms voltage at a loop's input over the last second, V."""
    late = take.signals.sense_voltage[samples_of_last(take, LATE), a].astype(float)
    return float(np.std(late)) if late.size else 0.0


def inverted(loop: Loop | None, take: Take, sheet: LoopSheet) -> float | None:
    """Return how much of it an inverting first stage makes of the voltage over its sense coils' resistance; None for any other."""
    first = loop.stages[0] if loop is not None and loop.stages else None
    if not isinstance(first, OpAmp) or first.topology != "inverting":
        return None
    coils = {pole.head: pole.resistance_ohm for pole in take.sheet.poles if pole.head in sheet.sense}
    return first.feedback / sum(coils.values())


def level_band(take: Take, measures: Measures, driven: list[int]) -> tuple[float, float]:
    """Return from where to where the voltage that a loop hears may lie over the one of the take.

    At either end of the band the string moves as its bridge force says, and its head hears that with the force factor of that end:
    V = K u̇. Without a band, half to twice.
    """
    own = max(driven, key=lambda s: measures.strings[s].bridge_force_N)
    force, sheet = measures.strings[own].bridge_force_N, take.sheet.strings[own].name
    pole = next((one for one in take.sheet.poles if one.string == sheet and one.role == "sense"), None)
    if take.band is None or pole is None or force <= 0.0:
        return UNKNOWN
    ends = zip((pole.factor_low, pole.factor_high), take.band.ends.values(), strict=True)
    found = [factor * end.strings[own].bridge_force_N / force for factor, end in ends]
    return min(1.0 - VOLTS, *found), max(1.0 + VOLTS, *found)


def _resistor(loop: Loop | None, at: str, amperes: float, bounds: tuple[float, float]) -> Iterator[Point]:
    """Yield the voltage over the level resistor, which tells the drive's current without opening its circuit."""
    ohm = 0.0 if loop is None else loop.output.level_resistor if loop.amplifier is None else loop.amplifier.level_resistor
    if ohm > 0.0:
        volts = ohm * amperes
        told = f"{amount(volts, 'V')}: {amount(amperes, 'A')} rms in the drive coils"
        yield Point(
            "level resistor, AC",
            f"{at}across the level resistor",
            told,
            _within(volts, bounds),
            by_voltmeter(volts),
            "the resistor may be hot",
        )
    else:
        yield Point(
            "drive current",
            f"{at}in the drive coils' lead",
            amount(amperes, "A"),
            about(amperes, AMPERES, "A"),
            "ammeter, AC, true rms",
            LOUD,
        )


def _supplied(take: Take, loop: LoopMeasures, measures: Measures) -> Iterator[Point]:
    """Yield the supply's current and voltage under load."""
    own = next((one for one in take.sheet.supplies if loop.name in one.loops), None)
    found = None if own is None else next((one for one in measures.supplies if one.name == own.name), None)
    drawn, where = (loop.supply_A, loop.name) if found is None else (found.supply_A, f"all of {found.name}")
    yield Point("supply current", f"{where}: supply's lead", amount(drawn, "A"), about(drawn, AMPERES, "A"), f"{DRAWN}; DC", SLIP)
    if found is not None and found.least_supply_V < found.open_supply_V:
        told = f"{figures(found.least_supply_V)} V in the dips"
        yield Point(
            "supply, DC", f"{loop.name}: across the amplifier's supply pins", told, at_least(found.least_supply_V), "voltmeter, DC", SLIP
        )


def at_least(volts: float) -> str:
    """Return a lower bound of a supply."""
    return f"{figures((1.0 - VOLTS) * volts)} V or more"


def _warm(measures: Measures, name: str, at: str) -> Iterator[Point]:
    for drive in measures.heat:
        for coil in drive.coils if drive.loop == name else ():
            yield Point(
                "temperature", f"{at}coil of {coil.head}", temperatures(*coil.steady_K), temperatures(coil.room_K, coil.limit_K),
                "thermometer on the winding, half an hour on", "may burn skin and enamel: stop it if it smells",
            )  # fmt: skip
