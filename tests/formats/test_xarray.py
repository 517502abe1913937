"""Every group opens in xarray as it is: a general reader that knows nothing of takes.

Conventions checked: dimension scales of HDF5 and the attributes `units`, `long_name`, `coordinates` of the CF conventions
(sections 3.1, 3.2 and 5; from memory).
"""

import dataclasses

import numpy as np
import pytest
import xarray

from wirebloom.take import contents
from wirebloom.take.sheet import LoopSheet, PoleSheet, StringSheet
from wirebloom.take.store import save
from wirebloom.take.take import Frames, Signals

from .make_version_1 import make_take

GROUPS = ("signals", "frames", "shape", "sheet/strings", "sheet/poles", "sheet/loops")
DIMENSIONS = {
    "signals": {"time": 12, "pole": 3, "polarisation": 2, "loop": 2, "string": 2},
    "frames": {"frame": 3, "pole": 3, "polarisation": 2, "loop": 2, "string": 2, "partial": 5},
    "shape": {"phase": 4, "string": 2, "polarisation": 2, "x": 7},
    "sheet/strings": {"string": 2, "polarisation": 2, "partial": 5},
    "sheet/poles": {"pole": 3, "partial": 5},
    "sheet/loops": {"loop": 2, "sense_head": 2, "drive_head": 1},
}


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    file = tmp_path_factory.mktemp("takes") / "take.h5"
    save(make_take(), file)
    return file


def opened(path, group):
    with xarray.open_dataset(path, group=group, engine="h5netcdf") as data:
        return data.load()


@pytest.mark.parametrize("group", GROUPS)
def test_dimensions(path, group):
    data = opened(path, group)
    assert dict(data.sizes) == DIMENSIONS[group]
    assert set(data.indexes) == set(data.sizes), "every dimension has values along it"


TABLES = dict(
    zip(GROUPS, (contents.SIGNALS, contents.FRAMES, contents.SHAPE, contents.STRINGS, contents.POLES, contents.LOOPS), strict=True)
)


@pytest.mark.parametrize("group", GROUPS)
def test_units_and_names(path, group):
    data = opened(path, group)
    for name, variable in TABLES[group].items():
        assert data[name].attrs == {"units": variable.units, "long_name": variable.long_name}, name
        assert set(data[name].dims) == set(variable.dims), name
    for name, axis in data.coords.items():
        assert axis.attrs["units"] == ("s" if name == "time" else "m" if name == "place" else "1"), name
        assert axis.attrs["long_name"].isprintable(), name
        assert axis.attrs["long_name"], name


def test_units_agree_with_the_names():
    """A unit slip between a field such as `inductance_H` and what its file says of it."""
    for name, variable in (contents.STRINGS | contents.POLES | contents.LOOPS).items():
        unit = variable.units.replace("1/s", "per_s").replace("/", "_per_")
        due = {"kg_per_m": "kg_m"}.get(unit, unit)
        assert due == "1" or name.endswith(f"_{due}"), name


@pytest.mark.parametrize(
    ("table", "kind"),
    [
        (contents.SIGNALS, Signals),
        (contents.FRAMES, Frames),
        (contents.STRINGS, StringSheet),
        (contents.POLES, PoleSheet),
        (contents.LOOPS, LoopSheet),
    ],
)
def test_every_field_is_in_the_table(table, kind):
    assert list(table) == [field.name for field in dataclasses.fields(kind)]


def test_signals(path):
    take, data = make_take(), opened(path, "signals")
    assert data["time"].values == pytest.approx(np.arange(12) / 48000.0, abs=0.0, rel=1e-15)
    assert data["displacement"].dtype == np.float32
    aside = data["displacement"].sel(pole="pier over hand", polarisation="sideways")
    assert np.array_equal(aside.values, take.signals.displacement[:, 1, 1])
    assert np.array_equal(data["drive_current"].sel(loop="second").values, take.signals.drive_current[:, 1])
    assert np.array_equal(data["bridge_force"].sel(string="quay", polarisation="towards heads").values, take.signals.bridge_force[:, 1, 0])


def test_frames(path):
    take, data = make_take(), opened(path, "frames")
    assert np.array_equal(data["amplitude"].coords["time"].values, take.frames.time)
    third = data["amplitude"].sel(string="quay", partial=3, polarisation="sideways")
    assert np.array_equal(third.values, take.frames.amplitude[:, 1, 1, 2])


def test_shape(path):
    take, data = make_take(), opened(path, "shape")
    picture = data["displacement"].sel(string="quay", polarisation="sideways")
    assert np.array_equal(picture.coords["place"].values, take.shape.x[1])
    assert np.array_equal(picture.coords["time"].values, take.shape.time)
    assert np.array_equal(picture.values, take.shape.displacement[:, 1, 1])


def test_sheets(path):
    take = make_take()
    strings, poles, loops = (opened(path, f"sheet/{name}") for name in ("strings", "poles", "loops"))
    assert strings["partials"].values.tolist() == [5, 3]
    assert strings["frequency_Hz"].sel(string="quay").values[1].tolist() == [*take.sheet.strings[1].frequency_Hz[1], 0.0, 0.0]
    assert poles["role"].values.tolist() == ["sense", "drive", "idle"]
    assert poles["loop"].values.tolist() == ["main", "main", ""]
    assert poles["partials"].values.tolist() == [5, 5, 3]
    assert loops["sense"].values.tolist() == [["ear", ""], ["ear", "spare"]]


def test_root(path):
    said = opened(path, "/").attrs
    assert said["kind"] == "wirebloom take"
    assert said["format_version"] == 1
    assert said["scenario"] == make_take().scenario
    assert list(said["overrides"]) == ["heads.ear.gap=1 mm", "run.duration=1 s"]
    assert said["seed"] == 2**40 + 1
    assert (said["digest"], said["status"], said["version_wirebloom"]) == ("0123456789abcdef", "complete", "0.1.0")
    assert (said["rate_Hz"], said["audio_rate_Hz"], said["duration_s"]) == (96000.0, 48000.0, 0.1)
    assert list(opened(path, "sheet").attrs["cautions"]) == list(make_take().sheet.cautions)
