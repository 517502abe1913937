"""Map, axis and string of a round head tell of one field, as strong as it was measured; and the whole sheet of a shipped head."""

from types import SimpleNamespace

import numpy as np
import pytest

from wirebloom.analysis.head import study_head
from wirebloom.analysis.head_field import along_sheet, field_sheet, solved_head
from wirebloom.rig import load

GAP, RADIUS, OFFSET = 1e-3, 0.19e-3, 0.0


def table(face_field):
    """What the field sheets read of a table."""
    gap, x = np.linspace(0.0, 3e-3, 4), np.linspace(-2e-3, 2e-3, 5)
    load = np.arange(3 * 4 * 5, dtype=float).reshape(3, 4, 5)
    return SimpleNamespace(face_field=face_field, gap=gap, load_x=x, load=load)


@pytest.fixture(scope="module")
def head():
    return load("first_note")[0].heads[0]


@pytest.fixture(scope="module")
def solved(head):
    return solved_head(head, table(None))


@pytest.fixture(scope="module")
def sheet(solved):
    return field_sheet(solved)


def near(axis, value):
    return int(np.abs(axis - value).argmin())


def test_map_and_axis_agree(sheet):
    row, on_axis = near(sheet.height_m, 2e-3), near(sheet.axis_height_m, 2e-3)
    for of_map, of_axis in ((sheet.magnet_T, sheet.axis_magnet_T), (sheet.coil_T_per_A, sheet.axis_coil_T_per_A)):
        assert of_map[row, 0] == pytest.approx(np.interp(sheet.height_m[row], sheet.axis_height_m, of_axis), rel=5e-3)
    assert sheet.axis_magnet_T[on_axis] > 0.0


def test_the_map_holds_head_and_string(head, sheet):
    assert sheet.height_m[0] < -13e-3
    assert sheet.height_m[-1] >= 4e-3
    assert sheet.radius_m[-1] > head.outer_radius


def test_a_measured_field_makes_map_axis_and_string_so_strong(head, sheet):
    at_one = float(np.interp(1e-3, sheet.axis_height_m, sheet.axis_magnet_T))
    known = solved_head(head, table(2.0 * at_one))
    stronger = field_sheet(known)
    np.testing.assert_allclose(stronger.magnet_T, 2.0 * sheet.magnet_T, rtol=2e-3)
    np.testing.assert_allclose(stronger.axis_magnet_T, 2.0 * sheet.axis_magnet_T, rtol=2e-3)
    np.testing.assert_allclose(stronger.coil_T_per_A, sheet.coil_T_per_A, rtol=1e-9)


def test_along_the_string_upwards_is_even_and_along_is_odd(solved, sheet):
    along = along_sheet(solved, table(None), GAP, RADIUS, OFFSET)
    np.testing.assert_allclose(along.magnet_up_T, along.magnet_up_T[::-1], rtol=1e-9)
    np.testing.assert_allclose(along.magnet_along_T, -along.magnet_along_T[::-1], atol=1e-12)
    middle = along.x_m.size // 2
    assert along.magnet_up_T[middle] == pytest.approx(np.interp(GAP + RADIUS, sheet.axis_height_m, sheet.axis_magnet_T), rel=1e-3)
    assert along.magnet_along_T[-1] > 0.0  # lines that come out of the face spread outwards
    np.testing.assert_array_equal(along.load_per_m, table(None).load[1, 1])


def test_beside_the_axis_only_a_share_of_the_radial_field_is_along_the_string(solved):
    straight, beside = (along_sheet(solved, table(None), GAP, RADIUS, offset) for offset in (0.0, 3e-3))
    place = near(beside.x_m, 4e-3)
    reach = float(np.hypot(beside.x_m[place], 3e-3))
    radial = float(np.interp(reach, straight.x_m, straight.magnet_along_T))
    assert beside.magnet_along_T[place] == pytest.approx(radial * beside.x_m[place] / reach, rel=2e-2)


def test_a_shipped_head_has_a_whole_sheet():
    study = study_head(load("first_note")[0], "drive")
    string = study.strings[0]
    assert study.alike == ("sense",)
    assert study.heat.drive_A == pytest.approx(3.0 / (study.resistance_ohm + 130.5))
    assert np.sum(string.along.load_per_m) * (string.along.load_x_m[1] - string.along.load_x_m[0]) == pytest.approx(1.0, rel=1e-6)
    low, high = string.factor_band_N_per_A
    assert 0.4 * string.factor_N_per_A < low < string.factor_N_per_A < high < 2.0 * string.factor_N_per_A
    assert string.rest.kind == "free"
    assert string.rest.rest_gap_m < string.gap_m
    assert string.rest.stiffness_N_per_m[0] * (string.rest.others_gap_m - string.rest.rest_gap_m) == pytest.approx(
        string.rest.pull_N, rel=1e-6
    )
