"""Steady states without a run, against other ways to the same: brute force, eigenvalues, runs.

| what                                                    | against                                                         |
|---------------------------------------------------------|-----------------------------------------------------------------|
| periodic answer of a leaking integrator without limits  | the linear filter                                               |
| electronics that a string does not reach                | the same with all electronics in it; the string alone           |
| growth of every partial when it is faint                | eigenvalues of the linear model                                 |
| tension's share of the pitch, planar and circular       | Duffing: 3/8 e and 1/2 e of the frequency (check values T2, T3) |
| amplitude, pitch, clearance, drive of the first note    | the figures of its run, 10 s of time steps                      |
| a motion that leaves its plane                          | the figures of a run                                            |
| which of several states                                 | the story of the scenario                                       |

A describing function without the clamped state's lag is some 4 % off in amplitude; a force factor frozen at the rest gap, or a
tension's rise counted twice, more than 1 %.
"""

import numpy as np
import pytest

from benchmarks.check import wall
from consistency.scenario import compiled as bench
from random_rigs import CLEAR, PLUCKED, random_rig
from wirebloom.analysis.check import check
from wirebloom.analysis.clamped import Stage, clamped, opened, straightened
from wirebloom.analysis.envelopes import Envelopes
from wirebloom.analysis.linear import linearise
from wirebloom.analysis.periodic import Periodic
from wirebloom.analysis.response import motions
from wirebloom.analysis.rises import flow_of
from wirebloom.analysis.saturated import saturated
from wirebloom.analysis.strand import basis_of
from wirebloom.compile import compile_rig
from wirebloom.rig import load, loads
from wirebloom.take.check_json import check_summary


def answered(heard, stage, period, low, high):
    return clamped(heard, stage, period, np.full(heard.size, low), np.full(heard.size, high))


def test_without_limits_it_is_the_linear_filter():
    """Harmonics of a straight-lined signal come out as those of the filter, by the window of the means alone."""
    samples, omega, stage = 64, 2 * np.pi * 200.0, Stage(1e5, 900.0)
    turn = 2 * np.pi * np.arange(samples) / samples
    for n in (1, 3, 12):
        heard = straightened(samples)[n] * np.cos(n * turn)
        found = np.fft.rfft(answered(heard, stage, 1 / 200.0, -1e9, 1e9))[n] * opened(samples)[n] * 2 / samples
        assert found == pytest.approx(stage.rate / (stage.leak + 1j * n * omega), rel=5e-3)  # the 12th has five samples


def test_what_a_string_does_not_reach_is_left_out_for_good_reason():
    """All electronics of two loops that hear each other, and those that one string's fluxes reach, answer alike."""
    rig = compile_rig(*load("two_strings_two_loops"))
    flow = flow_of(basis_of(rig.model, rig.rest), 0)
    period, every = flow.period(np.full((1, 1, flow.order.size), 1e-5, dtype=complex)), np.arange(rig.model.coils.area.size)
    basis = flow.basis
    whole = Periodic(basis.model, basis.point, basis.magnets, flow.omega, flow.samples, begun=every).answer(period.flux)
    size = np.abs(whole.current).max()
    assert np.allclose(period.answer.current, whole.current, rtol=0.0, atol=1e-5 * size)


def test_a_string_with_a_loop_of_its_own_does_as_if_it_were_alone():
    alone, among = (saturated(compile_rig(*loads(wall(count), file="wall.toml"))).of("s0") for count in (1, 2))
    assert [state.partial for state in among] == [state.partial for state in alone]
    assert [state.amplitude_m for state in among] == pytest.approx([state.amplitude_m for state in alone], rel=1e-8)
    assert [state.drive_rms_V for state in among] == pytest.approx([state.drive_rms_V for state in alone], rel=1e-8)


def test_faint_partials_grow_as_the_eigenvalues_say():
    rig = bench()
    basis = basis_of(rig.model, rig.rest)
    flow = Envelopes(basis, 0, np.arange(1, 9), float(rig.model.strings.frequency[0, 0, 0]), 128)
    slope, _ = flow.slope(1e-9 * np.eye(8, dtype=complex)[:, None])
    growth = np.diagonal(slope[:, 0]).real / 1e-9
    exact = {m.partial: m.growth_per_s for m in motions(linearise(rig)) if m.polarisation == 0}
    # some per cent: the electronics answer as if nothing grew, and neighbouring partials are mixed only in the full model
    assert growth == pytest.approx([exact[n] for n in range(8)], abs=0.15, rel=0.03)


@pytest.mark.parametrize(("aside", "share"), [(0.0, 3 / 8), (1j, 1 / 2)])
def test_tension_raises_the_pitch_as_a_duffing_oscillator(aside, share):
    rig = bench()
    basis = basis_of(rig.model, rig.rest)
    strings = rig.model.strings
    omega = float(strings.frequency[0, 0, 0])
    flow = Envelopes(basis, 0, np.arange(1, 2), omega, 64, planes=2)
    a = np.array([[[1e-3], [1e-3 * aside]]], dtype=complex)
    stiff = float(strings.stretch[0] * strings.inverse_density[0] * strings.curvature[0, 0] ** 2 / omega**2)
    push = flow.tension(a)[0, 0, 0]
    assert -push / (2 * omega * 1e-3) == pytest.approx(share * stiff * 1e-6 * omega, rel=1e-9)


