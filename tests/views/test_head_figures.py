"""Pictures of a head: what must be in them is read back from the artists."""

from dataclasses import replace

import numpy as np
import pytest

from studies import PARTS, along, bistable, curve, field, heat, measured_study, rest, string, synthetic_study
from wirebloom.views.head_curves import coil_temperature, field_along, force_factor, load_along, static_pull
from wirebloom.views.head_drawing import field_across, field_beside
from wirebloom.views.head_figures import HEAD_FIGURES, planned_head_figures, write_head_figures
from wirebloom.views.head_rest import pull_against_string, regions, rest_over_gap, stiffness_sideways, stiffness_taken

LOST = {"latches_to_m": None, "sticks_to_m": None, "safe_m": None}
STUDIES = {
    "plain": synthetic_study(),
    "measured": measured_study(),
    "bistable": synthetic_study(strings=(string(rest=bistable()),)),
    "latched": synthetic_study(strings=(string(rest=bistable(kind="latched", rest_gap_m=0.0, **LOST)),)),
    "several": synthetic_study(strings=tuple(string(f"s{place}", offset_m=2e-3 * place) for place in range(3))),
    "without magnets": synthetic_study(field=field(0.0), strings=(string(curve=curve(sense=0.0)),)),
    "driven": synthetic_study(heat=heat(drive_A=0.1, drive_K=(353.0, 323.0), magnet_K=353.15)),
    "overdriven": synthetic_study(heat=heat(drive_A=1.0, drive_K=(np.inf, 900.0))),
}  # fmt: skip


@pytest.mark.parametrize("kind", STUDIES)
def test_every_study_has_its_pictures(kind, tmp_path):
    paths = write_head_figures(STUDIES[kind], tmp_path)
    assert [path.name for path in paths] == planned_head_figures(STUDIES[kind])
    for path in paths:
        assert path.read_bytes().startswith(b"\x89PNG\r\n\x1a\n")


def test_a_measured_head_has_only_force_and_rest():
    assert planned_head_figures(measured_study()) == ["force.png", "rest.png"]


@pytest.mark.parametrize("page", HEAD_FIGURES)
def test_every_axis_has_a_unit(page):
    for ax in HEAD_FIGURES[page](synthetic_study()).axes:
        for name in (ax.get_xlabel(), ax.get_ylabel()):
            assert not name or ", " in name or " mm" in name, name


@pytest.mark.parametrize("draw", [field_across, field_beside])
def test_head_and_string_are_drawn_to_scale(draw):
    ax = draw(synthetic_study())
    assert ax.get_aspect() == 1.0
    boxes = [patch.get_bbox().bounds for patch in ax.patches if hasattr(patch, "get_bbox")]
    assert pytest.approx((-2.5, -10.0, 5.0, 10.0)) in boxes  # core, mm
    assert pytest.approx((2.8, -8.5, 2.8, 8.0)) in boxes  # right half of the coil


def test_the_string_end_on_is_a_disc_at_its_gap():
    ax = field_across(synthetic_study(strings=(string(offset_m=-2e-3),)))
    disc = next(patch for patch in ax.patches if hasattr(patch, "center"))
    assert disc.radius == pytest.approx(0.19)
    assert disc.center == pytest.approx((-2.0, 1.19))


def test_a_magnets_way_and_every_part_are_named():
    words = [text.get_text() for text in field_across(synthetic_study()).texts]
    assert {"core", "coil", "magnet ↑"} <= set(words)
    down = synthetic_study(parts=(*PARTS[:2], replace(PARTS[2], direction="down")))
    assert "magnet ↓" in [text.get_text() for text in field_across(down).texts]


