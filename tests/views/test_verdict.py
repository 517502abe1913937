"""The verdict in words: the first line decides, the rows carry the figures with their units."""

from dataclasses import replace

import pytest

from synthetic import Tone, synthetic_take
from wirebloom.cli.answer import print_text
from wirebloom.take.measures import measure
from wirebloom.views.verdict import render, verdict


def told(**kind):
    take = synthetic_take(**kind)
    return verdict(take, measure(take))


def row(said, name):
    return dict(said.rows)[name]


def with_strings(take, **changes):
    strings = tuple(replace(string, **changes) for string in take.sheet.strings)
    return replace(take, sheet=replace(take.sheet, strings=strings))


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ({}, ["It starts: near full level after 0.7", "partial 1 (196.0 Hz)", "mm clear of"]),
        ({"touch": 1.5}, ["It starts", "but buzzes: touches sense 1 from 1.5 s on"]),
        ({"tones": (Tone(partial=4),)}, ["on partial 4 (784.0 Hz)"]),
        ({"tones": (Tone(drift=2.0, growth=0.0),)}, ["still growing", "run longer"]),
        ({"tones": (Tone(growth=0.0, drift=-5.0),)}, ["It does not start"]),
        ({"tones": ()}, ["It does not start"]),
        ({"duration": 0.05}, ["too short a time"]),
        ({"duration": 0.0}, ["too short a time"]),
        ({"status": "interrupted"}, ["Stopped early, at 2 s. It starts"]),
        ({"strings": 2, "tones": (Tone(), Tone(string=1))}, ["All strings start (pier 1 and pier 2)"]),
        ({"strings": 3}, ["1 of 3 strings start (pier 1)"]),
        ({"strings": 2, "tones": (), "duration": 1.5}, ["No string starts"]),
        ({"strings": 2, "tones": (Tone(), Tone(string=1, final=1e-6))}, ["pier 2 can hardly be heard beside pier 1"]),
    ],
)
def test_the_first_line(kind, words):
    said = told(**kind).headline
    for word in words:
        assert word in said
    assert said.endswith(".")
    assert "None" not in said


def test_a_latched_string_comes_before_everything():
    take = with_strings(synthetic_take(), equilibrium="latched")
    assert verdict(take, measure(take)).headline.startswith("The magnets hold pier 1 on a face")


def test_the_rows_carry_what_a_maker_decides_by():
    said = told(tones=(Tone(cents=7.0),))
    assert "+7.0 cents from the tuned pitch" in row(said, "pier 1")
    assert "never touches" in row(said, "nearest")
    # ±3 V nearly square over 124.5 Ω: 3 V, 24.1 mA, 72 mW at most; the coil is 24 of the 124.5 Ω.
    drive = row(said, "drive of loop 1")
    assert "V rms" in drive
    assert "mA rms" in drive
    assert "mW into the drive circuit" in drive
    assert "pulls 3 mN at rest" in row(said, "head sense 1")
    # 56.0 N on 0.38 mm: 494 MPa, of 2.3 GPa that is 21 %.
    assert "stress 494 MPa is 21 % of the least strength of 0.38 mm music wire (2.3 GPa)" in row(said, "pier 1 at rest")
    assert said.limits
    assert said.cautions


def test_what_a_silent_string_last_did_is_not_called_a_note():
    assert "leads" not in row(told(tones=(Tone(growth=0.0, drift=-5.0),)), "pier 1")


def test_many_strings_stay_readable():
    said = told(strings=8, duration=1.5)
    assert "pull 3 mN to 3 mN" in row(said, "16 heads")
    assert sum(name.endswith("at rest") for name, _ in said.rows) == 1
    assert len(said.rows) < 25


def test_a_pipe_gets_plain_text_of_eighty_columns(capsys, monkeypatch):
    monkeypatch.delenv("COLUMNS", raising=False)
    print_text(render(told(strings=2, touch=0.5)), "[not a tag]")
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    assert not any("\x1b" in line or line != line.rstrip() for line in lines)
    assert lines[-1] == "[not a tag]"
