"""Heads under strings at rest, and the coils of every loop in series."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.analysis.held import Held
from wirebloom.analysis.winding import winding_sheet
from wirebloom.physics.stand import pull_gradient, side_stiffness
from wirebloom.rig import RoundHead
from wirebloom.rig.wires import resistance_at
from wirebloom.take.check_sheet import HeadStatic, LoopStatic

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled


def head_static(compiled: Compiled, j: int) -> HeadStatic:
    """Facts of pole number j of the rig."""
    own, pole = compiled.sheet.poles[j], compiled.poles[j]
    warm = resistance_at(own.resistance_ohm, compiled.rig.room.temperature)
    rest = compiled.sheet.strings[pole.string].rest_m
    side = float(pole.weight @ rest[1])
    return HeadStatic(
        name=own.head,
        string=own.string,
        role=own.role,
        loop=own.loop,
        position_m=own.position_m,
        gap_m=own.gap_m,
        rest_gap_m=own.rest_gap_m,
        sag_m=own.gap_m - own.rest_gap_m,
        side_m=side,
        static_pull_N=own.pull_N,
        force_factor_N_per_A=own.force_factor_N_per_A,
        factor_low=own.factor_low,
        factor_high=own.factor_high,
        pull_low=own.pull_low,
        pull_high=own.pull_high,
        magnet_N_per_m=_magnet(compiled, j, own.rest_gap_m, own.offset_m + side),
        resistance_ohm=own.resistance_ohm,
        warm_ohm=warm,
        inductance_H=own.inductance_H,
        time_constant_s=own.inductance_H / warm,
        winding=winding_sheet(pole.head) if isinstance(pole.head, RoundHead) else None,
    )


def _magnet(compiled: Compiled, j: int, gap: float, side: float) -> tuple[float, float]:
    """What the magnets add to the stiffness at one pole, N/m."""
    table = compiled.poles[j].table
    return 0.0 - pull_gradient(table, gap, side), float(side_stiffness(table, gap, np.array([side]))[0])


def loop_static(compiled: Compiled, found: Held, a: int) -> LoopStatic:
    """Facts of loop number a: what its coils are in series, the strings at rest over them."""
    inductance, sheet = found.linear.magnets.inductance, compiled.sheet.loops[a]
    sense = sum(resistance_at(_resistance(compiled, name), compiled.rig.room.temperature) for name in sheet.sense)
    drive_henry = float(inductance[2 * a + 1, 2 * a + 1])
    return LoopStatic(
        loop=sheet.name,
        sense_ohm=sense,
        sense_H=float(inductance[2 * a, 2 * a]),
        drive_ohm=sheet.drive_resistance_ohm,
        drive_H=drive_henry,
        drive_corner_Hz=sheet.drive_resistance_ohm / (2.0 * np.pi * drive_henry),
    )


def _resistance(compiled: Compiled, head: str) -> float:
    """Of one head's coil at 20 °C, Ω."""
    return next(own.resistance_ohm for own in compiled.sheet.poles if own.head == head)