def test_force_and_pull_are_in_thousandths_with_their_band():
    for draw, values in ((force_factor, curve().factor_N_per_A), (static_pull, curve().pull_N)):
        ax = draw(synthetic_study())
        line = next(one for one in ax.get_lines() if one.get_label() == "pier")
        np.testing.assert_allclose(line.get_ydata(), 1e3 * values)
        box = ax.collections[0].get_datalim(ax.transData)
        np.testing.assert_allclose([box.y0, box.y1], [0.7e3 * values[-1], 1.5e3 * values[0]], rtol=1e-9)
        assert ax.get_yscale() == "log"


def test_without_a_band_nothing_is_shaded():
    assert not force_factor(measured_study()).collections


def test_pull_and_string_meet_at_rest():
    ax = pull_against_string(string(rest=rest(others_gap_m=1e-3, rest_gap_m=0.99e-3, pull_N=3.69e-3)))
    line = next(one for one in ax.get_lines() if one.get_label() == "string")
    dot = next(one for one in ax.get_lines() if one.get_label() == "rest")
    (x0, x1), (y0, y1) = line.get_data()
    assert y0 + (y1 - y0) * (dot.get_xdata()[0] - x0) / (x1 - x0) == pytest.approx(dot.get_ydata()[0])
    assert dot.get_ydata()[0] == pytest.approx(3.69)


def test_other_heads_that_pull_are_told():
    labels = [line.get_label() for line in pull_against_string(string(rest=rest(others_gap_m=0.5e-3))).get_lines()]
    assert "string, others pulling" in labels


def test_regions_fill_the_map_in_order():
    assert regions(bistable()) == [("latched", 0.1, 0.4), ("bistable", 0.4, 1.3), ("free", 1.3, 6.0)]
    assert regions(rest()) == [("free", 0.1, 6.0)]
    assert regions(rest(latches_to_m=None, sticks_to_m=None)) == [("latched", 0.1, 6.0)]


def test_only_clear_rests_are_drawn_and_the_safe_gap_is_marked():
    ax = rest_over_gap(string(rest=bistable()))
    line = next(one for one in ax.get_lines() if one.get_label() == "with magnets")
    shown = np.isfinite(line.get_ydata())
    np.testing.assert_array_equal(shown, [kind != "latched" for kind in bistable().kinds])
    assert "safe from 1.60 mm on" in [one.get_label() for one in ax.get_lines()]


def test_stiffness_taken_is_in_per_cent_and_only_of_clear_rests():
    line = stiffness_taken(string(rest=bistable())).get_lines()[0]
    clear = np.array([kind != "latched" for kind in bistable().kinds])
    np.testing.assert_allclose(line.get_ydata()[clear], 100.0 * bistable().softnesses[clear])
    assert np.isnan(line.get_ydata()[~clear]).all()


def test_the_strings_own_stiffness_is_a_line_only_where_it_matters():
    strong = string(rest=rest(side_N_per_m=2e3 * rest().side_N_per_m))
    heights = [float(line.get_ydata()[0]) for line in stiffness_sideways(strong).get_lines() if len(line.get_ydata()) == 2]
    assert -369.3 in heights
    weak = [float(line.get_ydata()[0]) for line in stiffness_sideways(string()).get_lines() if len(line.get_ydata()) == 2]
    assert -369.3 not in weak


def test_along_the_string_in_millitesla_and_per_millimetre():
    line = next(one for one in field_along(along()).get_lines() if one.get_label() == "magnets, upwards")
    assert line.get_ydata().max() == pytest.approx(20.0)
    x, load = load_along(along()).get_lines()[0].get_data()
    assert np.trapezoid(load, x) == pytest.approx(1.0, rel=1e-3)


def test_temperature_over_current_with_its_limits():
    ax = coil_temperature(synthetic_study(heat=heat(magnet_K=353.15)))
    levels = {round(float(line.get_ydata()[0])) for line in ax.get_lines() if len(line.get_ydata()) == 2}
    assert {60, 80, 155} <= levels
    little = next(one for one in ax.get_lines() if one.get_label() == "little cooling")
    assert little.get_ydata()[-1] == pytest.approx(20.0 + 6000.0 * 0.04)
