"""Loops and supplies of the rig → one netlist, and its stages as the time loop takes them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wirebloom.circuit.blocks import stage_parts
from wirebloom.circuit.parts import ENDLESS, Levelling, Meter, Netlist, Part, Stage
from wirebloom.circuit.plain import ideal_rails, plain_parts
from wirebloom.circuit.rails import Rest, loop_rails
from wirebloom.circuit.supplies import supply_parts
from wirebloom.compile.strays import stray_capacitors
from wirebloom.kernels.layout import Floats, Stages
from wirebloom.rig import Rig
from wirebloom.rig.supplies import AnySupply

NO_LEVELLING = Levelling(ENDLESS, ENDLESS, ENDLESS, 1.0)


def netlist_of(rig: Rig, windings: Sequence[float]) -> Netlist:
    """All electronics of a rig as one circuit; windings (C,): resistance of every circuit's coils, Ω."""
    parts: list[Part] = []
    meters: list[Meter] = []
    for name in dict.fromkeys(loop.supply for loop in rig.loops if loop.supply is not None):
        first = next(a for a, loop in enumerate(rig.loops) if loop.supply == name)
        parts += supply_parts(supply_named(rig, name), rig.supplies, 2 * first + 1)
    for a, loop in enumerate(rig.loops):
        rest, feed = rest_of(rig, a)
        made = stage_parts if loop.stages else plain_parts
        own, metered = made(loop, a, (windings[2 * a], windings[2 * a + 1]), rest)
        parts += [*feed, *own]
        meters += metered
    return Netlist((*parts, *stray_capacitors(rig, parts)), tuple(meters), tuple(loop.name for loop in rig.loops))


def supply_named(rig: Rig, name: str) -> AnySupply:
    """The supply of that name; the scenario's reader has made sure that there is one."""
    return next(supply for supply in rig.supplies if supply.name == name)


def rest_of(rig: Rig, a: int) -> tuple[Rest, list[Part]]:
    """Rails and resting point of loop number a, and the parts that make them besides those of a named supply."""
    loop = rig.loops[a]
    if loop.supply is None:
        return ideal_rails(loop, a)
    return loop_rails(loop, a, supply_named(rig, loop.supply), rig.supplies)


def lay_out_stages(stages: Sequence[Stage], step: float) -> Stages:
    """Stages as the time loop takes them; noise as rms per step of `step` s: one-sided density S gives √(S/(2h))."""
    levels = [stage.levelling or NO_LEVELLING for stage in stages]

    def each(values: Sequence[float]) -> Floats:
        return np.array(values, dtype=float)

    high, low = (each([stage.headroom[k] for stage in stages]) for k in (0, 1))
    return Stages(
        loop=np.array([stage.loop for stage in stages], dtype=np.int64),
        gain=each([stage.gain for stage in stages]),
        rate=each([2.0 * np.pi * stage.bandwidth for stage in stages]),
        slew=each([stage.slew for stage in stages]),
        headroom_high=high,
        headroom_low=low,
        bend=each([stage.bend for stage in stages]),
        limit=each([stage.limit for stage in stages]),
        offset=each([stage.offset for stage in stages]),
        noise=each([stage.noise for stage in stages]) / np.sqrt(2.0 * step),
        quiescent=each([stage.quiescent for stage in stages]),
        target=each([level.volts for level in levels]),
        attack=1.0 / each([level.attack for level in levels]),
        release=1.0 / each([level.release for level in levels]),
        least=each([level.least for level in levels]),
    )
