"""What to set in every loop: amplifier or stages, supply, parts between output and drive coils, polarity, fuse."""

from __future__ import annotations

from collections.abc import Iterator
from math import copysign, prod
from typing import TYPE_CHECKING

from wirebloom.rig import Amplifier, Buffer, Link, Loop, OpAmp, PowerChip
from wirebloom.rig.supplies import Sagging
from wirebloom.views.amounts import amount, figures
from wirebloom.views.tables import Table
from wirebloom.views.warm_rows import fuse_words

if TYPE_CHECKING:
    from wirebloom.take.measures import Measures
    from wirebloom.take.sheet import LoopSheet
    from wirebloom.take.take import Take
    from wirebloom.views.bench import Bench

Row = tuple[str, str, str]
TURNED = {"normal": "keeps the sign of what it hears", "reversed": "turns over what it hears"}
CARE = "Fuse the supply, keep the level down at the first switch-on, leave mains wiring to those who are licensed for it."


def loop_tables(take: Take, bench: Bench, measures: Measures) -> list[Table]:
    """Return a table of settings for every loop.

    Parameters
    ----------
    take : Take
    bench : Bench
    measures : Measures
        Of the take.
    """
    return [
        Table(f"What to set in loop {sheet.name}", ("part", "value", "what for"), tuple(_rows(take, sheet, bench, measures)), CARE)
        for sheet in take.sheet.loops
    ]


def _rows(take: Take, sheet: LoopSheet, bench: Bench, measures: Measures) -> Iterator[Row]:
    yield "sense heads, in series", ", ".join(sheet.sense), "to the amplifier's input"
    loop = bench.loop(sheet.name)
    if loop is None:
        yield "gain", figures(sheet.gain), "as the take has it"
    else:
        yield from _amplifying(loop)
    yield "polarity", f"{sheet.polarity}: {TURNED.get(sheet.polarity, '')}", _comes_to(take, sheet, bench)
    yield from _supply(sheet, bench, loop)
    swing = f"{figures(sheet.swing_low_V)} to {sheet.swing_high_V:+.3g} V about {figures(sheet.bias_V)} V"
    yield "output swing that results", swing, "what the drive coils get when the loop saturates"
    if loop is not None:
        yield from _output(loop)
    yield "drive heads, in series", ", ".join(sheet.drive), f"whole circuit {amount(sheet.drive_resistance_ohm, 'Ω')}"
    for drive in measures.heat:
        if drive.loop == sheet.name and not drive.resting:
            yield "fuse", fuse_words(drive), "protects the drive coils"


def _comes_to(take: Take, sheet: LoopSheet, bench: Bench) -> str:
    """Say what polarity, leads and magnets together do to a string that moves slowly towards the first sense head."""
    ways = [_way(take, bench, names[0]) for names in (sheet.sense, sheet.drive) if names]
    pulled = prod(ways) * (1.0 if sheet.polarity == "normal" else -1.0)
    if pulled == 0.0 or len(ways) < 2:
        return ""
    told = f"a string that moves towards {sheet.sense[0]} is {'pulled on' if pulled > 0.0 else 'let go'} by {sheet.drive[0]}"
    return f"with magnets and leads as listed, {told}"


def _way(take: Take, bench: Bench, name: str) -> float:
    """Return the sense of a head: 1 if a string moving towards it makes a positive voltage, −1 if a negative one, 0 without magnets."""
    factor = next((pole.force_factor_N_per_A for pole in take.sheet.poles if pole.head == name), 0.0)
    head = bench.head(name)
    return copysign(1.0, factor) * (-1.0 if head is not None and head.reversed else 1.0) if factor else 0.0


def _amplifying(loop: Loop) -> Iterator[Row]:
    if loop.input.resistor is not None:
        yield "load resistor", amount(loop.input.resistor, "Ω"), "across the sense coils"
    if loop.amplifier is not None:
        yield from _plain(loop.amplifier)
    for number, stage in enumerate(loop.stages, 1):
        what, value, why = _stage(stage)
        yield f"stage {number}: {what}", value, why


