"""What a head sees of the string, where fingers lie, and at what a run starts: against closed forms."""

from dataclasses import replace

import numpy as np
import pytest

from consistency.scenario import TEXT, compiled
from wirebloom.compile import compile_rig
from wirebloom.rig import load, loads
from wirebloom.run import simulate

LENGTH, PLACE, GAP = 0.64, 0.4 * 0.64, 1e-3
AMPLIFIER = "loops.main.amplifier"
SINGLE = (f"{AMPLIFIER}.supply_kind=single", "loops.main.output.capacitor=470 uF")
PLUCK = "start={kind='pluck', position='0.3 L', height='1 mm'}"
TAP = "start={kind='tap', position='0.3 L', force='1 N', duration='2 ms'}"
NOISE = "start={kind='noise'}"


def weights(*overrides):
    """Partial numbers and the sense head's weights, dead partials left out."""
    ready = compiled(*overrides)
    count = ready.sheet.strings[0].frequency_Hz.shape[1]
    return np.arange(1, count + 1), ready.model.poles.weight[0, :count]


def test_narrow_head_sees_a_point():
    n, weight = weights("heads.sense.aperture=0.1 mm")
    np.testing.assert_allclose(weight, np.sin(n * np.pi * 0.4), atol=1e-5)


@pytest.mark.parametrize("millimetres", [6.0, 40.0, 90.0])
def test_wide_head_averages_over_a_raised_cosine(millimetres):
    """∫(1 + cos πx/a)/2a · cos kx dx = sin ka/(ka (1 − (ka/π)²)): the width at half height is a."""
    n, weight = weights(f"heads.sense.aperture={millimetres} mm")
    ka = n * np.pi / LENGTH * millimetres * 1e-3
    seen = np.sin(ka) / (ka * (1.0 - (ka / np.pi) ** 2))
    np.testing.assert_allclose(weight, seen * np.sin(n * np.pi * 0.4), atol=2e-4)


def test_padding_is_dead():
    ready = compiled()
    count = ready.sheet.strings[0].frequency_Hz.shape[1]
    strings, poles = ready.model.strings, ready.model.poles
    assert strings.frequency.shape[2] % 16 == 0
    for array in (strings.frequency, strings.decay, strings.curvature, strings.bridge, poles.weight):
        assert not array[..., count:].any()


def test_string_in_the_units_of_the_loop():
    """ω in rad/s, 1/m, 1/μ, E A/4 and k² of a plain steel string of 0.38 mm and 640 mm at G3, by hand."""
    ready = compiled()
    strings, sheet = ready.model.strings, ready.sheet.strings[0]
    assert strings.frequency[0, 0, 0] == pytest.approx(2 * np.pi * 195.9977, rel=1e-6)
    assert strings.curvature[0, 1] == pytest.approx((2 * np.pi / LENGTH) ** 2, rel=1e-12)
    assert 1 / strings.inverse_density[0] == pytest.approx(7850 * np.pi * 0.38e-3**2 / 4, rel=1e-2)
    assert 1 / strings.inverse_mass[0] == pytest.approx(LENGTH / 2 / strings.inverse_density[0], rel=1e-12)
    assert 4 * strings.stretch[0] == pytest.approx(2.06e11 * np.pi * 0.38e-3**2 / 4, rel=3e-2)
    assert strings.bridge[0, 0] == pytest.approx(sheet.tension_N * np.pi / LENGTH, rel=1e-4)


def test_a_warm_room_flattens_the_string_and_not_the_pitch_it_is_tuned_to():
    """−E α ΔT of 206 GPa · 12e-6 /K · 10 K = 24.7 MPa less of ρ(2 L f)² = 494 MPa: 600 log₂(1 − 0.05) = −44 cents against the tuning."""
    sheet = compiled("room.temperature=30 degC").sheet.strings[0]
    assert sheet.pitch_Hz == pytest.approx(195.9977, rel=1e-6)
    assert 1200 * np.log2(sheet.frequency_Hz[0, 0] / sheet.pitch_Hz) == pytest.approx(600 * np.log2(1 - 24.72 / 494.1), rel=5e-3)
    text = TEXT.replace('pitch = "G3"', 'tension = "56 N"')
    given = compile_rig(*loads(text, file="bench.toml")).sheet.strings[0]
    assert given.pitch_Hz == pytest.approx(given.frequency_Hz[0, 0], rel=1e-9)


def test_hours_of_a_damper():
    finger = "{position='0.5 L', resistance='1 kg/s', start='10 ms', end='30 ms'}"
    dampers = compiled(f"strings.one.dampers=[{finger}, {{position='0.25 L', resistance='2 kg/s'}}]").model.dampers
    np.testing.assert_array_equal(dampers.window[0], [960, 2880])
    assert dampers.window[1, 0] == 0
    assert dampers.window[1, 1] > 600 * 384_000  # the longest run at the highest rate
    np.testing.assert_array_equal(dampers.resistance, [1.0, 2.0])
    np.testing.assert_allclose(dampers.weight[:, :4], [[1, 0, -1, 0], [2**-0.5, 1, 2**-0.5, 0]], atol=1e-12)


