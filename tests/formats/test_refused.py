"""Files that are no takes, and takes that make no file: one sentence each, and nothing left behind."""

import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import h5py
import numpy as np
import pytest

from wirebloom.errors import FileError
from wirebloom.take.store import load, save

from .make_version_1 import make_take


@pytest.fixture(scope="module")
def stored(tmp_path_factory):
    """The bytes of a good file."""
    file = tmp_path_factory.mktemp("takes") / "take.h5"
    save(make_take(), file)
    return file.read_bytes()


@pytest.fixture
def path(stored, tmp_path):
    """A good file, to be spoilt."""
    (tmp_path / "take.h5").write_bytes(stored)
    return tmp_path / "take.h5"


def refused(path):
    """The one sentence with which a file is refused; it names the file."""
    with pytest.raises(FileError) as problem:
        load(path)
    said = str(problem.value)
    assert said.startswith(str(path))
    assert re.fullmatch(r".+ must be .+; instead received .+\.", said), said
    assert problem.value.exit_code == 5
    return said.removeprefix(str(path))


def change(path, act):
    with h5py.File(path, "r+") as file:
        act(file)
    return refused(path)


def put(name, value):
    return lambda file: file.attrs.__setitem__(name, value)


def test_no_file(tmp_path):
    assert "no file" in refused(tmp_path / "nothing.h5")
    assert "a folder" in refused(tmp_path)


@pytest.mark.parametrize("content", [b"", b"RIFF\x00\x00\x00\x00WAVEfmt ", b"\x89HDF"], ids=["empty", "sound", "first bytes"])
def test_not_hdf5(content, tmp_path):
    (tmp_path / "take.h5").write_bytes(content)
    assert "must be an HDF5 file" in refused(tmp_path / "take.h5")


@pytest.mark.parametrize("share", [0.001, 0.1, 0.5, 0.9, 0.9999])
def test_truncated(share, path):
    whole = path.read_bytes()
    path.write_bytes(whole[: int(share * len(whole))])
    assert "must be a whole, readable file" in refused(path)


def test_damaged(path):
    """Noise over the middle of the file's structure."""
    whole = bytearray(path.read_bytes())
    whole[700:20_000] = np.random.default_rng(1).bytes(19_300)
    path.write_bytes(whole)
    refused(path)


def test_foreign(path):
    assert 'kind must be "wirebloom take"; instead received "weather"' in change(path, put("kind", "weather"))
    assert 'instead received "no kind"' in change(path, lambda file: file.attrs.__delitem__("kind"))
    assert "kind must be a text" in change(path, put("kind", 3))


def test_another_program(tmp_path):
    with h5py.File(tmp_path / "take.h5", "w") as file:
        file["signals"] = np.arange(3)
    assert "no kind" in refused(tmp_path / "take.h5")


def test_no_version(path):
    said = change(path, lambda file: file.attrs.__delitem__("format_version"))
    assert "format_version must be a whole number; instead received nothing." in said


@pytest.mark.parametrize("version", [2, 0, -1, 1000])
def test_other_versions(version, path):
    assert f"format_version must be 1 to 1, as far as this program knows; instead received {version}." in change(
        path, put("format_version", np.int64(version))
    )


@pytest.mark.parametrize("version", [1.0, "1", True, np.array([1])], ids=["real", "text", "yes", "list"])
def test_version_of_another_type(version, path):
    assert "format_version must be a whole number" in change(path, put("format_version", version))


def test_newer_version_is_said_before_what_else_it_changed(path):
    def renew(file):
        file.attrs["format_version"] = np.int64(2)
        del file["signals"]

    assert "format_version" in change(path, renew)


@pytest.mark.parametrize("group", ["signals", "frames", "shape", "sheet", "sheet/strings", "sheet/poles", "sheet/loops"])
def test_missing_group(group, path):
    assert f"/{group}" in change(path, lambda file: file.__delitem__(group))


@pytest.mark.parametrize("name", ["signals/displacement", "frames/residual", "shape/place", "sheet/strings/tension_N", "sheet/poles/role"])
def test_missing_variable(name, path):
    assert f"/{name} must be in the file; instead received nothing" in change(path, lambda file: file.__delitem__(name))


def test_phases_of_another_size(path):
    assert "/frames/phase must be an array along frame, string, polarisation, partial" in change(
        path, replaced("frames/phase", np.zeros((3, 2, 2, 4)))
    )


@pytest.mark.parametrize("name", ["title", "digest", "scenario", "overrides", "seed", "status", "duration_s", "rate_Hz", "audio_rate_Hz"])
def test_missing_attribute(name, path):
    assert f"{name} must be" in change(path, lambda file: file.attrs.__delitem__(name))


def replaced(name, values):
    def act(file):
        del file[name]
        file[name] = values

    return act


def test_wrong_shape(path):
    assert "/signals/contact_force must be an array along time, pole" in change(
        path, replaced("signals/contact_force", np.zeros((11, 3), np.float32))
    )
    assert "/signals/displacement must be" in change(path, replaced("signals/displacement", np.zeros(12, np.float32)))