def _plain(amplifier: Amplifier) -> Iterator[Row]:
    yield "gain", f"{amplifier.gain:g}", "from input to output"
    width = f"{amount(amplifier.gain_bandwidth, 'Hz')} (full gain up to {amount(amplifier.gain_bandwidth / amplifier.gain, 'Hz')})"
    yield "gain times bandwidth", width, "at least; less makes faint notes lag"
    yield "slew rate", f"{figures(amplifier.slew / 1e6)} V/µs", "at least"
    yield "headroom", amount(amplifier.headroom, "V"), "what the output cannot reach of either rail"


def _stage(stage: OpAmp | PowerChip | Buffer | Link) -> Row:
    if isinstance(stage, Link):
        pot = "" if stage.share == 1.0 else f", a pot set to {100.0 * stage.share:g} %"
        return (
            "coupling",
            f"{amount(stage.capacitor, 'F')} and {amount(stage.resistor, 'Ω')}{pot}",
            "keeps offsets back, sets how much goes on",
        )
    kind = f"{stage.kind}, {stage.preset}" if stage.preset else stage.kind
    if isinstance(stage, OpAmp):
        return kind, _op_amp(stage), "its feedback sets the gain"
    if isinstance(stage, PowerChip):
        return kind, _power_chip(stage), "drives the coils"
    return kind, "gain 1", "more current than the stage before it can give"


def _op_amp(stage: OpAmp) -> str:
    parts = [stage.topology, f"feedback {amount(stage.feedback, 'Ω')}"]
    if stage.to_ground is not None:
        parts.append(f"{amount(stage.to_ground, 'Ω')} to the resting point")
    if stage.input_resistor:
        parts.append(f"input resistor {amount(stage.input_resistor, 'Ω')}")
    if stage.feedback_capacitor is not None:
        parts.append(f"{amount(stage.feedback_capacitor, 'F')} across the feedback")
    return ", ".join(parts)


def _power_chip(stage: PowerChip) -> str:
    least = stage.feedback / (stage.inner_resistor + stage.outer_resistor)
    if stage.bypass is None:
        return f"gain {figures(least)}, without a bypass capacitor"
    return (
        f"bypass {amount(stage.bypass, 'F')}: gain {figures(stage.feedback / stage.inner_resistor)}, {figures(least)} at the lowest notes"
    )


def _supply(sheet: LoopSheet, bench: Bench, loop: Loop | None) -> Iterator[Row]:
    named = None if loop is None or bench.rig is None else next((one for one in bench.rig.supplies if one.name == loop.supply), None)
    kind = "single; the output rests at half of it" if sheet.bias_V else "split: so much either side of ground"
    yield "supply", f"{figures(sheet.supply_V)} V{'' if named is None else f', {named.kind} {named.name}'}", kind
    if isinstance(named, Sagging) and named.decoupling is not None:
        yield "decoupling capacitor", amount(named.decoupling, "F"), "across the supply, next to the amplifier"


def _output(loop: Loop) -> Iterator[Row]:
    level = loop.output.level_resistor if loop.amplifier is None else loop.amplifier.level_resistor
    if loop.output.capacitor is not None:
        yield "output capacitor", amount(loop.output.capacitor, "F"), "keeps the resting voltage off the drive coil"
    if loop.phase.capacitor is not None:
        yield "phase capacitor", amount(loop.phase.capacitor, "F"), "in series with the drive coil: its current leads"
    if loop.phase.frequency is not None:
        yield "phase", f"{loop.phase.kind} at {amount(loop.phase.frequency, 'Hz')}", "idealised: no part does this"
    if level:
        yield "level resistor", amount(level, "Ω"), "in series with the drive coil: less drive, more clearance"
    if loop.output.snubber is not None:
        own = loop.output.snubber
        yield "snubber", f"{amount(own.resistor, 'Ω')} and {amount(own.capacitor, 'F')}", "from the output to ground, keeps the chip calm"