def test_the_first_note_is_what_its_run_settles_at():
    state = saturated(compile_rig(*load("first_note"))).likely("pier")
    # run of 10 s at 96 kHz: partial 1 658.6 µm at 194.798 Hz, partial 2 34.9 µm, clearance 0.330 mm, 2.925 V, 18.8 mA, 54.9 mW
    assert (state.partial, state.touches, state.nearest) == (1, False, "sense")
    assert state.amplitude_m == pytest.approx(658.6e-6, rel=0.01)
    assert dict(state.partials_m)[2] == pytest.approx(34.9e-6, rel=0.1)
    assert state.frequency_Hz == pytest.approx(194.798, abs=0.02)
    assert state.clearance_m == pytest.approx(0.330e-3, rel=0.02)
    assert state.drive_rms_V == pytest.approx(2.925, rel=0.01)
    assert state.drive_rms_A == pytest.approx(18.8e-3, rel=0.01)
    assert state.drive_power_W == pytest.approx(54.9e-3, rel=0.02)


def test_overtones_can_settle_at_two_partials():
    found = saturated(compile_rig(*load("overtones"))).of("pier")
    assert {state.partial for state in found} == {1, 2}
    second = found[0]
    assert (second.partial, second.likely) == (2, True)
    assert second.amplitude_m == pytest.approx(685.1e-6, rel=0.005)  # of its run, 40 s after the switch-on
    assert second.clearance_m == pytest.approx(0.286e-3, rel=0.05)


@pytest.mark.parametrize("name", ["too_far", "reversed"])
def test_a_rig_that_does_not_start_settles_nowhere(name):
    assert saturated(compile_rig(*load(name))).likely("pier") is None


def test_too_close_meets_a_face_on_partial_1():
    state = saturated(compile_rig(*load("too_close"))).likely("pier")
    assert (state.partial, state.touches, state.clearance_m) == (1, True, 0.0)


def test_a_string_of_one_partial_that_is_too_close_meets_the_face_too():
    """Nothing else to balance on its way up."""
    (state,) = saturated(compile_rig(*load("too_close", ["strings.pier.partials_to=300 Hz"]))).states
    assert state.touches


def test_a_motion_that_leaves_its_plane_whirls_as_its_run_does():
    state = saturated(random_rig(36)).likely("one")
    # its run: 275.0 µm in its plane, gap 0.494 mm; pushed aside and left alone for 20 s, 256.2 and 70.4 µm, gap 0.509 mm
    assert (state.partial, state.touches) == (3, False)
    assert state.amplitude_m == pytest.approx(275.0e-6, rel=0.005)
    assert state.clearance_m == pytest.approx(0.494e-3, rel=0.005)
    assert (state.whirl.amplitude_m, state.whirl.sideways_m) == pytest.approx((256.2e-6, 70.4e-6), rel=0.02)
    assert state.whirl.clearance_m == pytest.approx(0.509e-3, rel=0.005)
    assert state.whirl.growth_per_s > 0.0


def test_a_stronger_drive_moves_the_string_further_and_a_weaker_one_less():
    sizes = []
    for ohm in (60, 130, 400):
        rig = compile_rig(*load("first_note", (f"loops.main.amplifier.level_resistor={ohm} ohm",)))
        sizes.append(saturated(rig).states[0].amplitude_m)
    assert sizes[0] > sizes[1] > sizes[2]


def test_of_a_string_on_a_face_it_says_so():
    found = saturated(random_rig(1004, CLEAR, "heads.drive.law.pull=1 N"))
    assert found.states == ()
    assert "one rests on a face" in found.notes[0]


def test_what_states_leave_out_is_told_to_machines_too():
    found = check(compile_rig(*load("two_strings_one_loop")))
    assert found.saturated.notes
    assert check_summary(found)["notes"] == list(found.saturated.notes)


def test_strings_of_one_loop_are_told_one_by_one_and_it_says_so():
    found = saturated(compile_rig(*load("two_strings_one_loop")))
    assert {state.string for state in found.states if state.likely} == {"west", "east"}
    assert "west and east share the loop" in found.notes[0]


@pytest.mark.parametrize(("number", "amplitude"), [(1070, 1341.5e-6), (1079, 346.9e-6), (1081, 208.0e-6), (1098, 485.4e-6)])
def test_a_second_partial_near_twice_the_first_does_not_hide_its_state(number, amplitude):
    """Figures of their runs, plucked: partial 1 with up to a quarter of partial 2 in its wake, or far below where it would be alone."""
    first = next(state for state in saturated(random_rig(number, CLEAR, PLUCKED)).of("one") if state.partial == 1)
    assert not first.touches
    assert first.amplitude_m == pytest.approx(amplitude, rel=0.01)


def test_other_modes_give_way_to_the_drive():
    """What they move at the heads shifts the signal's phase: left out, 1 % of this amplitude is missing (95.1 um at 384 kHz)."""
    state = saturated(random_rig(1004, CLEAR, PLUCKED)).likely("one")
    assert state.amplitude_m == pytest.approx(95.1e-6, rel=0.003)


def test_two_stages_that_hear_each_other_come_to_agree():
    state = saturated(compile_rig(*load("two_stages"))).likely("pier")
    assert state.amplitude_m == pytest.approx(926.6e-6, rel=0.005)  # of its run, after 30 s
