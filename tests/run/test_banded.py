"""A run with both ends of its band, on a rig of measured heads whose band is made up: no finite elements are solved here."""

import time
from dataclasses import replace

import numpy as np
import pytest

from consistency.scenario import compiled
from wirebloom.compile.model import compile_end
from wirebloom.errors import DivergedError
from wirebloom.kernels.loop import run_steps
from wirebloom.physics.band import PoleBand
from wirebloom.run import banded, simulate, simulate_banded
from wirebloom.run.lean import lean_take, steps_together
from wirebloom.take.ends import end_of
from wirebloom.take.measures import measure

NOTE = ("loops.main.amplifier.gain=600", "start={kind='pluck', position='0.5 L', height='10 nm'}", "run.duration=1 s")
BAND = PoleBand((0.7, 1.3), (0.6, 1.9))


def with_band(ready, band=BAND):
    return replace(ready, poles=tuple(replace(pole, band=band) for pole in ready.poles))


@pytest.fixture(scope="module")
def ready():
    return with_band(compiled(*NOTE))


@pytest.fixture(scope="module")
def take(ready):
    return simulate_banded(ready)


def always(_):
    return True


def test_an_end_has_its_share_of_factor_and_pull_and_rests_accordingly(ready):
    """The law's 14 mN/A and 3 mN at 1 mm; the string gives way in proportion to the pull, nearly."""
    moved = []
    for end in range(2):
        sheet = compile_end(ready, end).sheet.poles[0]
        assert sheet.force_factor_N_per_A == pytest.approx(14e-3 * BAND.factor[end], rel=0.03)
        assert sheet.pull_N == pytest.approx(3e-3 * BAND.pull[end], rel=0.03)
        moved.append(sheet.gap_m - sheet.rest_gap_m)
    assert moved[1] / moved[0] == pytest.approx(1.9 / 0.6, rel=0.05)
    assert compile_end(ready, 0).sheet.poles[0].resistance_ohm == ready.sheet.poles[0].resistance_ohm


def test_growth_goes_with_the_square_of_the_force_factor(take):
    """σ + g K² of the small loop: from the run itself and the decay, both ends."""
    string = measure(take).strings[0]
    decay = take.sheet.strings[0].decay_per_s[0, 0]
    gained = string.growth_rate_per_s + decay
    for end, share in zip(take.band.ends.values(), BAND.factor, strict=True):
        assert end.strings[0].growth_rate_per_s + decay == pytest.approx(gained * share**2, rel=0.06)
    assert take.band.weak.strings[0].growth_rate_per_s < string.growth_rate_per_s < take.band.strong.strings[0].growth_rate_per_s


def test_an_end_is_what_a_whole_run_of_it_would_be(ready, take):
    """Lean recording changes no step, and the measures but by its coarser samples."""
    whole = simulate(compile_end(ready, 1))
    lean = lean_take(compile_end(ready, 1), always)
    for name in ("time", "amplitude", "least_gap", "most_contact"):
        np.testing.assert_array_equal(getattr(lean.frames, name), getattr(whole.frames, name))
    full, end = end_of(whole), take.band.strong
    np.testing.assert_array_equal(end.level_N, full.level_N)
    assert end.strings[0].outcome == full.strings[0].outcome
    assert end.strings[0].growth_rate_per_s == pytest.approx(full.strings[0].growth_rate_per_s, rel=1e-2)
    assert end.strings[0].pitch_Hz == pytest.approx(full.strings[0].pitch_Hz, rel=1e-4)
    assert end.strings[0].clearance_mm == full.strings[0].clearance_mm


def test_both_ends_of_no_band_are_the_run_itself(ready, take):
    for end in range(2):
        same = end_of(lean_take(compile_end(with_band(ready, PoleBand()), end), always))
        np.testing.assert_array_equal(same.level_N, end_of(take).level_N)


