"""The rig from the side by what is drawn: places, heights times the stated factor, one scale both ways.

Caught: metres drawn as millimetres, a factor that the title does not state or that bodies get too, motion upside down, a gap at the
wrong head.
"""

import re
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.patches import Rectangle

from wirebloom.views.rig_drawing import rig_alt, side_view
from wirebloom.views.side_motion import exaggeration, motion_along

from .bench_takes import moment, steady, without_samples


def stated(ax):
    """The factor that the drawing states."""
    return float(re.search(r"drawn (\d+) × larger", ax.get_title(loc="left"))[1])


def bodies(ax):
    return [patch for patch in ax.patches if isinstance(patch, Rectangle)]


def test_one_scale_both_ways():
    ax = side_view(steady())
    ax.figure.canvas.draw()
    across, up = (ax.transData.transform(end) - ax.transData.transform((0.0, 0.0)) for end in ((100.0, 0.0), (0.0, 100.0)))
    assert across[0] == pytest.approx(up[1], rel=1e-9)


def test_heads_stand_at_their_places_under_gaps_drawn_larger():
    take = steady()
    ax = side_view(take)
    faces = {round(body.get_x() + body.get_width() / 2.0, 6): body for body in bodies(ax) if body.get_width() == pytest.approx(5.0)}
    assert sorted(faces) == pytest.approx([0.286 * 640.0, 0.4 * 640.0])
    for body in faces.values():
        assert body.get_y() + body.get_height() == pytest.approx(-stated(ax) * 1.0)  # 1 mm, as much larger as it says
        assert body.get_height() == pytest.approx(12.0)  # not larger: no parts are known of it


def test_a_known_head_is_as_deep_as_its_parts():
    ax = side_view(moment())
    assert {round(body.get_height(), 6) for body in bodies(ax) if body.get_width() == pytest.approx(5.0)} == {13.0}  # core 10, magnet 3


def test_motion_is_drawn_to_the_same_factor_heads_below():
    take = steady()
    drawn = take.shape.displacement.copy()
    drawn[:, 0, 0] = 0.0
    drawn[0, 0, 0, 25] = 0.5e-3  # once towards the heads
    ax = side_view(replace(take, shape=replace(take.shape, displacement=drawn)))
    band = next(one for one in ax.collections if one.get_label() == "motion")
    corners = band.get_paths()[0].vertices
    assert corners[:, 1].min() == pytest.approx(-stated(ax) * 0.5)
    assert corners[:, 1].max() == pytest.approx(stated(ax) * 0.38)  # the string's own thickness: it never went up
    assert corners[corners[:, 1].argmin(), 0] == pytest.approx(1e3 * take.shape.x[0, 25])


def test_numbers_of_the_scale_are_true_millimetres():
    ax = side_view(steady())
    for place, label in zip(ax.get_yticks(), ax.get_yticklabels(), strict=True):
        assert place == pytest.approx(-stated(ax) * float(label.get_text()))


@pytest.mark.parametrize(
    ("length", "height", "factor"),
    [(0.64, 1e-3, 50.0), (0.64, 1.28e-3, 50.0), (0.64, 1.3e-3, 20.0), (0.64, 6.4e-3, 10.0), (1.1, 2e-3, 50.0), (0.05, 12e-3, 1.0)],
)
def test_factor_fills_up_to_a_tenth_of_the_length(length, height, factor):
    assert exaggeration(length, height) == factor


def test_names_roles_and_places_are_written():
    texts = [text.get_text() for text in side_view(steady()).texts]
    assert "sense 1\n256.0 mm" in texts
    assert "drive 1\n183.0 mm" in texts
    assert texts.count("1.00 mm") == 2
    assert {"bridge", "far end"} <= set(texts)


def test_near_heads_are_named_below_one_another():
    take = steady()
    poles = tuple(replace(pole, position_m=0.3 + 0.02 * j) for j, pole in enumerate(take.sheet.poles))
    ax = side_view(replace(take, sheet=replace(take.sheet, poles=poles)))
    heights = [text.get_position()[1] for text in ax.texts if "\n" in text.get_text()]
    assert len(set(heights)) == 2


def test_long_names_do_not_run_into_one_another():
    take = steady()
    poles = tuple(replace(pole, head=f"{pole.head} {'x' * 30}") for pole in take.sheet.poles)
    ax = side_view(replace(take, sheet=replace(take.sheet, poles=poles)))
    ax.figure.canvas.draw()
    one, other = (text.get_window_extent() for text in ax.texts if "\n" in text.get_text())
    assert not one.overlaps(other)


def test_without_a_record_it_stands_at_rest():
    take = without_samples(steady())
    rest = np.zeros((2, 12))
    rest[0, 0] = 1e-5  # m in the middle, by partial 1
    sheet = replace(take.sheet, strings=(replace(take.sheet.strings[0], rest_m=rest),))
    found = motion_along(replace(take, sheet=sheet), 0)
    assert not found.seen
    assert found.most.max() == pytest.approx(1e-5)
    assert found.x[found.most.argmax()] == pytest.approx(0.32)
    assert "no motion recorded" in side_view(take).get_title(loc="left")
    assert "No motion is recorded." in rig_alt(take)


def test_a_string_without_heads():
    take = steady()
    bare = replace(take, sheet=replace(take.sheet, poles=()))
    assert not bodies(side_view(bare))
    assert "without a head" in rig_alt(bare)


def test_draws_where_it_is_told():
    from matplotlib.figure import Figure

    ax = Figure().subplots()
    assert side_view(steady(strings=2), ax, string=1) is ax
    assert "pier 2" in ax.get_title(loc="left")


def test_said_in_words():
    said = rig_alt(steady())
    assert "pier 1, 640 mm long" in said
    assert "drive 1 183.0 mm from the bridge, gap 1.00 mm; sense 1 256.0 mm" in said
    assert "800 µm up and down" in said  # twice the amplitude of 0.4 mm
