"""Pictures of a check: what must be in them is read back from the artists."""

import numpy as np
import pytest

from checks import synthetic_check, synthetic_map
from wirebloom.views.check_figures import CHECK_FIGURES, planned_check_figures, write_check_figures
from wirebloom.views.check_gaps import factor_over_gap
from wirebloom.views.check_growth import gain_plane, growth_bars
from wirebloom.views.check_map import MAP, map_words, partial_map, write_map
from wirebloom.views.check_places import places


def test_every_check_has_its_pages(tmp_path):
    paths = write_check_figures(synthetic_check(), tmp_path)
    assert [path.name for path in paths] == list(CHECK_FIGURES)
    for path in paths:
        assert path.read_bytes().startswith(b"\x89PNG\r\n\x1a\n")


def test_without_loops_and_heads_only_growth_is_drawn():
    assert planned_check_figures(synthetic_check(loops=False)) == ["growth.png"]


def test_bars_stand_on_their_side_of_the_threshold():
    """A rate drawn with the wrong sign, or over the wrong partial, would change what the picture says."""
    ax = growth_bars(synthetic_check(growth=(8.0, -1.0, -2.0)))
    bars = {round(bar.get_x() + bar.get_width() / 2): bar.get_height() for bar in ax.patches}
    assert bars == {1: 8.0, 2: -1.0, 3: -2.0}
    assert "grows" in ax.get_legend_handles_labels()[1]


def test_the_line_of_threshold_passes_through_gain_one_and_keeps_growing_partials_to_its_right():
    ax = gain_plane(synthetic_check(growth=(8.0, -1.0, -2.0)))
    line = next(line for line in ax.get_lines() if str(line.get_label()).startswith("real part 1"))
    ring = 2.0  # decades from the least gain that is shown, 0.01, to 1
    assert line.get_xydata()[0] == pytest.approx((ring, 0.0))
    grows = next(line for line in ax.get_lines() if line.get_label() == "grows")
    edge = np.interp(np.hypot(*grows.get_xydata()[0]), np.hypot(*line.get_xydata().T), line.get_xdata())
    assert grows.get_xdata()[0] > edge


def test_a_partial_is_shown_as_fed_by_the_sign_of_its_places_and_the_polarity():
    words = {
        polarity: [text.get_text() for text in places(synthetic_check(polarity=polarity)).texts] for polarity in ("normal", "reversed")
    }
    assert "fed, +0.74" in words["normal"]
    assert "damped, +0.74" in words["reversed"]
    assert "neither, 0.00" in words["normal"]


def test_the_range_of_the_motion_is_marked_on_the_curve():
    ax = factor_over_gap(synthetic_check())
    low, high = (ax.patches[0].get_x(), ax.patches[0].get_x() + ax.patches[0].get_width())
    assert (low, high) == pytest.approx((0.33, 1.59))
    assert ax.get_ylim()[0] == 0.0


def test_a_string_that_settles_nowhere_has_no_range():
    ax = factor_over_gap(synthetic_check(settles=False))
    assert not ax.patches
    assert "settles at no motion" in ax.get_title(loc="left")


def test_every_axis_names_its_unit():
    for page in CHECK_FIGURES.values():
        for ax in page(synthetic_check()).axes:
            assert any(mark in ax.get_xlabel() for mark in (", ", "number"))


def test_every_cell_of_a_map_has_its_number(tmp_path):
    found = synthetic_map()
    ax = partial_map(found)
    written = [text.get_text() for text in ax.texts]
    assert sorted(written) == sorted(str(n) for n in found.partial.ravel() if n > 0)
    names = {text.get_text() for text in ax.get_legend().get_texts()}
    assert names >= {"partial 1", "partial 4", "nothing grows", "no room for the head", "as the rig stands", "meets a face"}
    assert write_map(found, tmp_path).name == MAP


def test_a_map_in_words_counts_only_cells_with_room():
    assert map_words(synthetic_map()) == (
        "Over place of drive and loops.main.phase.capacitor, partial 1 leads in 50 %, partial 4 in 33 %, none in 17 % of the map."
    )