def test_the_run_itself_is_not_touched_by_what_runs_beside_it(ready, take):
    alone = simulate(ready)
    np.testing.assert_array_equal(take.signals.displacement, alone.signals.displacement)
    np.testing.assert_array_equal(take.frames.residual, alone.frames.residual)


def test_the_loop_lets_other_threads_run():
    assert run_steps.targetoptions["nogil"]


def test_heads_without_a_band_are_run_once(monkeypatch):
    monkeypatch.setattr(banded, "run_end", lambda *_: pytest.fail("an end was run"))
    assert simulate_banded(compiled()).band is None


def test_progress_is_that_of_all_three(ready):
    told = []
    simulate_banded(with_band(compiled()), told.append)
    assert told[0] == 0.0
    assert all(0.0 <= reached <= 0.08 + 1e-9 for reached in told)


def test_an_end_that_diverges_is_one_that_left_all_bounds(ready, monkeypatch):
    def lost(compiled_end, on):
        raise DivergedError("it must stay finite; instead received a value beyond all reason.", time_s=0.1, where="x")

    monkeypatch.setattr(banded, "lean_take", lost)
    take = simulate_banded(with_band(compiled()))
    assert take.status == "complete"
    assert [end.status for end in take.band.ends.values()] == ["diverged"] * 2
    assert take.band.weak.level_N.shape == (take.frames.time.size, 1)


class Hand:
    """Presses Ctrl-C when a run has come so far."""

    def __init__(self, moment):
        self.moment = moment

    def __call__(self, reached):
        if reached >= self.moment:
            raise KeyboardInterrupt


def test_stopped_on_the_way_it_keeps_what_there_is_and_no_band(ready):
    part = simulate_banded(ready, Hand(0.1))
    assert part.status == "interrupted"
    assert 0.0 < part.duration_s < 1.0
    assert part.band is None


def test_stopped_while_only_the_ends_still_run_it_is_complete_without_a_band(ready, monkeypatch):
    monkeypatch.setattr(banded, "NOW_AND_THEN", 1e-3)
    calls = []

    def endless(_, on):
        while on(0.0):
            time.sleep(1e-3)

    def press(reached):
        calls.append(reached)
        if len(calls) > 1 + 8 + 3:  # the run's own at its start and after each of its 8 frames
            raise KeyboardInterrupt

    monkeypatch.setattr(banded, "lean_take", endless)
    take = simulate_banded(with_band(compiled()), press)
    assert (take.status, take.band) == ("complete", None)
    assert take.duration_s == pytest.approx(0.08)


@pytest.mark.parametrize(("frame", "rate", "together"), [(960, 96e3, 4), (480, 48e3, 2), (882, 88.2e3, 3), (3840, 384e3, 16), (7, 48e3, 1)])
def test_samples_of_the_ends_divide_a_frame_and_come_often_enough(frame, rate, together):
    assert steps_together(frame, rate) == together
    assert frame % together == 0
    assert rate / together >= 24e3 or together == 1


def test_poles_in_parts_are_told_of_by_poles_of_the_rig():
    """A static pull that spreads less than the rest: two poles go to the time loop as six, and come back as two."""
    ready = with_band(compiled("run.loads='separate'"))
    poles = tuple(replace(pole, table=replace(pole.table, load=narrowed(pole.table.load, pole.table.load_x))) for pole in ready.poles)
    weak = compile_end(replace(ready, poles=poles), 0)
    assert weak.model.poles.gap.size == 6
    lean, whole = lean_take(weak, always), simulate(weak)
    assert lean.signals.displacement.shape[1] == 2
    np.testing.assert_array_equal(lean.frames.least_gap, whole.frames.least_gap)
    assert lean.signals.magnetic_force.mean() == pytest.approx(whole.signals.magnetic_force.mean(), rel=1e-3)


def narrowed(load, x):
    """The first of the three loads (3, G, X) made narrower."""
    first = load[0] ** 2
    return np.stack([first / first.sum(axis=1, keepdims=True) / (x[1] - x[0]), load[1], load[2]])
