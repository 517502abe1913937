"""Writes version_1.h5, the file by which every later version proves that it still reads the first one.

Run once, with a program that writes version 1: ``python tests/formats/make_version_1.py``. A later program refuses.
"""

import sys
from pathlib import Path

import numpy as np

from wirebloom.take.sheet import LoopSheet, PoleSheet, Sheet, StringSheet
from wirebloom.take.store import FORMAT_VERSION, save
from wirebloom.take.take import Frames, Shape, Signals, Take

FILE = Path(__file__).with_name("version_1.h5")
PARTIALS = (5, 3)  # of the two strings
SAMPLES, FRAMES, PHASES, PLACES = 12, 3, 4, 7
STRINGS, POLES, LOOPS = 2, 3, 2


def ramp(*shape, start=0.0, step=0.125):
    """Numbers that differ everywhere, and that single precision holds exactly."""
    return start + step * np.arange(np.prod(shape, dtype=int), dtype=np.float64).reshape(shape)


def string_sheet(name, material, count, start):
    return StringSheet(
        name=name,
        material=material,
        length_m=start + 0.5,
        diameter_m=0.00036,
        tension_N=start + 60.1,
        linear_density_kg_m=0.0008,
        pitch_Hz=start + 196.0,
        inharmonicity=2e-5,
        frequency_Hz=ramp(2, count, start=start + 196.0),
        decay_per_s=ramp(2, count, start=start + 0.3),
        mass_kg=0.00025,
        bridge_N_per_m=ramp(count, start=start + 300.0),
        stress_Pa=start + 5.9e8,
        strength_min_Pa=2.3e9,
        strength_max_Pa=2.7e9,
        equilibrium="free",
        rest_m=ramp(2, count, start=-start, step=1e-7),
    )


def pole_sheet(head, string, role, count, start):
    return PoleSheet(
        head=head,
        string=string,
        position_m=start + 0.1,
        gap_m=0.001,
        rest_gap_m=0.00098,
        offset_m=-0.0002,
        pull_N=start + 0.03,
        force_factor_N_per_A=start + 0.15,
        resistance_ohm=start + 8.0,
        inductance_H=0.0021,
        face_radius_m=0.0025,
        flange_radius_m=0.0056,
        flange_recess_m=0.0005,
        role=role,
        loop="" if role == "idle" else "main",
        weight=ramp(count, start=start - 0.5),
    )


def loop_sheet(name, sense, drive, start):
    return LoopSheet(
        name=name,
        sense=sense,
        drive=drive,
        polarity="normal",
        gain=start + 200.0,
        supply_V=9.0,
        swing_low_V=0.75,
        swing_high_V=8.25,
        bias_V=4.5,
        drive_resistance_ohm=start + 8.5,
        coil_resistance_ohm=start + 8.0,
        quiescent_A=0.005,
        mutual_H=-1.5e-6,
    )


def make_sheet():
    return Sheet(
        title="Pier Zwölf, waiting room",
        digest="0123456789abcdef",
        strings=(string_sheet("pier", "music wire", PARTIALS[0], 0.0), string_sheet("quay", "wound steel", PARTIALS[1], 1.0)),
        poles=(
            pole_sheet("ear", "pier", "sense", PARTIALS[0], 0.0),
            pole_sheet("hand", "pier", "drive", PARTIALS[0], 1.0),
            pole_sheet("spare", "quay", "idle", PARTIALS[1], 2.0),
        ),
        loops=(loop_sheet("main", ("ear",), ("hand",), 0.0), loop_sheet("second", ("ear", "spare"), ("hand",), 1.0)),
        limits=("The frame is taken as rigid.",),
        cautions=("A string under tension can break: protect your eyes.", "Coils get hot."),
    )


def make_signals():
    sizes = {
        "displacement": (POLES, 2),
        "magnetic_force": (POLES, 2),
        "contact_force": (POLES,),
        "sense_voltage": (LOOPS,),
        "drive_voltage": (LOOPS,),
        "capacitor_voltage": (LOOPS,),
        "sense_current": (LOOPS,),
        "drive_current": (LOOPS,),
        "bridge_force": (STRINGS, 2),
    }
    signals = {name: ramp(SAMPLES, *size, start=-place).astype(np.float32) for place, (name, size) in enumerate(sizes.items())}
    return Signals(**signals, supply_voltage=np.zeros((SAMPLES, LOOPS), dtype=np.float32))


def make_frames():
    sizes = {"time": (), "amplitude": (STRINGS, 2, max(PARTIALS)), "least_gap": (POLES,), "most_contact": (POLES,)}
    sizes |= {"string_energy": (STRINGS,), "tension_energy": (STRINGS,)}
    sizes |= {"magnetic_energy": (), "capacitor_energy": (), "contact_energy": ()}
    sizes |= {"supplied": (LOOPS,), "noise": (LOOPS,), "external": (), "string_loss": (STRINGS,)}
    sizes |= {"drive_heat": (LOOPS,), "sense_heat": (LOOPS,), "contact_loss": (), "damper_loss": (), "drive_work": (POLES,), "residual": ()}
    frames = {name: ramp(FRAMES, *size, start=0.1 * place) for place, (name, size) in enumerate(sizes.items())}
    later = ("drawn_high", "drawn_low", "output_square")  # than version 1
    phase = np.full((FRAMES, STRINGS, 2, max(PARTIALS)), -1.0, dtype=np.float32)  # later too
    return Frames(**frames, phase=phase, **{name: np.zeros((FRAMES, LOOPS)) for name in later})


def make_take():
    """A take of two strings, three poles and two loops that never ran: every number of it can be told from every other."""
    return Take(
        sheet=make_sheet(),
        scenario='format = 1\ntitle = "Pier Zwölf, waiting room"\n',
        overrides=("heads.ear.gap=1 mm", "run.duration=1 s"),
        seed=2**40 + 1,
        status="complete",
        duration_s=0.1,
        rate=96000.0,
        audio_rate=48000.0,
        versions={"wirebloom": "0.1.0", "python": "3.11.2"},
        signals=make_signals(),
        frames=make_frames(),
        shape=Shape(
            time=ramp(PHASES, step=0.1), x=ramp(STRINGS, PLACES, step=0.1), displacement=ramp(PHASES, STRINGS, 2, PLACES, step=1e-4)
        ),
        wall={"kernel_s": 0.3, "realtime_factor": 1.0 / 3.0},
    )


if __name__ == "__main__":
    if FORMAT_VERSION != 1:
        sys.exit(f"The format's version must be 1 to write {FILE.name}; instead received {FORMAT_VERSION}.")
    save(make_take(), FILE)
