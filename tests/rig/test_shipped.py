"""Scenarios travel with the package: in its wheel as in a checkout."""

import tomllib
from pathlib import Path

import pytest

import wirebloom
from wirebloom.errors import FileError
from wirebloom.rig import load, shipped

ROOT = Path(__file__).resolve().parents[2]


def test_the_wheel_takes_the_scenarios_into_the_package():
    wheel = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert wheel["force-include"] == {"scenarios": f"{wirebloom.__name__}/scenarios"}
    assert {path.stem for path in (ROOT / "scenarios").glob("*.toml")} == set(shipped.shipped_scenarios())


def test_scenarios_inside_the_package_go_first(tmp_path, monkeypatch):
    """As an installed wheel has them; nothing else of the checkout is looked at then."""
    (tmp_path / "scenarios").mkdir()
    text = (ROOT / "scenarios" / "first_note.toml").read_text(encoding="utf-8")
    (tmp_path / "scenarios" / "inside.toml").write_text(text, encoding="utf-8")
    monkeypatch.setattr(shipped.resources, "files", lambda _: tmp_path)
    monkeypatch.chdir(tmp_path)
    assert set(shipped.shipped_scenarios()) == {"inside"}
    assert load("inside")[0].text == text


@pytest.mark.parametrize("nameless", [".", "", "/"])
def test_a_folder_without_a_name_is_refused_in_a_whole_sentence(nameless):
    with pytest.raises(FileError, match=r"^SCENARIO must be a file that can be read"):
        load(nameless)
