"""Amplifiers composed of blocks, as the bench knows them, in whole runs.

Where a source is named the figure is published; all else is "common practice, no source".

| what                                          | slip that would show                                   |
|-----------------------------------------------|--------------------------------------------------------|
| inverting stage and the sense of the coils    | a sign in the stage, in a coil, or in both             |
| small output capacitor and low strings        | the capacitor outside the drive circuit                |
| lead of a series capacitor, up to 90°         | lag for lead; A6: C for 1/C                            |
| current that an output has to give            | a limit for one half only, or none                     |
| class B: what the supply gives, what is lost  | factor 2 of a rail, a mean for an rms                  |
| uneven swing, bend, levelling                 | up for down; peak for mean                             |
"""

from functools import cache

import numpy as np
import pytest

from circuit.blocks_at import buffer, built
from circuit.networks import response
from shipped import ended
from wirebloom.compile import compile_rig
from wirebloom.rig import Output, loads
from wirebloom.run import simulate
from wirebloom.take.measures import measure

STRING = """
format = 1
title = "Pier bench"

[[strings]]
name = "pier"
material = "music wire"
diameter = "0.38 mm"
length = "640 mm"
pitch = "G3"
damping = { support_q = 2000 }
"""
HEADS = """
[[heads]]
name = "sense"
string = "pier"
position = "0.4 L"
gap = "2 mm"
core = { diameter = "5 mm", length = "10 mm", permeability = 1000 }
coil = { turns = 420, wire = "0.10 mm", inner_diameter = "5.6 mm", outer_diameter = "11.2 mm", top = "0.5 mm", bottom = "8.5 mm" }
magnets = [{ shape = "disc", diameter = "8 mm", thickness = "3 mm", remanence = "0.38 T", recoil_permeability = 1.0 }]

[[heads]]
name = "drive"
string = "pier"
position = "0.286 L"
gap = "2 mm"
like = "sense"
"""
LOOP = """
[[supplies]]
name = "bench"
kind = "ideal"
voltage = "4.5 V"
split = true

[[loops]]
name = "main"
sense = ["sense"]
drive = ["drive"]
supply = "bench"
"""
BUFFER = '{ kind = "buffer", preset = "class-AB buffer", input_offset = "0 mV" }'
INVERTING = '{ kind = "op-amp", preset = "low-noise op-amp", input_offset = "0 mV", topology = "inverting", feedback = "4.8 kohm" }'
STRAIGHT = INVERTING.replace('inverting", feedback = "4.8 kohm"', 'non-inverting", feedback = "19.9 kohm", to_ground = "100 ohm"')
CHIP = '{ kind = "power chip", preset = "small audio power chip", bypass = "10 uF" }'
PLUCK = 'start={ kind = "pluck", position = "0.3 L", height = "0.3 mm" }'


@cache
def run_of(stages, *overrides, heads=HEADS, more=""):
    """Take of the bench with a row of stages."""
    text = f"{STRING}{heads}{LOOP}stages = [{', '.join(stages)}]\n{more}"
    return simulate(compile_rig(*loads(text, file="bench.toml", overrides=("run.duration=1.5 s", *overrides))))


def measured(*args, **keys):
    """Measures of its loop over the last second."""
    (loop,) = measure(run_of(*args, **keys)).loops
    return loop


def phasor(signal, rate, hertz):
    """Complex amplitude of the last half second of a signal at one frequency."""
    late = signal[-round(rate / 2) :].astype(float)
    turns = np.exp(-2j * np.pi * hertz * np.arange(late.size) / rate)
    return complex(turns @ (late * np.hanning(late.size)) * 4 / late.size)


# ---- Sense of the coils ----------------------------------------------------------------------------------------------


