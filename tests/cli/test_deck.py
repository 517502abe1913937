"""``wirebloom deck``: deck and bill in a folder of their own, one sentence for wrong input."""

import json

import pytest

from cli.said import written
from wirebloom.cli.main import main


@pytest.fixture
def empty(tmp_path, monkeypatch):
    """Work in an empty folder."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_it_writes_deck_and_bill_and_says_where(empty, capsys):
    assert main(["deck", "first_note"]) == 0
    folder = empty / "outputs" / "first_note_deck"
    assert written(folder) == {"first_note.cir", "bill.txt"}
    said = capsys.readouterr().out
    assert said.startswith("First note: bill of materials")
    assert "outputs/first_note_deck" in said
    assert max(map(len, said.splitlines())) <= 80
    deck = (folder / "first_note.cir").read_text(encoding="utf-8")
    assert deck.startswith("First note: the whole loop as a circuit\n")
    assert "linear here, about the strings' rest" in " ".join(deck.split("\n* "))
    assert "Cs1p6" in deck
    assert "Cs1p7" not in deck


def test_marks_of_bill_and_deck_are_the_same(empty, capsys):
    assert main(["deck", "first_note", "--json", "--out", "here"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert {name.split("/")[-1] for name in answer["files"]} == written(empty / "here")
    deck = (empty / "here" / "first_note.cir").read_text(encoding="utf-8")
    (level,) = (item for item in answer["items"] if item["what"] == "main level resistor")
    assert level["value"] == "130 ohm"
    assert f"* {level['marks']}: main level resistor, 130 ohm\n{level['marks']} " in deck
    assert any("protect your hearing" in note for note in answer["notes"])


def test_partials_and_changes_reach_the_deck(empty, capsys):
    assert main(["deck", "first_note", "--partials", "2", "--set", "loops.main.amplifier.level_resistor=47 ohm", "--out", "here"]) == 0
    deck = (empty / "here" / "first_note.cir").read_text(encoding="utf-8")
    assert "main level resistor, 47 ohm" in deck
    assert "Cs1p2" in deck
    assert "Cs1p3" not in deck


@pytest.mark.parametrize("scenario", ["first_note", "from_noise", "two_strings_two_loops"])
def test_every_way_to_start_has_a_deck(empty, capsys, scenario):
    assert main(["deck", scenario, "--out", "here", "--json"]) == 0


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["deck"], 2, "SCENARIO"),
        (["deck", "first_note", "--partials", "0"], 2, "--partials: must be a whole number from 1 to 60; instead received '0'."),
        (["deck", "first_note", "--partials", "many"], 2, "instead received 'many'"),
        (["deck", "first_nite"], 3, "Perhaps you meant 'first_note'"),
        (["deck", "first_note", "--no-figures"], 2, "unrecognized"),
    ],
)  # fmt: skip
def test_wrong_input_is_one_sentence(empty, capsys, words, code, said):
    assert main(words) == code
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1
    assert list(empty.iterdir()) == []


BARE = """
format = 1
title = "Bare"
strings = [{ name = "pier", material = "music wire", diameter = "0.38 mm", length = "640 mm", pitch = "G3" }]
"""


def test_a_rig_without_a_loop_has_no_circuit(empty, capsys):
    (empty / "bare.toml").write_text(BARE, encoding="utf-8")
    assert main(["deck", "bare.toml"]) == 4
    assert (
        capsys.readouterr().err == "wirebloom deck: loops must be given, one at least, for there to be a circuit; instead received none.\n"
    )


def test_help_has_an_example_and_fits_a_terminal(capsys):
    assert main(["deck", "--help"]) == 0
    said = capsys.readouterr().out
    assert "  wirebloom deck first_note" in said
    assert max(map(len, said.splitlines())) <= 80
