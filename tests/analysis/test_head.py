"""A sheet for one head, from the rig to the figures: each against what the rig says, or against another way to the same number."""

import numpy as np
import pytest

from wirebloom.analysis.head import study_head
from wirebloom.compile import compile_rig
from wirebloom.errors import RigError, ScenarioError
from wirebloom.rig import load, loads

POINTS = '[["0.3 mm", "27 mN/A", "5.5 mN"], ["1 mm", "14.4 mN/A", "2.95 mN"], ["3 mm", "3.5 mN/A", "0.77 mN"]]'
SHARED = f'kind = "measured"\npoints = {POINTS}\nresistance = "25 ohm"\ninductance = "2.6 mH"\nface_diameter = "5 mm"\naperture = "6 mm"'
TEXT = f"""
format = 1
title = "Wall"
[[strings]]
name = "west"
material = "music wire"
diameter = "0.38 mm"
length = "640 mm"
pitch = "G3"
[[strings]]
name = "east"
material = "music wire"
diameter = "0.33 mm"
length = "500 mm"
pitch = "C4"
[[strings]]
name = "bell"
material = "bronze"
diameter = "0.5 mm"
length = "640 mm"
pitch = "C3"
[[heads]]
name = "near"
string = "west"
position = "0.4 L"
gap = "1 mm"
{SHARED}
[[heads]]
name = "far"
like = "near"
string = "west"
position = "0.2 L"
gap = "2 mm"
[[heads]]
name = "other"
string = "east"
position = "0.5 L"
gap = "1.5 mm"
{SHARED.replace("25 ohm", "50 ohm")}
[[loops]]
name = "main"
sense = ["near"]
drive = ["far"]
output = {{ capacitor = "470 uF" }}
amplifier = {{ gain = 200, gain_bandwidth = "3 MHz", slew = "13 V/us", supply = "9 V", supply_kind = "single", headroom = "1.5 V" }}
"""


def wall(*changes):
    return loads(TEXT, file="wall", overrides=changes)[0]


@pytest.fixture(scope="module")
def study():
    return study_head(wall(), "near")


def test_the_first_head_is_the_default_and_the_others_are_told(study):
    assert study_head(wall()).head == "near"
    assert (study.role, study.loop) == ("sense", "main")
    assert (study.others, study.alike) == (("far", "other"), ("far",))
    assert study_head(wall(), "other").role == "idle"


def test_what_a_run_of_the_rig_finds_at_rest_is_found_here(study):
    """The run has the string's stretch by its magnets on top, which is nothing here."""
    rig, plan = loads(TEXT, file="wall")
    pole = next(one for one in compile_rig(rig, plan).sheet.poles if one.head == "near")
    string = study.strings[0]
    assert string.rest.rest_gap_m == pytest.approx(pole.rest_gap_m, rel=1e-6)
    assert string.rest.pull_N == pytest.approx(pole.pull_N, rel=1e-6)
    assert string.factor_N_per_A == pytest.approx(abs(pole.force_factor_N_per_A), rel=1e-6)


def test_curves_go_through_the_measured_points(study):
    curve = study.strings[0].curve
    for gap, factor, pull in ((1e-3, 14.4e-3, 2.95e-3), (3e-3, 3.5e-3, 0.77e-3)):
        assert np.interp(gap, curve.gap_m, curve.factor_N_per_A) == pytest.approx(factor, rel=5e-3)
        assert np.interp(gap, curve.gap_m, curve.pull_N) == pytest.approx(pull, rel=5e-3)


def test_stiffness_of_the_string_at_the_head(study):
    """T L/(x (L − x)) of a tight string at x = 0.4 L; its partials stop at 10 kHz, which leaves it a little stiffer."""
    rig = wall()
    tension = compile_rig(*loads(TEXT, file="wall")).sheet.strings[0].tension_N
    tight = tension / (0.4 * 0.6 * rig.strings[0].length)
    assert tight < study.strings[0].rest.stiffness_N_per_m[0] < 1.05 * tight


def test_heads_of_one_build_over_a_string_are_set_together(study):
    assert study.strings[0].rest.together == ("far",)
    assert study_head(wall(), "other").strings[0].rest.together == ()


def test_a_measured_head_claims_nothing_of_its_inside(study):
    assert (study.winding, study.heat, study.field, study.parts) == (None, None, None, ())
    assert study.strings[0].pull_band_N is None
    assert "No band is known" in " ".join(study.limits)


def test_another_string_is_looked_at_over_the_middle_of_the_face():
    looked = study_head(wall(), "near", ["east", "west", "east"])
    assert [string.name for string in looked.strings] == ["east", "west"]
    east = looked.strings[0]
    assert (east.stands, east.gap_m, east.offset_m) == (False, 1e-3, 0.0)
    assert east.position_m == pytest.approx(0.4 * 0.5)
    assert looked.strings[1].stands


def test_names_that_nothing_has_are_answered_with_those_there_are():
    with pytest.raises(ScenarioError, match=r"^NAME must be the name of a head \(near, far, other\); instead received 'nera'\. .*'near'"):
        study_head(wall(), "nera")
    with pytest.raises(ScenarioError, match=r"^--string must be the name of a string \(west, east, bell\); instead received 'wset'"):
        study_head(wall(), "near", ["wset"])


def test_a_string_that_no_magnet_pulls_is_refused():
    with pytest.raises(RigError, match=r"instead received bell, which is bronze"):
        study_head(wall(), "near", ["bell"])


def test_a_scenario_without_a_head_has_no_sheet():
    bare = loads(TEXT.split("[[heads]]", maxsplit=1)[0], file="bare")[0]
    with pytest.raises(ScenarioError, match=r"^SCENARIO must be one with at least one head; instead received 'Wall'"):
        study_head(bare)


def test_a_weighed_pull_moves_and_narrows_the_sheet_as_it_does_the_run():
    rig, plan = load("first_note", ["heads.sense.measured.pull=4.5 mN"])
    told, before = study_head(rig, "sense").strings[0], study_head(load("first_note")[0], "sense").strings[0]
    run = compile_rig(rig, plan).sheet.poles[0]
    assert told.rest.pull_N == pytest.approx(run.pull_N, rel=1e-3)
    assert told.rest.pull_N > 1.2 * before.rest.pull_N
    assert told.pull_band_N == pytest.approx((run.pull_N * run.pull_low, run.pull_N * run.pull_high), rel=1e-3)
    assert told.pull_band_N[1] - told.pull_band_N[0] < 0.2 * (before.pull_band_N[1] - before.pull_band_N[0])
    assert told.curve.factor_band_N_per_A[1][20] / told.curve.factor_band_N_per_A[0][20] < 2.0