def growth(stage, turned):
    """Rate at which partial 1 comes (positive) or goes (negative), s⁻¹."""
    gentle = 'start={ kind = "pluck", position = "0.3 L", height = "0.01 mm" }'
    senses = (f"heads.{name}.reversed=true" for name in turned)
    take = run_of((stage, BUFFER), "run.duration=2 s", gentle, "heads.sense.gap=1 mm", "heads.drive.gap=1 mm", *senses)
    size, time = take.frames.amplitude[:, 0, 0, 0], take.frames.time
    return float(np.log(size[-5] / size[50]) / (time[-5] - time[50]))


@pytest.mark.parametrize(("stage", "sign"), [(INVERTING, -1.0), (STRAIGHT, 1.0)], ids=["inverting", "straight"])
def test_an_inverting_stage_needs_one_coil_the_other_way_round(stage, sign):
    """Common practice, no source. Either coil will do; both together undo one another."""
    alike, sense, drive, both = (growth(stage, turned) for turned in ((), ("sense",), ("drive",), ("sense", "drive")))
    right, wrong = (alike, drive) if sign > 0 else (drive, alike)
    assert right > 0.1
    assert wrong < -0.5
    assert sense == pytest.approx(drive, abs=0.02)
    assert both == pytest.approx(alike, abs=0.02)


# ---- Capacitors in line with the drive coil --------------------------------------------------------------------------


@pytest.mark.slow
def test_too_small_an_output_capacitor_starves_low_strings():
    """Common practice, no source: a capacitor that a G3 does not notice takes a G1 most of its note, a smaller one gives the octave.

    In line with it stand 154 Ω at the G3 and 92 Ω at the G1; 22 µF are 37 Ω there and 148 Ω here, 10 µF are 325 Ω here.
    """
    high, low = (ended(name, "loops.main.output.capacitor=22 uF").string for name in ("first_note", "low_string"))
    assert (high.outcome, high.dominant_partial) == ("sustained", 1)
    assert high.bridge_force_N == pytest.approx(ended("first_note").string.bridge_force_N, rel=0.03)
    assert (low.outcome, low.dominant_partial) == ("sustained", 1)
    assert low.bridge_force_N < 0.5 * ended("low_string").string.bridge_force_N
    assert ended("low_string", "loops.main.output.capacitor=10 uF").string.dominant_partial == 2
    assert ended("low_string", "loops.main.output.capacitor=2.2 uF").string.starts is False


@pytest.mark.parametrize("farads", [2.2e-6, 10e-6, 47e-6])
def test_a_series_capacitor_makes_the_current_lead(farads):
    """Common practice, no source: by up to 90°, the smaller the more. Textbook RLC: atan((1/ωC − ωL)/R)."""
    phase = f'[loops.phase]\nkind = "series capacitor"\ncapacitor = "{farads * 1e6:g} uF"\n'
    take = run_of((CHIP,), PLUCK, more=phase)
    hertz = 195.5
    signals, omega = take.signals, 2 * np.pi * hertz
    current, output = (phasor(signal[:, 0], take.audio_rate, hertz) for signal in (signals.drive_current, signals.drive_voltage))
    (inductance,) = (pole.inductance_H for pole in take.sheet.poles if pole.role == "drive")
    expected = np.arctan((1 / (omega * farads) - omega * inductance) / take.sheet.loops[0].drive_resistance_ohm)
    lead = np.angle(current / output)
    assert 0.0 < lead < np.pi / 2
    assert lead == pytest.approx(expected, abs=0.03)


def test_series_resonance_of_a_drive_circuit():
    """A6 (ngspice-39, run for the catalogue): 8 Ω, 1 mH, 100 µF, 1 V at 440 Hz: 0.1242962 A, 0.1061688 rad ahead."""
    net = built(buffer(output_resistance=0.1), windings=(24.0, 7.9), output=Output(capacitor=100e-6))
    network, z = response(net, 440.0, emf={0: -1.0}, henry={1: 1e-3})
    current = z[network.rate.shape[0] + 1]
    assert (abs(current), np.angle(current)) == (pytest.approx(0.1242962, rel=1e-5), pytest.approx(0.1061688, rel=1e-3))


