"""Steady states without a run, against other ways to the same: brute force, eigenvalues, runs.

| what                                                    | against                                                         |
|---------------------------------------------------------|-----------------------------------------------------------------|
| periodic answer of a clamped, leaking integrator        | stepping the same equation through many periods in fine steps   |
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

from consistency.scenario import compiled as bench
from random_rigs import random_rig
from wirebloom.analysis.clamped import Stage, clamped
from wirebloom.analysis.envelopes import Envelopes
from wirebloom.analysis.linear import linearise
from wirebloom.analysis.response import motions
from wirebloom.analysis.saturated import saturated
from wirebloom.analysis.strand import basis_of
from wirebloom.compile import compile_rig
from wirebloom.rig import load

ROUNDS, FINE = 6, 64  # periods, and steps between two samples


def stepped(heard, stage, period, low, high):
    """The same by explicit steps."""
    count = heard.size
    times = np.arange(count * FINE) / FINE
    signal = np.interp(times, np.arange(count + 1), np.append(heard, heard[0]))
    h, v, found = period / (count * FINE), 0.0, np.zeros(count * FINE)
    for _ in range(ROUNDS):
        for k, e in enumerate(signal):
            found[k] = v
            v = min(max(v + h * (stage.rate * e - stage.leak * v), low), high)
    return found[::FINE]


@pytest.mark.parametrize(("rate", "leak"), [(2e7, 600.0), (2e6, 2e4), (1.5e6, 0.0)])
def test_a_clamped_integrator_answers_as_if_it_were_stepped(rate, leak):
    turn = 2 * np.pi * np.arange(128) / 128
    heard = 3e-3 * np.sin(turn + 0.4) + 1e-3 * np.cos(3 * turn)
    stage = Stage(rate, leak)
    answer = clamped(heard, stage, 5e-3, np.full(128, -3.0), np.full(128, 2.5))
    assert answer == pytest.approx(stepped(heard, stage, 5e-3, -3.0, 2.5), abs=0.06)


def test_without_limits_it_is_the_linear_filter():
    turn = 2 * np.pi * np.arange(256) / 256
    omega, stage = 2 * np.pi * 200.0, Stage(1e5, 900.0)
    answer = clamped(np.cos(turn), stage, 1 / 200.0, np.full(256, -1e9), np.full(256, 1e9))
    exact = (stage.rate / (stage.leak + 1j * omega) * np.exp(1j * turn)).real
    assert answer == pytest.approx(exact, abs=2e-4 * np.abs(exact).max())


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
    second = next(state for state in found if state.partial == 2)
    assert second.amplitude_m == pytest.approx(682.4e-6, rel=0.01)  # of its run
    assert second.clearance_m == pytest.approx(0.286e-3, rel=0.05)


@pytest.mark.parametrize("name", ["too_far", "reversed"])
def test_a_rig_that_does_not_start_settles_nowhere(name):
    assert saturated(compile_rig(*load(name))).likely("pier") is None


def test_too_close_meets_a_face_on_partial_1():
    state = saturated(compile_rig(*load("too_close"))).likely("pier")
    assert (state.partial, state.touches, state.clearance_m) == (1, True, 0.0)


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
