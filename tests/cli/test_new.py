"""``wirebloom new`` writes a starter that the reader takes as it is, and never writes over a file."""

import json
import tomllib

import pytest

from wirebloom.cli.main import main
from wirebloom.rig import load


def test_the_starter_is_a_scenario(tmp_path, capsys):
    path = tmp_path / "pier_wall.toml"
    assert main(["new", str(path)]) == 0
    assert "wirebloom run" in " ".join(capsys.readouterr().out.split())
    assert tomllib.loads(path.read_text(encoding="utf-8"))["format"] == 1
    rig, _ = load(path)
    assert rig.strings


def test_json_names_the_file(tmp_path, capsys):
    assert main(["new", str(tmp_path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"files": [str(tmp_path / "my_rig.toml")]}


@pytest.mark.parametrize("where", ["mine.toml", "mine"])
def test_an_existing_file_is_left_alone(tmp_path, capsys, where):
    (tmp_path / "mine.toml").write_text("precious")
    assert main(["new", str(tmp_path / where)]) == 5
    said = capsys.readouterr()
    assert said.err.startswith("wirebloom new: PATH must be a new file; instead received")
    assert said.err.count("\n") == 1
    assert said.out == ""
    assert (tmp_path / "mine.toml").read_text() == "precious"


def test_a_place_that_does_not_exist_is_one_sentence(tmp_path, capsys):
    assert main(["new", str(tmp_path / "no" / "such" / "rig.toml")]) == 5
    assert capsys.readouterr().err.count("\n") == 1
