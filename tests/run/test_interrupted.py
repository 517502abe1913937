"""A run that was stopped is the beginning of the whole one: no half frame, no number that the rest does not know of."""

import numpy as np
import pytest

from consistency.scenario import compiled
from wirebloom.run import simulate
from wirebloom.run.sampling import REACH
from wirebloom.take.measures import measure
from wirebloom.take.store import load, save

PLUCK = "start={kind='pluck', position='0.3 L', height='0.3 mm'}"
STOP = 5  # frames


class Hand:
    """Presses Ctrl-C when so many seconds have been simulated."""

    def __init__(self, after):
        self.after, self.told = after, []

    def __call__(self, reached):
        self.told.append(reached)
        if reached >= self.after - 1e-9:
            raise KeyboardInterrupt


@pytest.fixture(scope="module")
def pair():
    whole, hand = simulate(compiled(PLUCK)), Hand(STOP * 0.01)
    return whole, simulate(compiled(PLUCK), hand), hand


def test_it_says_so_and_when(pair):
    whole, part, hand = pair
    assert (whole.status, part.status) == ("complete", "interrupted")
    assert part.duration_s == pytest.approx(STOP * 0.01, rel=1e-12)
    assert hand.told == pytest.approx(np.arange(STOP + 1) * 0.01)


def test_frames_are_those_of_the_whole_run(pair):
    whole, part, _ = pair
    for name, values in vars(part.frames).items():
        assert values.shape[0] == STOP + 1, name
        np.testing.assert_array_equal(values, getattr(whole.frames, name)[: STOP + 1], err_msg=name)


def test_signals_are_those_of_the_whole_run_but_for_the_last_reach_of_the_filter(pair):
    whole, part, _ = pair
    count = round(part.duration_s * part.audio_rate)
    for name, values in vars(part.signals).items():
        assert values.shape[0] == count, name
        sure = count - REACH // 2 - 1
        np.testing.assert_array_equal(values[:sure], getattr(whole.signals, name)[:sure], err_msg=name)
        assert np.isfinite(values).all(), name


def test_it_can_be_kept_measured_and_read_again(pair, tmp_path):
    _, part, _ = pair
    save(part, tmp_path / "take.h5")
    again = load(tmp_path / "take.h5")
    assert (again.status, again.duration_s) == ("interrupted", part.duration_s)
    np.testing.assert_array_equal(again.signals.bridge_force, part.signals.bridge_force)
    assert measure(again).strings[0].outcome is None  # 50 ms tell nothing of a level over time


def test_stopped_inside_a_frame_it_ends_with_the_frame_before(monkeypatch):
    """Ctrl-C in the middle of the bookkeeping: samples of the cut frame are dropped."""
    from wirebloom.run.accounts import Accounts

    kept, calls = Accounts.take, []

    def take(self, state, record):
        calls.append(1)
        if len(calls) == STOP:
            raise KeyboardInterrupt
        kept(self, state, record)

    monkeypatch.setattr(Accounts, "take", take)
    part = simulate(compiled(PLUCK))
    assert part.status == "interrupted"
    assert part.frames.time.size == STOP
    assert part.signals.bridge_force.shape[0] == round(part.duration_s * part.audio_rate) == (STOP - 1) * 480


def test_stopped_before_the_first_frame_there_is_no_take():
    with pytest.raises(KeyboardInterrupt):
        simulate(compiled(PLUCK), Hand(0.0))
