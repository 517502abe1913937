"""``wirebloom level``: from the command line to a resistor, and every wrong word refused."""

import json
from dataclasses import replace

import pytest

from wirebloom.cli.main import main
from wirebloom.take.level import Level
from wirebloom.views.level_words import level_headline, level_words

FOUND = Level("found", 146.0, 150.0, 0.42, "sense", 0.11, 2.92, 0.0166, "sustained", 7)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["first_note", "--clearance", "4"], "--clearance must be a length with its unit (m, mm, um or in); instead received 4."),
        (["first_note", "--clearance", "0 mm"], "--clearance must be more than 0 mm; instead received 0 mm."),
        (["first_note", "--clearance", "-1 mm"], "--clearance must be more than 0 mm; instead received -1 mm."),
        (["first_note", "--clearance", "1 mm", "--loop", "mian"], "--loop must be the name of a loop ('main'); instead received 'mian'."),
        (
            ["two_strings_two_loops", "--clearance", "1 mm"],
            "--loop must be the name of a loop ('west' or 'east'); instead received nothing.",
        ),
    ],
)
def test_wrong_words(words, said, capsys):
    arguments = [words[0], *(f"{words[k]}={words[k + 1]}" for k in range(1, len(words), 2))]
    assert main(["level", *arguments]) == 3
    assert capsys.readouterr().err == f"wirebloom level: {said}\n"


def test_a_rig_without_a_loop(capsys):
    assert main(["level", "first_note", "--clearance", "0.3 mm", "--set", "loops=[]"]) == 4
    assert "loops must be given, at least one; instead received none." in capsys.readouterr().err


def test_too_much_clearance(capsys):
    assert main(["level", "first_note", "--clearance", "3 mm"]) == 4
    assert "must be less than the least gap at rest" in capsys.readouterr().err


def test_a_clearance_has_to_be_given(capsys):
    assert main(["level", "first_note"]) == 2
    assert "--clearance" in capsys.readouterr().err


def test_json(capsys):
    assert main(["level", "overtones", "--clearance", "0.05 mm", "--duration", "3 s", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["kind"], found["ohm"], found["loop"], found["wanted_mm"]) == ("none needed", 0.0, "main", 0.05)
    assert found["key"] == "loops.main.amplifier.level_resistor"


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("found", "A level resistor of 150 Ω in main keeps 0.4 mm: the string stays 0.42 mm clear of sense."),
        ("none needed", "No level resistor is needed in main for 0.4 mm"),
        ("too near", "No level resistor up to 150 Ω keeps 0.4 mm in main"),
        ("silent", "does not sound, with or without"),
        ("dies", "the string no longer sounds"),
    ],
)
def test_headlines(kind, words):
    assert words in level_headline("main", 0.4, replace(FOUND, kind=kind))


def test_rows():
    rows = dict(level_words("main", "loops.main.amplifier.level_resistor", 0.4e-3, 130.0, FOUND).rows)
    assert rows["level resistor"] == "150 Ω (loops.main.amplifier.level_resistor); 130 Ω in the scenario"
    assert rows["heat"] == "41.3 mW in the resistor"  # 150 Ω · (16.6 mA)²
    assert rows["if heads are strong"].startswith("0.11 mm clear")