# ---- What an output has to give --------------------------------------------------------------------------------------


def test_a_drive_wants_a_few_hundred_milliamperes():
    """Common practice, no source: a coil of 8 Ω on 9 V; an op-amp's own output gives a tenth of that, and the string gets a fraction."""
    coil = ("heads.drive.coil.resistance=8 ohm", PLUCK)
    op_amp = STRAIGHT.replace("19.9 kohm", "199 kohm")
    strong, weak = measured((op_amp, CHIP), *coil), measured((op_amp,), *coil)
    assert 0.2 < strong.drive_peak_A < 0.6
    assert weak.drive_peak_A == pytest.approx(0.038, rel=0.05)  # the limit of its preset
    assert abs(weak.string_power_W) < 0.25 * abs(strong.string_power_W)


def test_the_limit_of_current_holds_both_ways():
    held = CHIP.replace("bypass", 'current_limit = "0.1 A", bypass')
    take = run_of((STRAIGHT.replace("19.9 kohm", "199 kohm"), held), PLUCK, "heads.drive.coil.resistance=8 ohm")
    late = take.signals.drive_current[-round(take.audio_rate / 2) :, 0]
    assert (late.max(), late.min()) == (pytest.approx(0.1, rel=0.08), pytest.approx(-0.1, rel=0.08))


# ---- Class B ---------------------------------------------------------------------------------------------------------

DEAF = """
[[heads]]
name = "{name}"
kind = "measured"
string = "pier"
position = "{position} L"
gap = "10 mm"
law = {{ gap = "10 mm", factor = "0 N/A", pull = "0 mN", decay_length = "3 mm" }}
resistance = "{ohm} ohm"
inductance = "1 uH"
face_diameter = "5 mm"
aperture = "6 mm"
{dipole}
"""
LOAD = DEAF.format(name="sense", position=0.2, ohm=1, dipole='dipole = "10 m2"') + DEAF.format(
    name="drive", position=0.6, ohm=16, dipole=""
)
FOLLOWER = (
    '{ kind = "buffer", gain_bandwidth = "1 MHz", slew = "100 V/us", headroom_up = "0 V", headroom_down = "0 V", '
    'quiescent_current = "0 A", output_resistance = "1 mohm" }'
)
# An op-amp that stands on any rails, reaches them, and takes nothing from them.
IDLE = (
    'highest_supply = "200 V", headroom_up = "0 V", headroom_down = "0 V", quiescent_current = "0 A", current_limit = "1 A", '
    'output_resistance = "1 mohm", preset'
)
TENFOLD = STRAIGHT.replace("19.9 kohm", "900 kohm").replace("100 ohm", "100 kohm").replace("preset", IDLE)


def hum(peak):
    """Stray field that makes a sine of so many volts in the sense coil."""
    field = peak / (2 * np.pi * 50.0 * 10.0) / np.sqrt(2)
    return f"room.mains={{field='{1e3 * float(field):.9f} mT', frequency='50 Hz', harmonics=[0]}}"


def sine(peak, rail):
    """Loop that gives a sine of so many volts to 16 Ω from two rails: hum at 50 Hz, amplified ten times, stands for a generator."""
    supply = f"supplies.bench.voltage={rail} V"
    return measured((TENFOLD, FOLLOWER), hum(peak / 10.0), supply, "start={kind='noise'}", heads=LOAD)


