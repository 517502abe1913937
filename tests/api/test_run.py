"""`wb.run` and `wb.check` are what the verbs of those names do, without files; takes go to files and come back."""

import json

import pytest

import wirebloom as wb
from formats.same import differences
from wirebloom.cli.main import main
from wirebloom.take.check_json import check_summary
from wirebloom.workbench.interrupt import stoppable

SHORT = ("heads.drive.gap=1.5 mm",)
WALL = {"wall", "versions"}  # differ from run to run


@pytest.fixture(scope="module")
def take():
    return wb.run("first_note", *SHORT, duration="0.3 s", seed=5)


def test_it_is_the_take_that_the_command_writes(take, tmp_path, monkeypatch, capsys):
    """Band, squeals, hum and all: the same rig through the same code, to the last bit."""
    monkeypatch.chdir(tmp_path)
    words = ["run", "first_note", "--set", SHORT[0], "--duration", "0.3 s", "--seed", "5", "--no-figures", "--json", "--out", "out"]
    assert main(words) == 0
    capsys.readouterr()
    written = wb.open(tmp_path / "out")
    assert written.band is not None
    assert [one for one in differences(written, take) if not one.startswith("take.wall")] == []


def test_without_the_band_it_is_not_run(take):
    alone = wb.run("first_note", *SHORT, duration="0.3 s", seed=5, band=False)
    assert alone.band is None
    assert {one.split(".")[1].split(":")[0] for one in differences(take, alone)} == {"band", "wall"}


def test_running_writes_nothing(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    wb.run("first_note", duration="0.05 s", band=False)
    wb.check("first_note")
    assert list(tmp_path.iterdir()) == []


def test_progress_tells_the_time_reached():
    reached = []
    wb.run("first_note", duration="0.05 s", band=False, progress=reached.append)
    assert reached[0] == 0.0
    assert reached == sorted(reached)
    assert reached[-1] == pytest.approx(0.05)


def test_a_run_that_is_stopped_keeps_what_there_is():
    def stop(reached):
        if reached > 0.05:
            raise KeyboardInterrupt

    take = wb.run("first_note", duration="5 s", band=False, progress=stop)
    assert take.status == "interrupted"
    assert 0.05 < take.duration_s < 0.2


def test_nobody_needs_to_listen_to_progress():
    with stoppable(None) as report:
        report(0.1)


def test_check_is_what_the_command_writes(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["check", "too_far", "--set", "heads.sense.gap=2 mm", "--no-figures", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    found = check_summary(wb.check("too_far", "heads.sense.gap=2 mm"))
    assert answer == json.loads(json.dumps(found)) | {"map": None, "files": answer["files"]}


def test_a_take_comes_back_from_its_file_or_its_folder(take, tmp_path):
    path = wb.save(take, tmp_path / "take.h5")
    assert path == tmp_path / "take.h5"
    assert differences(wb.open(path), take) == differences(wb.open(tmp_path), take) == []
    with pytest.raises(wb.errors.FileError):
        wb.open(tmp_path / "nothing.h5")