@pytest.mark.parametrize(("start", "volts"), [("start={kind='switch-on'}", 0.0), (NOISE, 4.5), (PLUCK, 4.5), (TAP, 4.5)])
def test_output_capacitor_is_empty_at_a_switch_on_and_charged_else(start, volts):
    assert compiled(*SINGLE, start).state.x[-1] == pytest.approx(volts, rel=1e-12)


def test_capacitor_has_taken_up_the_offset():
    """1 mV · 1000 = 1 V on top of 4.5 V; 10 mV would be 10 V, of which the swing leaves 3 V."""
    for offset, volts in (("1 mV", 1.0), ("10 mV", 3.0), ("-10 mV", -3.0)):
        state = compiled(*SINGLE, NOISE, f"{AMPLIFIER}.input_offset={offset}").state
        assert (state.output[0], state.x[-1]) == pytest.approx((volts, 4.5 + volts))


@pytest.mark.parametrize("start", ["start={kind='switch-on'}", NOISE, TAP])
def test_runs_start_at_rest_without_current(start):
    """At static equilibrium, not straight: 3 mN on each of two heads bend the string by micrometres towards them."""
    ready = compiled(start)
    np.testing.assert_array_equal(ready.state.q, ready.rest)
    assert not ready.state.v.any()
    for pole in range(2):
        moved = ready.model.poles.weight[pole] @ ready.rest[0, 0]
        assert 5e-6 < moved < 20e-6
        assert ready.state.last_gap[pole] == pytest.approx(GAP - moved, rel=1e-12)
        assert ready.sheet.poles[pole].rest_gap_m == pytest.approx(GAP - moved, rel=1e-4)


def test_pluck_lifts_the_string_above_its_rest_at_its_place():
    """Height at the plucked point; partials as 2h sin(nπb)/(n²π² b(1 − b)) (textbook) but for stiffness, and none sideways."""
    ready = compiled(PLUCK)
    drawn = ready.state.q - ready.rest
    n = np.arange(1, 6)
    wanted = 2e-3 * np.sin(n * np.pi * 0.3) / (n**2 * np.pi**2 * 0.3 * 0.7)
    np.testing.assert_allclose(drawn[0, 0, :5], wanted, rtol=1e-2)
    assert not drawn[0, 1].any()


def test_tap_pushes_towards_the_heads_at_its_place():
    drivers = compiled(TAP).model.drivers
    assert (drivers.string.tolist(), drivers.polarisation.tolist()) == ([0], [0])
    np.testing.assert_allclose(drivers.weight[0, :5], np.sin(np.arange(1, 6) * np.pi * 0.3), rtol=1e-12)


@pytest.mark.parametrize(("millinewton", "kind"), [(30, "free"), (60, "bistable"), (110, "latched")])
def test_three_kinds_of_equilibrium(millinewton, kind):
    """A spring k and a pull P exp(u/d), d = 0.5 mm, gap 1 mm: rests clear below P = k d/e, stays on the face above P = k g/e².

    k = T/(0.24 L) = 365 N/m for the string alone at 0.4 L (a few per cent more with 15 partials): 67 mN and 49 mN.
    """
    law = f"{{gap='1 mm', factor='14 mN/A', pull='{millinewton} mN', decay_length='0.5 mm'}}"
    none = "{gap='1 mm', factor='14 mN/A', pull='0 mN', decay_length='0.5 mm'}"
    sheet = compiled(f"heads.sense.law={law}", f"heads.drive.law={none}").sheet
    assert sheet.strings[0].equilibrium == kind
    if kind == "latched":
        assert sheet.poles[0].rest_gap_m == pytest.approx(0.0, abs=1e-6)
    else:
        assert sheet.poles[0].rest_gap_m > GAP / 2


def test_a_settled_start_of_composed_stages_stands_still():
    """An inverting stage's input offset sends a current through the sense coil; with its flux in the start, nothing moves. Derived."""
    ready = compile_rig(*load("two_stages", ["start.kind=noise", "run.duration=20 ms"]))
    coils, stages = ready.model.coils, ready.model.stages
    quiet = ready.model._replace(coils=coils._replace(noise=0.0 * coils.noise), stages=stages._replace(noise=0.0 * stages.noise))
    volts = simulate(replace(ready, model=quiet)).signals.drive_voltage[:, 0]
    assert np.ptp(volts) < 2e-4  # V, of a working point at 6.1 V: single precision of the record and the strings' own start
