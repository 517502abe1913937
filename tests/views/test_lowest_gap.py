"""The clearance picture of a string slower than the frames are shows how near it comes, not the way there and back."""

from dataclasses import replace

import numpy as np

from synthetic import synthetic_take
from wirebloom.views.motion import lowest_gap


def with_pitch(take, pitch):
    strings = tuple(replace(string, pitch_Hz=pitch) for string in take.sheet.strings)
    gap = np.where(np.arange(take.frames.time.size) % 2, 2e-3, 1e-3)[:, None] * np.ones(len(take.sheet.poles))
    return replace(take, sheet=replace(take.sheet, strings=strings), frames=replace(take.frames, least_gap=gap))


def test_two_frames_to_a_period_show_the_nearer():
    # 50 Hz: 20 ms, two frames of 10 ms
    assert (lowest_gap(with_pitch(synthetic_take(), 50.0)) == 1e-3).all()


def test_frames_longer_than_a_period_are_left_alone():
    take = with_pitch(synthetic_take(), 196.0)
    np.testing.assert_array_equal(lowest_gap(take), take.frames.least_gap)


def test_a_take_of_one_row_is_drawn():
    assert lowest_gap(synthetic_take(duration=0.0)).shape[0] == synthetic_take(duration=0.0).frames.time.size
