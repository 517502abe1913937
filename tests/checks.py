"""Checks that nobody computed: plain numbers, each part of them as asked for."""

from dataclasses import replace

import numpy as np

from wirebloom.take.check import Check
from wirebloom.take.check_curves import ForceCurve
from wirebloom.take.check_map import PartialMap
from wirebloom.take.check_prescriptions import Advice, Failure, Forecast, Prescription, Sensitivity
from wirebloom.take.check_saturated import HeadReach, Saturated, Steady
from wirebloom.take.check_sheet import DecayCause, HeadStatic, Hearing, LoopStatic, StaticSheet, StringStatic
from wirebloom.take.check_signs import LoopSigns, SignHead, Signs
from wirebloom.take.check_small import Electrical, GapMargin, Margins, PartialCheck, SmallSignal, SquealMargin

HERTZ = np.array([196.0, 392.0, 588.0])
DECAY = np.array([0.65, 1.2, 1.6])
SHARE = np.array([0.74, -0.25, 0.0])


def string_static(name="pier", **changes):
    both = np.stack([HERTZ, HERTZ + 0.1])
    found = StringStatic(
        name=name, material="music wire", length_m=0.64, diameter_m=0.38e-3, linear_density_kg_m=8.9e-4, tension_N=56.0, pitch_Hz=196.0,
        stress_Pa=4.94e8, strength_min_Pa=2.5e9, strength_max_Pa=2.8e9, inharmonicity=9e-5, harmonic_Hz=195.9, frequency_Hz=both,
        magnet_cent=np.full((2, 3), -9.3), decay_per_s=np.stack([DECAY, DECAY]),
        causes=(DecayCause("air", 0.4 * np.stack([DECAY, DECAY])), DecayCause("support", 0.6 * np.stack([DECAY, DECAY]))),
        sag_m=16e-6, side_m=0.0, equilibrium="free",
    )  # fmt: skip
    return replace(found, **changes)


def head_static(name, role, string="pier"):
    return HeadStatic(
        name=name, string=string, role=role, loop="main", position_m=0.25, gap_m=1e-3, rest_gap_m=0.98e-3, sag_m=16e-6, side_m=0.0,
        static_pull_N=3.5e-3, force_factor_N_per_A=15e-3, factor_low=0.7, factor_high=1.5, pull_low=0.6, pull_high=2.0,
        magnet_N_per_m=(-1.0, 0.1), resistance_ohm=24.0, warm_ohm=24.0, inductance_H=2.6e-3, time_constant_s=1.1e-4, winding=None,
    )  # fmt: skip


def partial_check(n, growth, string="pier", p=0):
    gain = 40.0 if growth > 0.0 else 0.5
    return PartialCheck(
        string=string, polarisation=p, partial=n, frequency_Hz=float(HERTZ[n - 1]), growth_rate_per_s=growth, open_Hz=float(HERTZ[n - 1]),
        open_growth_per_s=-float(DECAY[n - 1]), reversed_Hz=float(HERTZ[n - 1]), reversed_growth_per_s=-growth, loop="main",
        loop_gain=gain, loop_phase_deg=-60.0, share=0.06 if growth > 0.0 else None, gain=340.0 if growth > 0.0 else None,
    )  # fmt: skip


def steady(string="pier", **changes):
    found = Steady(
        string=string, partial=1, frequency_Hz=194.8, amplitude_m=0.66e-3, clearance_m=0.33e-3, nearest="sense", touches=False,
        bridge_force_N=0.2, partials_m=((1, 0.66e-3),), heads=(HeadReach("sense", 0.33e-3, 1.59e-3), HeadReach("drive", 0.43e-3, 1.46e-3)),
        loop="main", drive_rms_V=2.9, drive_rms_A=19e-3, drive_power_W=55e-3, rival_growth_per_s=-0.6, rival=2, lasts=True, likely=True,
    )  # fmt: skip
    return replace(found, **changes)


