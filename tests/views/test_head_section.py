"""A head cut across its string, by what is drawn.

Caught: motion upside down or mirrored, radius for diameter, a gap counted to the string's middle.
"""

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.patches import Circle, Polygon

from wirebloom.views.head_section import head_section, section_alt
from wirebloom.views.section_motion import least_gap, orbit, swept

from .bench_takes import moment, steady, without_samples

GAP, SIZE = 1.0, 0.38  # mm


def moved(take, towards=0.0, sideways=0.0):
    """The take with this motion (t,) at its first head, m."""
    displacement = np.zeros_like(take.signals.displacement)
    displacement[:, 0, 0], displacement[:, 0, 1] = towards, sideways
    return replace(take, signals=replace(take.signals, displacement=displacement))


def drawn(ax, label):
    return next(patch for patch in ax.patches if patch.get_label() == label)


def test_outline_of_a_round_orbit():
    turn = np.linspace(0.0, 2.0 * np.pi, 4801)
    outline = swept(np.stack([3.0 * np.cos(turn), 3.0 * np.sin(turn)], axis=1), 0.5)
    assert np.hypot(*outline.T) == pytest.approx(3.25, rel=1e-6)


def test_towards_the_head_is_down_and_sideways_to_the_right():
    take = steady()
    count = len(take.signals.displacement)
    take = moved(take, np.where(np.arange(count) % 2, 0.4e-3, 0.0), np.where(np.arange(count) % 2, 0.3e-3, 0.0))
    corners = drawn(head_section(take), "swept in the last second").get_xy()
    assert corners[:, 1].min() == pytest.approx(GAP - 0.4, abs=1e-6)
    assert corners[:, 1].max() == pytest.approx(GAP + SIZE, abs=1e-6)
    assert corners[:, 0].min() == pytest.approx(-SIZE / 2, abs=1e-6)
    assert corners[:, 0].max() == pytest.approx(0.3 + SIZE / 2, abs=1e-6)
    lowest = corners[corners[:, 1].argmin()]
    assert lowest[0] == pytest.approx(0.3, abs=1e-6)  # down there it is to the right


def test_whole_take_and_last_second_are_told_apart():
    take = steady(duration=2.0)
    early = np.zeros(len(take.signals.displacement))
    early[100] = 0.6e-3
    ax = head_section(moved(take, early))
    assert drawn(ax, "swept in the whole take").get_xy()[:, 1].min() == pytest.approx(GAP - 0.6, abs=1e-6)
    assert drawn(ax, "swept in the last second").get_xy()[:, 1].min() == pytest.approx(GAP, abs=1e-6)


def test_string_face_and_flange_at_their_places():
    take = steady()
    pole = replace(take.sheet.poles[0], rest_gap_m=0.9e-3, offset_m=0.5e-3)
    take = replace(take, sheet=replace(take.sheet, poles=(pole, *take.sheet.poles[1:])))
    ax = head_section(take)
    string = drawn(ax, "string at rest")
    assert isinstance(string, Circle)
    assert string.get_center() == pytest.approx((0.5, 0.9 + SIZE / 2))
    assert string.get_radius() == pytest.approx(SIZE / 2)
    lines = {line.get_label(): line.get_xydata() for line in ax.lines}
    assert lines["face"].tolist() == [[-2.5, 0.0], [2.5, 0.0]]
    assert lines["flange"][:, 1].tolist() == [-0.5, -0.5]
    assert lines["flange"][:, 0] == pytest.approx([2.5, 5.6])


def test_one_scale_both_ways():
    ax = head_section(steady())
    ax.figure.canvas.draw()
    across, up = (ax.transData.transform(end) - ax.transData.transform((0.0, 0.0)) for end in ((1.0, 0.0), (0.0, 1.0)))
    assert across[0] == pytest.approx(up[1], rel=1e-9)


def test_least_gap_is_that_of_the_slow_records():
    take = steady()
    texts = [text.get_text() for text in head_section(take).texts]
    least = float(take.frames.least_gap[:, 0].min())
    assert f"{1e3 * least:.2f} mm" in texts
    assert least_gap(take, 0) == least


def test_touches():
    take = steady(touch=0.5)
    assert "touches" in [text.get_text() for text in head_section(take).texts]
    assert "it touches the face" in section_alt(take, 0)


def test_parts_of_a_known_head_are_drawn_with_the_whole_of_it_beside():
    ax = head_section(moment())
    assert len(ax.child_axes) == 1
    assert {"core", "coil", "magnet ↑"} <= {text.get_text() for text in ax.child_axes[0].texts}


def test_of_an_unknown_head_the_face_alone():
    assert not head_section(steady()).child_axes


def test_nothing_recorded():
    take = without_samples(steady())
    ax = head_section(take)
    assert not [patch for patch in ax.patches if isinstance(patch, Polygon)]
    assert orbit(take, 0).whole.shape == (0, 2)
    assert "No motion is recorded." in section_alt(take, 0)


def test_said_in_words():
    said = section_alt(moved(steady(), np.where(np.arange(96000) % 2, 0.4e-3, -0.1e-3), 0.0), 0)
    assert "0.38 mm rests 1.00 mm above a face of 5.0 mm" in said
    assert "500 µm up and down and nothing sideways" in said
