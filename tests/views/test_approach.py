"""Motion against the gap, on one time axis."""

import numpy as np
import pytest

from synthetic import GAP, Tone, synthetic_take
from wirebloom.views.approach import approach
from wirebloom.views.bloom import bloom
from wirebloom.views.moments import near_full_level
from wirebloom.views.motion import lowest_gap


@pytest.fixture(scope="module")
def take():
    return synthetic_take((Tone(),))


def test_motion_and_what_it_leaves_make_up_the_gap(take):
    motion, left = approach(take, pole=1).get_lines()[:2]
    assert (motion.get_label(), left.get_label()) == ("motion towards it", "gap left")
    both = np.asarray(motion.get_ydata()) + np.asarray(left.get_ydata())
    np.testing.assert_allclose(both[np.isfinite(both)], 1e3 * GAP)
    assert motion.get_ydata()[-1] == pytest.approx(0.4 * take.sheet.poles[1].weight[0], rel=1e-3)
    np.testing.assert_allclose(left.get_ydata(), 1e3 * lowest_gap(take)[:, 1])


def test_the_face_stands_where_motion_has_used_up_the_gap(take):
    ax = approach(take)
    assert ax.get_yscale() == "log"
    assert 1e3 * GAP in [line.get_ydata()[0] for line in ax.get_lines() if len(line.get_ydata()) == 2]
    face = ax.patches[0]
    assert face.get_y() == pytest.approx(1e3 * GAP)
    assert face.get_y() + face.get_height() == pytest.approx(ax.get_ylim()[1])


def test_touches_are_marked_from_the_first_on():
    ax = approach(synthetic_take((Tone(),), touch=0.5))
    marks = [segment[0][0] for group in ax.collections for segment in getattr(group, "get_segments", list)() if len(segment) == 2]
    assert marks == pytest.approx([0.51])
    assert any("0.51 s" in text.get_text() for text in ax.texts)
    assert not any("touches" in text.get_text() for text in approach(synthetic_take((Tone(),))).texts)


def test_nine_tenths_of_the_last_level_are_marked_in_time_and_level(take):
    """A(t) = e^(20 (t − 0.8)) reaches 0.9 at 0.8 s + ln 0.9/20; 20 log10 0.9 is −0.915 dB."""
    begun = 0.8 + np.log(0.9) / 20.0
    assert near_full_level(take, 0) == pytest.approx(begun, abs=1e-4)
    across = [line.get_xdata()[0] for line in approach(take).get_lines() if np.ptp(line.get_xdata()) == 0.0]
    assert across == pytest.approx([begun], abs=1e-4)
    level = 20.0 * np.log10(0.4e-3 * take.sheet.strings[0].bridge_N_per_m[0])
    heights = [line.get_ydata()[0] for line in bloom(take).get_lines() if np.ptp(line.get_ydata()) == 0.0]
    assert heights == pytest.approx([level - 0.9151], abs=1e-3)


def test_a_level_that_does_not_stand_has_no_such_moment():
    assert near_full_level(synthetic_take((Tone(drift=-6.0),)), 0) is None
    assert near_full_level(synthetic_take(()), 0) is None
    assert near_full_level(synthetic_take((Tone(final=1e-8, growth=0.0),), gain=1.0), 0) is None  # far below the drive's swing: noise