def loop_signs(string="pier", polarity="normal"):
    weights = {"sense": np.array([0.95, 0.5, 0.0]), "drive": np.array([0.78, -0.5, 0.6])}
    heads = tuple(SignHead(role, role, 0.25 if role == "sense" else 0.18, 15e-3, weights[role]) for role in weights)
    both = np.stack([SHARE, np.zeros(3)])
    listens, pushes = (np.stack([15e-3 * weights[role], np.zeros(3)]) for role in weights)
    return LoopSigns("main", string, polarity, 0.64, heads, HERTZ, listens, pushes, both, np.zeros(3), both)


def curve(head, string="pier", *, settles=True):
    gap = np.geomspace(0.05e-3, 6e-3, 50)
    factor = 15e-3 * np.exp(-(gap - 1e-3) / 1.4e-3)
    return ForceCurve(head, string, head, gap, factor, 0.7 * factor, 1.5 * factor, 0.98e-3, (0.33e-3, 1.59e-3) if settles else None)


def advice():
    expected = Forecast("pier", "free", 1, 3.0, 0.3, "sense", 0.6, -0.5, False, 8.0)
    failure = Failure("pier", "silent", "String pier does not start.")
    cure = Prescription(
        "pier", "silent", "gain of main", "200", "3700", 0.5, ("loops.main.amplifier.gain=3700",), expected, (), "Change the gain."
    )  # fmt: skip
    effect = Sensitivity("pier", "start time", "gap of sense", "-0.1 mm", 5.0, 4.0, 0.2, ("heads.sense.gap=0.9 mm",), "Closer is quicker.")
    return Advice((expected,), (failure,), (cure,), (effect,))


def synthetic_check(
    growth=(8.0, -1.0, -2.0), *, loops=True, polarity="normal", settles=True, strings=("pier",), electrical=-10.0, words=(), **changes
):
    partials = tuple(partial_check(n + 1, rate, name) for name in strings for n, rate in enumerate(growth))
    aside = tuple(partial_check(n + 1, -1.5, name, 1) for name in strings for n in range(3))
    heads = ("sense", "drive") if loops else ()
    found = Check(
        title="First note",
        digest="0123",
        sheet=StaticSheet(
            strings=tuple(string_static(name) for name in strings),
            heads=tuple(head_static(head, head, name) for name in strings for head in heads),
            loops=(LoopStatic("main", 24.0, 2.6e-3, 150.0, 2.6e-3, 9e3),) if loops else (),
            hearing=tuple(Hearing("main", name, HERTZ, np.full(3, 18e-9), np.array([1e-9, 1e-10, np.inf])) for name in strings if loops),
            words=tuple(words) or (() if loops else ("There is no loop: nothing listens.",)),
            grows_per_s=electrical,
            grows_Hz=0.0,
        ),
        signs=Signs(
            tuple(loop_signs(name, polarity) for name in strings if loops), ("Loop main on pier: feeds partial 1.",) if loops else ()
        ),
        small=SmallSignal((*partials, *aside), (Electrical(304e3 if electrical > 0.0 else 0.0, electrical),)),
        margins=Margins(
            tuple(GapMargin(name, ("sense", "drive"), (1.0, 1.0), (1.8, 1.8), 1, False) for name in strings if loops),
            (SquealMargin("main", electrical, 3e5, 2.5, None, 3e5, 9e4, 40.0),) if loops else (),
        ),
        saturated=Saturated(tuple(steady(name) for name in strings) if settles and loops else (), 0.02, "switch-on"),
        advice=None,
        curves=tuple(curve(head, name, settles=settles) for name in strings for head in heads),
        limits=("Not predicted: ground loops.",),
        cautions=("A steel string under tension can whip.",),
    )
    return replace(found, **changes)


def synthetic_map():
    partial = np.array([[1, 1, 4], [-1, -1, -1], [1, 4, 0]])
    return PartialMap(
        title="Overtones", loop="main", string="pier", head="drive", role="drive", capacitor="loops.main.phase.capacitor",
        position_m=0.64 * np.array([0.1, 0.2, 0.3]), length_m=0.64, capacitor_F=np.array([1e-6, 1e-5, 1e-4]), partial=partial,
        several=partial == 4, touches=partial == 1, own_position_m=0.07, own_capacitor_F=1e-5,
    )  # fmt: skip
