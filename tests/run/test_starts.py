"""Ways to start, through a whole run: a capacitor that charges, a push, a pluck, nothing but noise."""

import numpy as np
import pytest

from consistency.scenario import compiled
from wirebloom.rig import RunPlan
from wirebloom.run import simulate
from wirebloom.run.inputs import Source

AMPLIFIER = "loops.main.amplifier"
SINGLE = (f"{AMPLIFIER}.supply_kind=single", "loops.main.output.capacitor=47 uF", f"{AMPLIFIER}.gain=20")
SWITCH_ON, NOISE = "start={kind='switch-on'}", "start={kind='noise'}"


def test_supply_comes_up_in_its_time():
    source = Source(RunPlan(start={"kind": "switch-on", "ramp": 0.02}), noises=2, drivers=0)
    supply = source.next(0, 4000).supply
    assert supply[0] == pytest.approx(0.5 / 1920)
    assert supply[959] == pytest.approx(0.5, abs=1 / 1920)
    np.testing.assert_array_equal(supply[1920:], 1.0)


@pytest.mark.parametrize("start", [{"kind": "noise"}, {"kind": "pluck", "position": 0.1, "height": 1e-3}])
def test_supply_is_up_from_the_first_step_else(start):
    np.testing.assert_array_equal(Source(RunPlan(start=start), noises=2, drivers=0).next(0, 100).supply, 1.0)


def test_push_of_a_tap_is_half_its_peak_times_its_time():
    """∫ F dt of a raised cosine, in steps of 1/96000 s and in two portions."""
    source = Source(RunPlan(start={"kind": "tap", "position": 0.1, "force": 3.0, "duration": 2e-3}), noises=2, drivers=1)
    force = np.concatenate([source.next(0, 100).force, source.next(100, 200).force])
    assert force.sum() / 96e3 == pytest.approx(3.0 * 2e-3 / 2, rel=1e-9)
    assert force.max() == pytest.approx(3.0, rel=1e-3)


def test_charge_of_the_output_capacitor():
    """It ends at half the supply, and the charge that went through the coil is C V: 47 µF · 4.5 V = 0.2115 mC."""
    take = simulate(compiled(*SINGLE, SWITCH_ON))
    volts = take.signals.capacitor_voltage[:, 0].astype(float)
    assert volts[0] == pytest.approx(0.0, abs=0.01)
    assert volts[-1] == pytest.approx(4.5, rel=1e-3)
    assert take.signals.drive_current[:, 0].astype(float).sum() / take.audio_rate == pytest.approx(47e-6 * 4.5, rel=1e-3)
    late = take.signals.drive_voltage[-500:, 0].astype(float)
    assert late.mean() == pytest.approx(4.5, rel=1e-3)


def test_switching_on_kicks_the_string_by_micrometres():
    """The charging current K i pulls at the string; started with the capacitor full, noise alone moves it less than a hundredth of that."""
    large = "loops.main.output.capacitor=470 uF"
    kicked, quiet = (simulate(compiled(*SINGLE, large, start)).frames.amplitude[-1, 0, 0, 0] for start in (SWITCH_ON, NOISE))
    assert 1e-7 < kicked < 1e-4
    assert quiet < 1e-2 * kicked


def test_a_settled_offset_does_not_kick():
    """An amplifier with an offset has long been at rest when a run starts out of noise: no thump from it."""
    plain, offset = (
        simulate(compiled(*SINGLE, NOISE, f"{AMPLIFIER}.input_offset={volts}")).frames.amplitude[-1, 0, 0, 0] for volts in ("0 V", "50 mV")
    )
    assert offset < 3 * plain


def test_a_pluck_falls_from_where_it_was_held():
    """Amplitudes of the first row are those of the triangle; half a period later the string stands on the other side."""
    take = simulate(compiled(f"{AMPLIFIER}.gain=0.1", "start={kind='pluck', position='0.5 L', height='0.3 mm'}"))
    assert take.frames.amplitude[0, 0, 0, 0] == pytest.approx(0.3e-3 * 8 / np.pi**2, rel=1e-2)
    assert take.frames.amplitude[0, 0, 0, 1] < 1e-9
    rest = take.sheet.poles[0].gap_m - take.sheet.poles[0].rest_gap_m
    half = round(take.audio_rate / take.sheet.strings[0].pitch_Hz / 2)
    moved = take.signals.displacement[:, 0, 0].astype(float) - rest
    assert moved[half] == pytest.approx(-moved[0], rel=0.05)
    assert moved[0] > 0.2e-3


def test_a_tap_does_work_and_starts_partials_by_their_place():
    """Impulse J at 0.5 L: partial n gets J sin(nπ/2)/(m ω): even ones nothing, odd ones as 1/n while short against the period."""
    take = simulate(compiled(f"{AMPLIFIER}.gain=0.1", "start={kind='tap', position='0.5 L', force='1 N', duration='0.1 ms'}"))
    after = take.frames.amplitude[1, 0, 0]
    string = take.sheet.strings[0]
    assert after[0] == pytest.approx(0.5e-4 / (string.mass_kg * 2 * np.pi * string.pitch_Hz), rel=0.02)
    assert after[1] < 1e-3 * after[0]
    assert after[2] == pytest.approx(after[0] / 3, rel=0.05)
    external = take.frames.external
    assert external[0] == 0.0
    assert external[-1] == external[1] > 0.0
