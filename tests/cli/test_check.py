"""``wirebloom check``: what it writes and prints, on checks that nobody computed; wrong input; and shipped scenarios for real."""

import os

import pytest

from checks import advice, synthetic_check, synthetic_map
from cli.said import finite, written
from wirebloom.cli import check
from wirebloom.cli.main import main
from wirebloom.take.check_small import Margins

PICTURES = {"places.png", "growth.png", "gain.png", "factor.png"}
PROMISED = {
    "title", "verdict", "words", "strings", "partials", "electrical", "signs", "steady", "margins", "advice", "heads", "map", "files",
}  # fmt: skip
OF_PARTIALS = {"string", "polarisation", "partial", "frequency_Hz", "growth_rate_per_s", "loop_gain"}
OF_HEADS = {"name", "string", "gap_mm", "force_factor_N_per_A", "static_pull_N", "resistance_ohm", "inductance_H"}


@pytest.fixture
def empty(tmp_path, monkeypatch):
    """Work in an empty folder."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def stage(tmp_path, monkeypatch):
    """Check in an empty folder what nobody computed."""
    monkeypatch.chdir(tmp_path)
    asked = []

    def look(_, *, advice):
        asked.append({"advice": advice})
        return synthetic_check()

    def explore(_, head):
        asked.append({"head": head})
        return synthetic_map()

    monkeypatch.setattr(check, "compile_rig", lambda *_: None)
    monkeypatch.setattr(check, "check", look)
    monkeypatch.setattr(check, "explore", explore)
    return asked


def test_it_writes_pictures_and_sheet_and_says_where(stage, tmp_path, capsys):
    assert main(["check", "first_note"]) == 0
    assert written(tmp_path / "outputs" / "first_note_check") == PICTURES | {"check.json"}
    said = capsys.readouterr()
    assert said.out.startswith("It starts: partial 1 (196.0 Hz)")
    assert "outputs/first_note_check" in said.out
    assert said.err == ""
    assert max(map(len, said.out.splitlines())) <= 80
    assert stage == [{"advice": False}]


def test_json_is_one_object_with_the_promised_keys(stage, tmp_path, capsys):
    assert main(["check", "first_note", "--json", "--no-figures", "--out", "here"]) == 0
    answer = finite(capsys.readouterr().out)
    assert answer.keys() >= PROMISED
    assert answer["verdict"] == answer["strings"][0]["verdict"] == "starts"
    assert answer["partials"][0].keys() >= OF_PARTIALS
    assert answer["electrical"][0].keys() >= {"frequency_Hz", "growth_rate_per_s"}
    assert answer["heads"][0].keys() >= OF_HEADS
    assert answer["heads"][0]["gap_mm"] == pytest.approx(1.0)
    assert answer["strings"][0]["clearance_mm"] == pytest.approx(0.33)
    assert answer["map"] is None
    assert answer == finite((tmp_path / "here" / "check.json").read_text(encoding="utf-8"))
    assert {os.path.basename(name) for name in answer["files"]} == written(tmp_path / "here") == {"check.json"}


@pytest.mark.parametrize(
    "found",
    [
        synthetic_check(loops=False),
        synthetic_check(growth=(-1.0, -1.0, -1.0), settles=False),
        synthetic_check(advice=advice()),
        synthetic_check(strings=("west", "east"), margins=Margins((), ())),
    ],
)
def test_what_is_not_known_or_without_bound_is_null(stage, monkeypatch, capsys, found):
    monkeypatch.setattr(check, "check", lambda *_, **__: found)
    assert main(["check", "first_note", "--json", "--no-figures"]) == 0
    finite(capsys.readouterr().out)


def test_advice_and_map_are_made_when_asked_for(stage, tmp_path, capsys):
    assert main(["check", "first_note", "--advice", "--map"]) == 0
    assert stage == [{"head": None}, {"advice": True}]
    assert "map.png" in written(tmp_path / "outputs" / "first_note_check")
    assert "partial 1 leads in 50 %" in " ".join(capsys.readouterr().out.split())


def test_a_head_to_move_asks_for_the_map(stage, capsys):
    assert main(["check", "first_note", "--head", "sense", "--no-figures", "--json"]) == 0
    assert stage[0] == {"head": "sense"}
    assert finite(capsys.readouterr().out)["map"]["partial"] == [[1, 1, 4], [-1, -1, -1], [1, 4, 0]]


def test_a_second_check_takes_the_first_ones_pictures_away(stage, tmp_path):
    main(["check", "first_note"])
    main(["check", "first_note", "--no-figures"])
    assert written(tmp_path / "outputs" / "first_note_check") == {"check.json"}


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["check"], 2, "SCENARIO"),
        (["check", "first_nite"], 3, "Perhaps you meant 'first_note'"),
        (["check", "first_note", "--set", "heads.sense.colour=red"], 3, "colour"),
        (["check", "first_note", "--duration", "3 s"], 2, "unrecognized"),
        (["chek", "first_note"], 2, "Perhaps you meant check"),
    ],
)
def test_wrong_input_is_one_sentence(stage, capsys, words, code, said):
    assert main(words) == code
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1
    assert os.listdir() == []


MEASURED = """
format = 1
title = "Known"
strings = [{ name = "pier", material = "music wire", diameter = "0.38 mm", length = "640 mm", pitch = "G3" }]
"""
HEAD = """
[[heads]]
name = "{name}"
kind = "measured"
string = "pier"
position = "{place} L"
gap = "1 mm"
law = {{ gap = "1 mm", factor = "{factor} mN/A", pull = "{pull} mN", decay_length = "1.4 mm" }}
resistance = "25 ohm"
inductance = "2.6 mH"
face_diameter = "5 mm"
aperture = "6 mm"
"""
LOOP = """
[[loops]]
name = "main"
sense = ["sense"]
drive = ["drive"]
amplifier = { gain = 3e4, gain_bandwidth = "3 MHz", slew = "13 V/us", supply = "9 V", supply_kind = "split", level_resistor = "820 ohm" }
"""


def rig(places, factor=14.0, pull=3.0, loop=LOOP):
    return MEASURED + "".join(HEAD.format(name=name, place=place, factor=factor, pull=pull) for name, place in places.items()) + loop


@pytest.mark.parametrize(
    ("text", "verdict", "said"),
    [
        (rig({"sense": 0.4, "drive": 0.286}), "starts", "It starts: partial 1"),
        (rig({}, loop=""), "undriven", "There is no loop"),
        (rig({"sense": 0.4, "drive": 0.286}, pull=900.0), "held", "The magnets hold pier on a face"),
        (rig({"sense": 0.4, "drive": 0.286}, loop=LOOP.replace("3e4", "0.1")), "silent", "It does not start"),
        (rig({"sense": 0.5, "drive": 0.286}), None, "Head sense stands at a node of partials 2, 4, 6"),
    ],
)
def test_real_rigs_and_those_of_which_nothing_can_come(empty, capsys, text, verdict, said):
    """No loop, strings on a face, no gain to speak of, a head at a node: answered in words."""
    (empty / "known.toml").write_text(text, encoding="utf-8")
    assert main(["check", "known.toml", "--no-figures"]) == 0
    assert said in " ".join(capsys.readouterr().out.split())
    answer = finite((empty / "outputs" / "known_check" / "check.json").read_text(encoding="utf-8"))
    assert verdict in (None, answer["verdict"])


def test_a_string_that_no_magnet_pulls_is_refused_in_one_sentence(empty, capsys):
    text = rig({"sense": 0.4, "drive": 0.286}).replace('"music wire"', '"bronze"')
    (empty / "known.toml").write_text(text, encoding="utf-8")
    code = main(["check", "known.toml"])
    error = capsys.readouterr().err
    assert (code, error.count("\n")) == (4, 1)
    assert "not magnetic" in error
