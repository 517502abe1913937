"""What a reader of a take needs to know of the rig, its limits and its dangers."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from math import inf

import numpy as np

from wirebloom.compile.circuits import by_head, circuits_of, inductance_matrix, winding_resistance
from wirebloom.compile.coils import coil_sheets, heat_limits
from wirebloom.compile.drives import Drive
from wirebloom.compile.notes import cautions, limits
from wirebloom.compile.poles import Pole, faces
from wirebloom.compile.supplies import supply_sheets
from wirebloom.kernels.layout import Floats
from wirebloom.physics.rest import Rest
from wirebloom.physics.string import StringModes
from wirebloom.rig import MATERIALS, Rig, String
from wirebloom.rig.section import string_section
from wirebloom.rig.statics import load_diameter, pitch
from wirebloom.take.sheet import LoopSheet, PoleSheet, Sheet, StringSheet


def digest(rig: Rig) -> str:
    """Of the scenario's text and its overrides."""
    return hashlib.sha256("\n".join((rig.text, *rig.overrides)).encode()).hexdigest()[:16]


def string_sheet(string: String, modes: StringModes, found: Rest | None, rest: Floats) -> StringSheet:
    """Facts of one string."""
    material, section = MATERIALS[string.material], string_section(string, MATERIALS[string.material])
    least, most = material.strength(load_diameter(string))
    count = modes.wavenumber.size
    return StringSheet(
        name=string.name,
        material=string.material,
        length_m=string.length,
        diameter_m=string.diameter,
        tension_N=modes.tension,
        linear_density_kg_m=modes.density,
        pitch_Hz=pitch(string),
        inharmonicity=modes.inharmonicity,
        frequency_Hz=modes.frequency,
        decay_per_s=modes.decay,
        mass_kg=modes.mass,
        bridge_N_per_m=modes.bridge,
        stress_Pa=modes.tension / section.area,
        strength_min_Pa=least,
        strength_max_Pa=most,
        equilibrium="free" if found is None else found.equilibrium.kind,
        rest_m=rest[:, :count],
    )


def pole_sheet(rig: Rig, pole: Pole, moved: Floats) -> PoleSheet:
    """Facts of one string over one head; moved (2,) is its displacement at rest, m."""
    place, table = pole.place, pole.table
    gap, side = place.gap - float(moved[0]), place.offset + float(moved[1])
    radii, depths = faces(pole.head)
    circuit = circuits_of(rig).get(pole.head.name)
    return PoleSheet(
        head=pole.head.name,
        string=rig.strings[pole.string].name,
        position_m=place.position,
        gap_m=place.gap,
        rest_gap_m=gap,
        offset_m=place.offset,
        pull_N=table.pull(gap, side),
        force_factor_N_per_A=table.force_factor(gap, side),
        resistance_ohm=table.resistance,
        inductance_H=table.inductance,
        face_radius_m=radii[0],
        flange_radius_m=radii[1],
        flange_recess_m=depths[1],
        role="idle" if circuit is None else ("sense", "drive")[circuit % 2],
        loop="" if circuit is None else rig.loops[circuit // 2].name,
        weight=pole.weight,
        factor_low=pole.band.factor[0],
        factor_high=pole.band.factor[1],
        pull_low=pole.band.pull[0],
        pull_high=pole.band.pull[1],
        band_note=pole.band.note,
    )


def loop_sheet(rig: Rig, a: int, poles: Sequence[Pole], drive: Drive) -> LoopSheet:
    """Facts of one loop."""
    loop = rig.loops[a]
    return LoopSheet(
        name=loop.name,
        sense=loop.sense,
        drive=loop.drive,
        polarity="normal" if drive.gain > 0.0 else "reversed",
        gain=abs(drive.gain) if loop.amplifier is None else loop.amplifier.gain,
        supply_V=drive.supply,
        swing_low_V=drive.low,
        swing_high_V=drive.high,
        bias_V=drive.bias,
        drive_resistance_ohm=drive.resistance,
        coil_resistance_ohm=winding_resistance(rig, by_head(poles), loop.drive),
        quiescent_A=drive.quiescent,
        mutual_H=float(inductance_matrix(rig, poles)[2 * a, 2 * a + 1]),
        hum_Hz=0.0 if rig.room.mains is None or rig.room.mains.field == 0.0 else rig.room.mains.frequency,
    )


def make_sheet(
    rig: Rig, modes: Sequence[StringModes], poles: Sequence[Pole], found: Sequence[Rest | None], rest: Floats, *, drives: Sequence[Drive]
) -> Sheet:
    """All facts of a rig; rest (S, 2, N) modal displacements, m, drives (A,)."""
    strings = tuple(string_sheet(*row) for row in zip(rig.strings, modes, found, rest, strict=True))
    moved = [np.array(pole.weight @ rest[pole.string, :, : pole.weight.size].T) for pole in poles]
    sheets = tuple(pole_sheet(rig, pole, u) for pole, u in zip(poles, moved, strict=True))
    loops = tuple(loop_sheet(rig, a, poles, drive) for a, drive in enumerate(drives))
    margins = [inf if own is None else own.margin for own in found]
    coils = coil_sheets(rig, {name: pole.table.resistance for name, pole in by_head(poles).items()})
    told = (*limits(rig, poles, strings, margins), *heat_limits(coils, loops)), cautions(rig, strings)
    return Sheet(rig.title, digest(rig), strings, sheets, loops, *told, supply_sheets(rig), coils)
