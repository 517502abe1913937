"""A take with its band: there and back to the last bit, in a group that a stranger can open, and absent from older files."""

from dataclasses import replace

import h5py
import numpy as np
import pytest
import xarray

from bands import string_end
from wirebloom.errors import FileError
from wirebloom.take.band import Band, End
from wirebloom.take.store import load, save

from .make_version_1 import FILE, FRAMES, STRINGS, make_take, ramp
from .same import differences

NOTHING = string_end(
    outcome=None, start_time_s=None, growth_rate_per_s=None, dominant_partial=None, pitch_Hz=None, bridge_force_N=0.0, clearance_mm=None,
    head=None, first_touch_s=None,
)  # fmt: skip
AT_ONCE = string_end(start_time_s=0.0, first_touch_s=0.0, clearance_mm=0.0, growth_rate_per_s=-3.0, dominant_partial=4, buzz="steady")


def make_band():
    """Every figure there is and every one that may be missing, and levels that can be told apart."""
    level = ramp(FRAMES, STRINGS, step=0.25)
    return Band(End("complete", (string_end(), NOTHING), level), End("diverged", (AT_ONCE, string_end(outcome="carried")), -level))


@pytest.fixture
def path(tmp_path):
    sheet = make_take().sheet
    pole = replace(sheet.poles[0], factor_low=0.7, factor_high=1.5, pull_low=0.625, pull_high=2.0, band_note="the weighed pull narrows it")
    take = replace(make_take(), band=make_band(), sheet=replace(sheet, poles=(pole, *sheet.poles[1:])))
    save(take, tmp_path / "take.h5")
    assert differences(take, load(tmp_path / "take.h5")) == []
    return tmp_path / "take.h5"


def test_there_and_back(path):
    assert load(path).sheet.poles[0].pull_high == 2.0
    assert load(path).band.strong.strings[0].dominant_partial == 4


def test_a_stranger_can_open_it(path):
    with xarray.open_dataset(path, group="band", engine="h5netcdf") as band:
        assert band["end"].values.tolist() == ["weak", "strong"]
        assert band["start_time_s"].sel(end="weak", string="pier") == 0.8
        assert band["start_time_s"].sel(end="weak", string="quay") == -1.0
        assert "-1: none" in band["start_time_s"].attrs["long_name"]
        np.testing.assert_array_equal(band["level_N"].sel(end="strong"), -ramp(FRAMES, STRINGS, step=0.25))


def test_a_take_without_a_band_has_no_such_group(tmp_path):
    save(make_take(), tmp_path / "take.h5")
    with h5py.File(tmp_path / "take.h5") as file:
        assert "band" not in file
    assert load(tmp_path / "take.h5").band is None


def test_a_file_from_before_there_were_bands():
    old = load(FILE)
    assert old.band is None
    assert {(pole.factor_low, pole.factor_high, pole.pull_low, pole.pull_high, pole.band_note) for pole in old.sheet.poles} == {
        (1.0,) * 4 + ("",)
    }


@pytest.mark.parametrize("what", ["band/outcome", "band/level_N", "band/end"])
def test_half_a_band_is_refused(path, what):
    with h5py.File(path, "r+") as file:
        if what == "band/end":
            for name in ("status", "level_N"):
                del file[f"band/{name}"]
        else:
            del file[what]
    with pytest.raises(FileError, match="must be"):
        load(path)