def test_wrong_kind_of_values(path):
    assert "/frames/residual must be numbers" in change(path, replaced("frames/residual", ["a", "b", "c"]))
    assert "/sheet/poles/role must be texts" in change(path, replaced("sheet/poles/role", np.zeros(3)))


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
def test_stored_number_not_finite(bad, path):
    def spoil(file):
        file["frames/residual"][1] = bad

    assert f"/frames/residual must be finite everywhere; instead received {bad}" in change(path, spoil)


def spoilt(where, bad):
    """A take with one number that is not finite."""
    take = make_take()
    part, name = where.split(".")
    if part == "wall":
        return replace(take, wall={name: bad})
    if part == "pole":
        poles = (*take.sheet.poles[:2], replace(take.sheet.poles[2], **{name: bad}))
        return replace(take, sheet=replace(take.sheet, poles=poles))
    getattr(getattr(take, part), name).flat[-1] = bad
    return take


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize("where", ["signals.drive_current", "frames.amplitude", "shape.x", "wall.realtime_factor", "pole.flange_radius_m"])
def test_not_finite_is_not_saved(where, bad, tmp_path):
    with pytest.raises(FileError, match=rf"take\.h5: .+ must be finite( everywhere)?; instead received {bad}\.$"):
        save(spoilt(where, bad), tmp_path / "take.h5")
    assert list(tmp_path.iterdir()) == []


def test_take_that_does_not_fit_together(tmp_path):
    take = make_take()
    signals = replace(take.signals, sense_voltage=take.signals.sense_voltage[:-1])
    with pytest.raises(FileError, match=r"/signals/sense_voltage must be of the shape \(12, 2\), along time, loop; instead received"):
        save(replace(take, signals=signals), tmp_path / "take.h5")


@pytest.mark.parametrize("text", ["a\0b", "\ud800"], ids=["zero", "half a character"])
def test_text_that_no_file_holds(text, tmp_path):
    with pytest.raises(FileError, match="scenario must be text"):
        save(replace(make_take(), scenario=text), tmp_path / "take.h5")
    string = replace(make_take().sheet.strings[0], material=text)
    with pytest.raises(FileError, match="/sheet/strings/material must be text"):
        save(replace(make_take(), sheet=replace(make_take().sheet, strings=(string, string))), tmp_path / "take.h5")
    assert list(tmp_path.iterdir()) == []


def test_old_file_stays_when_the_new_one_fails(path):
    before = path.read_bytes()
    with pytest.raises(FileError):
        save(spoilt("shape.displacement", np.nan), path)
    assert path.read_bytes() == before
    assert list(path.parent.iterdir()) == [path]


def test_stopped_while_saving(path, monkeypatch):
    """Ctrl-C leaves the old file and no part of the new one."""

    def stop(*_):
        raise KeyboardInterrupt

    before = path.read_bytes()
    monkeypatch.setattr("wirebloom.take.store.write_take", stop)
    with pytest.raises(KeyboardInterrupt):
        save(make_take(), path)
    assert path.read_bytes() == before
    assert list(path.parent.iterdir()) == [path]


def test_saved_over_an_old_file(path):
    save(replace(make_take(), seed=77), path)
    assert load(path).seed == 77
    assert list(path.parent.iterdir()) == [path]


@pytest.mark.skipif(os.name != "posix", reason="permissions of a file are otherwise elsewhere")
def test_readable_by_those_who_may(path):
    """Not only by its owner, as temporary files are."""
    save(make_take(), path)
    mask = os.umask(0)
    os.umask(mask)
    assert path.stat().st_mode & 0o777 == 0o666 & ~mask


@pytest.mark.parametrize("where", ["none/take.h5", ".", "file/take.h5"], ids=["no folder", "a folder", "file as folder"])
def test_cannot_be_written(where, tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(FileError, match=r"must be a file that can be written; instead received the answer '[A-Z]"):
        save(make_take(), tmp_path / where)
    assert [entry.name for entry in tmp_path.iterdir()] == ["file"]


FULL = """
import resource, sys
sys.path.insert(0, sys.argv[1])
from make_version_1 import make_take
from wirebloom.errors import FileError
from wirebloom.take.store import save
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[3]), resource.RLIM_INFINITY))
try:
    save(make_take(), sys.argv[2])
except FileError as problem:
    print(problem)
"""


@pytest.mark.skipif(os.name != "posix", reason="no such limit elsewhere")
@pytest.mark.parametrize("bytes_left", [0, 3000, 50_000])
def test_disk_full(bytes_left, tmp_path):
    """Stood in for by a limit on the size of files, in a process of its own: the limit stays."""
    here, target = str(Path(__file__).parent), str(tmp_path / "take.h5")
    done = subprocess.run(
        [sys.executable, "-c", FULL, here, target, str(bytes_left)], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(f"{target} must be a file that can be written; instead received the answer 'File too large'"), done.stdout
    assert list(tmp_path.iterdir()) == []
