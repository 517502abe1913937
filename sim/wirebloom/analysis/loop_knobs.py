"""What a maker can change on a loop: gain or feedback, resistors, capacitors, supply, and which way round the drive coils are connected."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf
from typing import TYPE_CHECKING

from wirebloom.analysis.knobs import Knob, capacitor, grid, resistor, two_figures
from wirebloom.rig.dimensions import CAPACITANCE, RESISTANCE, VOLTAGE
from wirebloom.rig.loops import Amplifier, Loop
from wirebloom.rig.stages import AnyStage, Link, OpAmp, PowerChip

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

LOUDER = 30.0  # times the gain
LEVEL_TIMES = 60.0  # times the whole resistance of the drive circuit
TIMES = 30.0  # a capacitor
LOADED = 1e5  # times less than the input's resistance
SUPPLY_TIMES = 2.5
LEAST_SUPPLY, MOST_SUPPLY = 3.0, 30.0  # V
BYPASS = 10e-6  # F: what is put across the outer resistor of a power chip that has none
SWITCHED = 0.3  # size of swapping two wires: it is quickly done


def loop_knobs(compiled: Compiled, loop: Loop) -> Iterator[Knob]:
    """All of one loop."""
    key = f"loops.{loop.name}"
    if loop.amplifier is not None:
        yield _gain(f"gain of {loop.name}", f"{key}.amplifier.gain", loop.amplifier.gain)
    for k, stage in enumerate(loop.stages):
        yield from _stage(f"{key}.stages.{k}", loop.name, k, stage)
    yield from _load(loop)
    yield _level(compiled, loop)
    for name, path, value in _capacitors(loop):
        yield _capacitor(f"{name} of {loop.name}", f"{key}.{path}", value)
    yield from _supply(compiled, loop)
    yield _polarity(compiled, loop)


def _gain(name: str, path: str, value: float) -> Knob:
    return Knob(name, "gain", value, 1.0, 1e6, LOUDER, 0.2, lambda v: (f"{path}={v:.6g}",), two_figures)


def _stage(path: str, loop: str, k: int, stage: AnyStage) -> Iterator[Knob]:
    name = f"stage {k + 1} of {loop}"
    if isinstance(stage, OpAmp):
        yield _resistor(f"feedback of {name}", f"{path}.feedback", stage.feedback)
    elif isinstance(stage, PowerChip) and stage.bypass is not None:
        yield _capacitor(f"bypass of {name}", f"{path}.bypass", stage.bypass)
    elif isinstance(stage, PowerChip):
        yield _switch(f"bypass of {name}", "added bypass", (f"{path}.bypass={farads(BYPASS)}",))
    elif isinstance(stage, Link) and stage.share < 1.0:
        yield Knob(f"pot of {name}", "gain", stage.share, 0.001, 1.0, LOUDER, 0.2, lambda v: (f"{path}.share={v:.6g}",), two_figures)


def _resistor(name: str, path: str, value: float) -> Knob:
    return Knob(name, "feedback", value, 10.0, 100e6, LOUDER, 0.2, lambda v: (f"{path}={ohms(v)}",), resistor, RESISTANCE)


def _load(loop: Loop) -> Iterator[Knob]:
    """Resistance across the sense coils: what their own ring with the cable's capacitance is damped by."""
    plain, path = loop.amplifier, "input.resistor" if loop.amplifier is None else "amplifier.input_resistance"
    value = loop.input.resistor if plain is None else plain.input_resistance
    if value is not None:
        key = f"loops.{loop.name}.{path}"
        name = f"load on the sense coils of {loop.name}"
        yield Knob(name, "load", value, 100.0, value, LOADED, 0.0, lambda v: (f"{key}={ohms(v)}",), resistor, RESISTANCE)


def _level(compiled: Compiled, loop: Loop) -> Knob:
    """Level resistor: what counts is the whole resistance of the drive circuit."""
    plain = loop.amplifier
    path, value = ("amplifier", plain.level_resistor) if plain is not None else ("output", loop.output.level_resistor)
    sheet = next(own for own in compiled.sheet.loops if own.name == loop.name)
    beside = max(sheet.drive_resistance_ohm - value, 0.1)

    def overrides(ohm: float) -> tuple[str, ...]:
        return (f"loops.{loop.name}.{path}.level_resistor={ohms(max(ohm, 0.0))}",)

    name = f"level resistor of {loop.name}"
    return Knob(name, "level resistor", value, 0.0, 100e3, LEVEL_TIMES, 0.1, overrides, resistor, RESISTANCE, beside)


def _capacitors(loop: Loop) -> Iterator[tuple[str, str, float]]:
    if loop.phase.capacitor is not None:
        yield "series capacitor", "phase.capacitor", loop.phase.capacitor
    if loop.output.capacitor is not None:
        yield "output capacitor", "output.capacitor", loop.output.capacitor


def _capacitor(name: str, path: str, value: float) -> Knob:
    return Knob(name, "capacitor", value, 10e-9, 0.1, TIMES, 0.12, lambda v: (f"{path}={farads(v)}",), capacitor, CAPACITANCE)


def _supply(compiled: Compiled, loop: Loop) -> Iterator[Knob]:
    if loop.amplifier is not None and loop.amplifier.supply is not None:
        name, path, value = f"supply of {loop.name}", f"loops.{loop.name}.amplifier.supply", loop.amplifier.supply
    else:
        own = next((one for one in compiled.rig.supplies if one.name == loop.supply and one.kind in ("ideal", "regulator")), None)
        if own is None:
            return
        name, path, value = f"supply {own.name}", f"supplies.{own.name}.voltage", own.open_voltage
    low, high = min(value, LEAST_SUPPLY), max(value, MOST_SUPPLY)
    yield Knob(name, "supply", value, low, high, SUPPLY_TIMES, 0.12, lambda v: (f"{path}={v:.6g} V",), grid(0.5), VOLTAGE)


def _polarity(compiled: Compiled, loop: Loop) -> Knob:
    """Drive coils connected the other way round: the amplifier's key, or every drive head's own where it has stages."""
    plain = loop.amplifier
    name = f"polarity of {loop.name}"
    return _switch(name, "polarity", _plain_turned(loop, plain) if plain is not None else _heads_turned(compiled, loop.drive), SWITCHED)


def _plain_turned(loop: Loop, amplifier: Amplifier) -> tuple[str, ...]:
    other = "normal" if amplifier.polarity == "reversed" else "reversed"
    return (f"loops.{loop.name}.amplifier.polarity={other}",)


def _heads_turned(compiled: Compiled, names: Sequence[str]) -> tuple[str, ...]:
    turned = {head.name: not head.reversed for head in compiled.rig.heads}
    return tuple(f"heads.{name}.reversed={str(turned[name]).lower()}" for name in names)


def _switch(name: str, kind: str, overrides: tuple[str, ...], size: float = SWITCHED) -> Knob:
    """One that is as it is (0) or the other way (1); size: as much as that counts for."""
    return Knob(name, kind, 0.0, 0.0, 1.0, 1.0 / size, 0.0, lambda v: overrides if v > 0.5 else (), lambda v, up: 1.0, beside=inf)


def ohms(value: float) -> str:
    """A resistance as an override has it."""
    return f"{value:.6g} ohm"


def farads(value: float) -> str:
    """A capacitance as an override has it."""
    return f"{1e6 * value:.6g} uF"
