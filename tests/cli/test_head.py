"""``wirebloom head``: what it writes and prints, on studies that nobody computed; wrong input; and one measured head for real."""

import os

import pytest

from cli.said import finite, written
from studies import bistable, heat, measured_study, string, synthetic_study
from wirebloom.cli import head
from wirebloom.cli.main import main

PICTURES = {"field.png", "force.png", "rest.png", "along.png", "heat.png"}
PROMISED = {
    "title", "head", "role", "loop", "same_build", "resistance_ohm", "inductance_H", "time_constant_s", "winding", "heat", "magnets",
    "strings", "files",
}  # fmt: skip
OF_STRINGS = {
    "string", "gap_mm", "force_factor_N_per_A", "force_factor_low_N_per_A", "force_factor_high_N_per_A", "static_pull_N", "equilibrium",
    "rest_gap_mm", "softness", "latches_to_mm", "sticks_to_mm", "safe_gap_mm",
}  # fmt: skip


@pytest.fixture
def empty(tmp_path, monkeypatch):
    """Work in an empty folder."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def stage(tmp_path, monkeypatch):
    """Study in an empty folder what nobody computed."""
    monkeypatch.chdir(tmp_path)
    asked = []

    def study(_, name, strings):
        asked.append((name, list(strings)))
        return synthetic_study()

    monkeypatch.setattr(head, "study_head", study)
    return asked


def test_it_writes_pictures_and_sheet_and_says_where(stage, tmp_path, capsys):
    assert main(["head", "first_note"]) == 0
    assert written(tmp_path / "outputs" / "first_note_sense") == PICTURES | {"head.json"}
    said = capsys.readouterr()
    assert said.out.startswith("sense pulls pier with 3.2 mN")
    assert "outputs/first_note_sense" in said.out
    assert said.err == ""
    assert max(map(len, said.out.splitlines())) <= 80


def test_json_is_one_object_with_the_promised_keys(stage, tmp_path, capsys):
    assert main(["head", "first_note", "--json", "--no-figures", "--out", "here"]) == 0
    answer = finite(capsys.readouterr().out)
    assert answer.keys() >= PROMISED
    assert answer["strings"][0].keys() >= OF_STRINGS
    assert answer["strings"][0]["gap_mm"] == pytest.approx(1.0)
    assert answer["strings"][0]["force_factor_high_N_per_A"] == 0.0205
    assert answer == finite((tmp_path / "here" / "head.json").read_text(encoding="utf-8"))
    assert {os.path.basename(name) for name in answer["files"]} == written(tmp_path / "here") == {"head.json"}


@pytest.mark.parametrize(
    "study",
    [
        measured_study(),
        synthetic_study(strings=(string(rest=bistable(latches_to_m=None, sticks_to_m=None, safe_m=None)),)),
        synthetic_study(heat=heat(drive_A=1.0, drive_K=(float("inf"), 900.0))),
    ],
)
def test_what_is_not_known_or_without_bound_is_null(stage, monkeypatch, capsys, study):
    monkeypatch.setattr(head, "study_head", lambda *_: study)
    assert main(["head", "first_note", "--json", "--no-figures"]) == 0
    finite(capsys.readouterr().out)


def test_names_reach_the_study_and_changes_the_scenario(stage, capsys):
    assert main(["head", "first_note", "drive", "--string", "pier", "--string", "bench", "--no-figures"]) == 0
    assert stage == [("drive", ["pier", "bench"])]
    assert main(["head", "first_note", "--set", "heads.sense.gap=20 mm"]) == 3
    assert "gap must be between" in capsys.readouterr().err


def test_a_second_sheet_takes_the_first_ones_pictures_away(stage, tmp_path):
    main(["head", "first_note"])
    main(["head", "first_note", "--no-figures"])
    assert written(tmp_path / "outputs" / "first_note_sense") == {"head.json"}


def test_a_name_that_is_no_folders_name(stage, tmp_path, monkeypatch):
    monkeypatch.setattr(head, "study_head", lambda *_: synthetic_study(head="pier/left: 2"))
    assert main(["head", "first_note", "--no-figures"]) == 0
    assert (tmp_path / "outputs" / "first_note_pier_left__2" / "head.json").exists()


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["head"], 2, "SCENARIO"),
        (["head", "first_nite"], 3, "Perhaps you meant 'first_note'"),
        (["head", "first_note", "sens"], 3, "Perhaps you meant 'sense'"),
        (["head", "first_note", "--string", "peer"], 3, "Perhaps you meant 'pier'"),
        (["head", "first_note", "--set", "heads.sense.coil.turns=5000"], 4, "turns must be at most"),
        (["head", "first_note", "--set", "heads.sense.coil.wire=5 mm"], 3, "wire must be a wire between"),
        (["head", "first_note", "--set", "heads.sense.colour=red"], 3, "colour"),
        (["head", "first_note", "--duration", "3 s"], 2, "unrecognized"),
        (["head", "first_note", "sense", "drive"], 2, "unrecognized"),
    ],
)  # fmt: skip
def test_wrong_input_is_one_sentence(empty, capsys, words, code, said):
    assert main(words) == code
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1
    assert list(empty.iterdir()) == []


def test_a_place_that_cannot_be_written_is_one_sentence(stage, tmp_path, capsys):
    (tmp_path / "outputs").write_text("a file")
    assert main(["head", "first_note"]) == 5
    assert capsys.readouterr().err.count("\n") == 1


MEASURED = """
format = 1
title = "Known"
strings = [{ name = "pier", material = "music wire", diameter = "0.38 mm", length = "640 mm", pitch = "G3" }]
[[heads]]
name = "sense"
kind = "measured"
string = "pier"
position = "0.4 L"
gap = "1 mm"
law = { gap = "1 mm", factor = "14 mN/A", pull = "3 mN", decay_length = "1.4 mm" }
resistance = "25 ohm"
inductance = "2.6 mH"
face_diameter = "5 mm"
aperture = "6 mm"
"""


def test_a_measured_head_for_real(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "known.toml").write_text(MEASURED, encoding="utf-8")
    assert main(["head", "known.toml"]) == 0
    assert written(tmp_path / "outputs" / "known_sense") == {"force.png", "rest.png", "head.json"}
    assert capsys.readouterr().out.startswith("sense pulls pier with 3.0")


def test_the_head_may_stand_behind_an_option(stage):
    assert main(["head", "first_note", "--no-figures", "sense"]) == 0


def test_a_second_word_behind_an_option_is_one_too_many(empty, capsys):
    assert main(["head", "first_note", "--no-figures", "sense", "drive"]) == 2
    assert "unrecognized" in capsys.readouterr().err