@pytest.mark.parametrize(
    ("rail", "peak", "efficiency"),
    [(30.0, 29.97, 0.7854), (24.0, 22.0, 0.72), (24.0, 6.0, 0.1963)],
)
def test_class_b_efficiency(rail, peak, efficiency):
    """Boylestad & Nashelsky, Electronic Devices and Circuit Theory, ex. 12.8, 12.9 (seen): 30 V full 78.54 %; 24 V: 72 % and 19.6 %.

    η = (π/4) Vp/Vcc; into 16 Ω at 30 V 28.125 W of 35.81 W.
    """
    loop = sine(peak, rail)
    assert loop.drive_peak_V == pytest.approx(peak, rel=2e-3)
    assert loop.drive_power_W / loop.supply_W == pytest.approx(efficiency * (peak / 30.0 if rail == 30.0 else 1.0), rel=3e-3)
    if rail == 30.0:
        assert (loop.drive_power_W, loop.supply_W) == (pytest.approx(28.125, rel=4e-3), pytest.approx(35.81, rel=4e-3))


def test_class_b_loses_most_at_two_thirds():
    """Ibid.: P_2Q,max = 2 Vcc²/(π² R) = 11.4 W (5.7 W each) at Vp = 2 Vcc/π; less both below and above."""
    lost = {}
    for share in (0.8, 1.0, 1.2):
        loop = sine(share * 2 * 30.0 / np.pi, 30.0)
        lost[share] = loop.supply_W - loop.drive_power_W
    assert lost[1.0] == pytest.approx(2 * 30.0**2 / (np.pi**2 * 16.0), rel=3e-3)
    assert lost[1.0] > lost[0.8]
    assert lost[1.0] > lost[1.2]


# ---- Limits of a swing -----------------------------------------------------------------------------------------------


def test_uneven_swing_and_what_the_current_takes_off_it():
    """Driven far beyond its rails: 4.5 V less 1 V and 2 Ω times the current upwards, less 0.25 V and the same downwards."""
    bent = 'headroom_up = "1 V", headroom_down = "0.25 V", headroom_resistance = "2 ohm"'
    stage = FOLLOWER.replace('headroom_up = "0 V", headroom_down = "0 V"', bent)
    take = run_of((TENFOLD, stage), hum(4.0), "start={kind='noise'}", heads=LOAD)
    late = take.signals.drive_current[-round(take.audio_rate / 2) :, 0]
    top, bottom = np.percentile(late, [75, 25])
    assert top == pytest.approx((4.5 - 1.0) / (16.0 + 2.0), rel=2e-3)
    assert bottom == pytest.approx(-(4.5 - 0.25) / (16.0 + 2.0), rel=2e-3)


def test_levelling_halves_the_decibels():
    """A gain turned down in proportion to the output it makes: √(level · size of what would come without), a factor 3 becomes √3.

    The envelope of a sine lies between its mean and its peak, as the attack is quicker than the release.
    """
    stage = FOLLOWER.replace(" }", ', levelling = { level = "0.5 V", attack = "20 ms", release = "100 ms" } }')
    sizes = []
    for peak in (0.01, 0.1, 0.3):
        take = run_of((TENFOLD, stage), hum(peak), "start={kind='noise'}", heads=LOAD)
        sizes.append(float(np.abs(take.signals.drive_voltage[-round(take.audio_rate / 2) :, 0]).mean()))
    small, middle, large = sizes
    mean = 2 / np.pi
    assert small == pytest.approx(0.1 * mean, rel=1e-3)
    assert np.sqrt(0.5 * mean) * np.sqrt(mean) < middle < np.sqrt(0.5 * mean)
    assert large / middle == pytest.approx(np.sqrt(3.0), rel=0.01)


def test_levelling_behind_an_op_amp_is_not_undone_by_its_feedback():
    """Behind a gain of ten that feedback holds: an input three times as large makes √3 times as much."""
    stage = TENFOLD.replace(" }", ', levelling = { level = "0.5 V", attack = "20 ms", release = "100 ms" } }')
    sizes = []
    for peak in (0.1, 0.3):
        take = run_of((stage, FOLLOWER), hum(peak), "start={kind='noise'}", heads=LOAD)
        sizes.append(float(np.abs(take.signals.drive_voltage[-round(take.audio_rate / 2) :, 0]).mean()))
    assert sizes[1] / sizes[0] == pytest.approx(np.sqrt(3.0), rel=0.01)
