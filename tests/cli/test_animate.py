"""``wirebloom animate``: what it writes and says, on takes that nobody ran."""

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from cli.said import finite, written
from synthetic import Tone, synthetic_take
from wirebloom.cli.folder import LIST, fresh
from wirebloom.cli.main import main
from wirebloom.take.store import save

QUICK = ["--slow", "70"]  # sixteen pictures


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder as run leaves one, in the one we work in."""
    monkeypatch.chdir(tmp_path)
    place = tmp_path / "outputs" / "first_note"
    place.mkdir(parents=True)
    save(synthetic_take((Tone(growth=0.0), Tone(growth=0.0, string=1)), strings=2, duration=0.5), place / "take.h5")
    (place / LIST).write_text("take.h5\n")
    return place


@pytest.mark.parametrize("source", ["outputs/first_note", "outputs/first_note/take.h5"])
def test_it_writes_a_file_whose_name_says_what_it_shows(folder, tmp_path, capsys, source):
    assert main(["animate", source, *QUICK]) == 0
    said = capsys.readouterr()
    assert written(tmp_path / "outputs") == {"first_note", "first_note_pier_1_0.495s.gif"}
    assert said.err == ""
    flat = " ".join(said.out.split())
    assert flat.startswith("pier 1: one period (5.1 ms) from 0.495 s on, 70 × slower; heights 100 × larger than lengths.")
    assert flat.endswith("In outputs/first_note_pier_1_0.495s.gif")


def test_options_choose_moment_string_pace_and_place(folder, tmp_path, capsys):
    words = ["animate", "outputs/first_note", "--at", "200 ms", "--string", "pier 2", "--slow", "120", "--out", "new/two.gif", "--json"]
    assert main(words) == 0
    answer = finite(capsys.readouterr().out)
    assert (answer["string"], answer["head"], answer["loop"]) == ("pier 2", "drive 2", "loop 2")
    assert (answer["at_s"], answer["slow"], answer["periods"]) == (0.2, 120.0, 1)
    assert answer["span_s"] == pytest.approx(1.0 / 294.0, rel=1e-5)
    assert answer["plays_s"] == pytest.approx(120.0 / 294.0, rel=1e-5)
    assert (answer["notices"], answer["files"]) == ([], ["new/two.gif"])
    with Image.open(tmp_path / "new" / "two.gif") as file:
        assert file.n_frames == answer["pictures"]


def test_an_older_take_says_what_cannot_be_shown(folder, capsys):
    take = synthetic_take((Tone(growth=0.0),), duration=0.1)
    save(replace(take, frames=replace(take.frames, phase=np.full_like(take.frames.phase, -1.0))), folder / "old.h5")
    assert main(["animate", "outputs/first_note/old.h5", *QUICK]) == 0
    assert "Phases of the partials were not recorded" in capsys.readouterr().out
    assert main(["animate", "outputs/first_note/old.h5", *QUICK, "--json"]) == 0
    assert len(finite(capsys.readouterr().out)["notices"]) == 1


def test_it_stands_beside_the_take_until_that_is_made_anew(folder):
    """The next run takes it away with the take that it shows; files of other people stay and are never replaced."""
    (folder / "mine.gif").write_text("mine")
    assert main(["animate", "outputs/first_note", *QUICK, "--out", "outputs/first_note/mine.gif"]) == 5
    assert (folder / "mine.gif").read_text() == "mine"
    for _ in range(2):
        assert main(["animate", "outputs/first_note", *QUICK, "--out", "outputs/first_note/ours.gif"]) == 0
    assert (folder / LIST).read_text().splitlines() == ["take.h5", "ours.gif"]
    with fresh(folder, []):
        pass
    assert written(folder) == {"mine.gif"}


WRONG = (
    ([], 2, "TAKE"),
    (["outputs/first_note", "--at", "3"], 3, "--at must be a time with its unit"),
    (["outputs/first_note", "--at", "3 mm"], 3, "--at must be a time in s, ms or min"),
    (["outputs/first_note", "--at", "3 s"], 3, "at must be between 0 s and the take's end at 0.5 s; instead received 3 s."),
    (["outputs/first_note", "--string", "pier"], 3, "string must be the name of a string ('pier 1' or 'pier 2')"),
    (["outputs/first_note", "--slow", "fast"], 2, "--slow: must be a plain number such as 400; instead received 'fast'"),
    (["outputs/first_note", "--slow", "-5"], 2, "--slow"),
    (["outputs/first_note", "--slow", "5"], 3, "slow must be between 63"),
    (["outputs/first_note", "--out", "x.png"], 5, "x.png must be a .gif or a .mp4"),
    (["outputs/first_note", "--out", "outputs/first_note/take.h5/x.gif"], 5, "--out must be a folder"),
    (["first_note"], 5, "first_note must be the file of a take; instead received no file"),
)


@pytest.mark.parametrize("wrong", WRONG, ids=lambda wrong: wrong[2])
def test_wrong_input_is_one_sentence(folder, tmp_path, capsys, wrong):
    words, code, said = wrong
    assert main(["animate", *words]) == code
    printed = capsys.readouterr()
    assert said in printed.err
    assert printed.err.count("\n") == 1
    assert printed.out == ""
    assert written(folder) == {"take.h5"}
    assert [path.name for path in tmp_path.iterdir()] == ["outputs"]


def test_help_has_an_example_and_fits(capsys):
    assert main(["animate", "--help"]) == 0
    said = capsys.readouterr().out
    assert "  wirebloom animate " in said
    assert max(len(line) for line in said.splitlines()) <= 80
