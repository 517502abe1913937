"""``wirebloom run`` and ``compare``: what they write and print, on takes that nobody ran; and one short run for real."""

import json
import os
import signal
import subprocess
import sys
from dataclasses import replace

import pytest
import soundfile

from bands import banded
from cli.said import written
from synthetic import Tone, synthetic_take
from wirebloom.cli import compare, making, run
from wirebloom.cli.main import main
from wirebloom.errors import DivergedError
from wirebloom.take.store import load, save

PROMISED = {
    "starts", "outcome", "start_time_s", "growth_rate_per_s", "dominant_partial", "pitch_Hz", "clearance_mm", "first_touch_s",
    "drive_rms_V", "drive_rms_A", "drive_power_W", "realtime_factor", "ledger_residual", "files",
}  # fmt: skip
WAVS = {"sense_coil.wav", "bridge.wav", "drive.wav"}
PICTURES = {
    "motion.png", "approach.png", "bloom.png", "partials.png", "spectrogram.png", "drive.png", "portrait.png", "clearance.png",
    "ledger.png", "shape.png",
}  # fmt: skip


@pytest.fixture
def stage(tmp_path, monkeypatch):
    """Run in an empty folder, with takes that nobody ran, by the name of their scenario."""
    monkeypatch.chdir(tmp_path)
    takes = {
        "first_note": synthetic_take(), "soft": synthetic_take((Tone(final=0.1e-3),)), "loud": synthetic_take((Tone(final=0.4e-3),)),
        "stopped": synthetic_take(status="interrupted"),
    }  # fmt: skip
    asked = []

    def read(scenario, changes):
        asked.append((scenario, list(changes)))
        return scenario, changes

    def made(_, scenario, changes, *, band=False):
        take = replace(takes[scenario], overrides=tuple(changes))
        return banded(take) if band else take

    for verb in (run, compare):
        monkeypatch.setattr(verb, "load", read)
        monkeypatch.setattr(verb, "make_take", made)
    return asked


def test_run_writes_everything_and_says_where(stage, tmp_path, capsys):
    assert main(["run", "first_note"]) == 0
    folder = tmp_path / "outputs" / "first_note"
    assert written(folder) == {"take.h5", "summary.json", "scenario.toml"} | WAVS | PICTURES
    said = capsys.readouterr()
    assert said.out.startswith("It starts: ")
    assert "outputs/first_note" in said.out
    assert said.err == ""


def test_json_is_one_object_with_the_promised_keys_and_no_nan(stage, tmp_path, capsys):
    assert main(["run", "first_note", "--json", "--no-figures", "--out", "here"]) == 0

    def refuse(word):
        raise AssertionError(word)

    answer = json.loads(capsys.readouterr().out, parse_constant=refuse)
    assert answer.keys() >= PROMISED
    assert answer == json.loads((tmp_path / "here" / "summary.json").read_text(encoding="utf-8"))
    assert {os.path.basename(name) for name in answer["files"]} == written(tmp_path / "here")
    assert all(os.path.exists(name) for name in answer["files"])


def test_the_band_is_run_unless_it_is_not_wanted(stage, tmp_path, capsys):
    main(["run", "first_note", "--json"])
    answer = json.loads(capsys.readouterr().out)
    assert (answer["band"]["start_time_low_s"], answer["band"]["start_time_high_s"]) == pytest.approx((0.795, 0.8), abs=2e-3)
    assert answer["band"]["weak"]["starts"] is answer["band"]["strong"]["starts"] is True
    assert answer["heads"][0]["force_factor_high_N_per_A"] == pytest.approx(1.5 * answer["heads"][0]["force_factor_N_per_A"])
    assert load(tmp_path / "outputs/first_note/take.h5").band is not None
    main(["run", "first_note", "--json", "--no-band"])
    assert json.loads(capsys.readouterr().out)["band"] is None
    assert "bloom.png" not in written(tmp_path / "outputs" / "first_note")


def test_no_figures_takes_old_figures_away(stage, tmp_path):
    main(["run", "first_note"])
    main(["run", "first_note", "--no-figures"])
    assert not written(tmp_path / "outputs" / "first_note") & PICTURES


def test_options_reach_the_scenario_in_order_and_its_copy_tells(stage, tmp_path):
    words = ["run", "first_note", "--no-figures", "--set", "heads.sense.gap=1.2 mm", "--seed", "7", "--duration", "3 s"]
    assert main([*words, "--set", "title=it's mine"]) == 0
    changes = ["heads.sense.gap=1.2 mm", "title=it's mine", "run.duration=3 s", "run.seed=7"]
    assert stage == [("first_note", changes)]
    first, rest = (tmp_path / "outputs/first_note/scenario.toml").read_text(encoding="utf-8").split("\n", 1)
    assert first.startswith("# This take was made with: --set 'heads.sense.gap=1.2 mm' ")
    assert rest == synthetic_take().scenario


def test_a_copy_with_a_line_break_in_a_change_stays_one_comment():
    copy = making.scenario_copy(replace(synthetic_take(), overrides=('story="""a\nb"""',)))
    assert copy.splitlines()[0].startswith("# This take")
    assert all(line.startswith("#") for line in copy.removesuffix(synthetic_take().scenario).splitlines())


def test_an_interrupted_take_is_written_whole_and_the_code_is_130(stage, tmp_path, capsys):
    assert main(["run", "stopped"]) == 130
    assert written(tmp_path / "outputs" / "stopped") >= {"take.h5", "summary.json"} | WAVS | PICTURES
    assert load(tmp_path / "outputs/stopped/take.h5").status == "interrupted"
    assert capsys.readouterr().out.startswith("Stopped early, at 2 s. ")


def test_a_place_that_cannot_be_written_is_found_before_the_run(stage, tmp_path, monkeypatch, capsys):
    (tmp_path / "outputs").write_text("a file")
    monkeypatch.setattr(run, "make_take", lambda *_, **__: pytest.fail("it ran"))
    assert main(["run", "first_note"]) == 5
    assert capsys.readouterr().err.count("\n") == 1


def test_a_run_that_diverges_is_one_sentence_and_leaves_earlier_results(stage, tmp_path, monkeypatch, capsys):
    main(["run", "first_note", "--no-figures"])

    def diverge(*_, **__):
        raise DivergedError("the string must stay finite; instead received a value beyond reason at 0.1 s.", time_s=0.1, where="x")

    monkeypatch.setattr(run, "make_take", diverge)
    assert main(["run", "first_note"]) == 6
    assert "Traceback" not in capsys.readouterr().err
    assert "take.h5" in written(tmp_path / "outputs" / "first_note")


def test_compare_shares_one_gain_and_tells_takes_apart(stage, tmp_path, capsys):
    assert main(["compare", "soft", "loud", "--out", "both"]) == 0
    assert written(tmp_path / "both") == (
        {"soft.h5", "loud.h5", "comparison.json", "buildup.png"} | {f"{name}_{wav}" for name in ("soft", "loud") for wav in WAVS}
    )
    loud, soft = (soundfile.read(tmp_path / "both" / f"{name}_bridge.wav")[0] for name in ("loud", "soft"))
    assert abs(loud).max() / abs(soft).max() == pytest.approx(4.0, rel=1e-3)
    said = capsys.readouterr().out
    assert "soft: It starts" in said
    assert "loud: It starts" in said
    assert "clearance" in said


def test_compare_takes_recorded_ones_and_numbers_namesakes(stage, tmp_path, capsys):
    for name in ("a", "b"):
        (tmp_path / name / "first_note").mkdir(parents=True)
        save(synthetic_take(), tmp_path / name / "first_note" / "take.h5")
    words = ["compare", "a/first_note/take.h5", "b/first_note/take.h5", "soft", "--json", "--no-figures"]
    assert main(words) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [take["name"] for take in answer["takes"]] == ["first_note", "first_note-2", "soft"]
    assert stage == [("soft", [])]
    assert written(tmp_path / "outputs" / "first_note_beside_first_note-2_beside_soft") >= {"soft.h5", "comparison.json"}


def test_compare_stops_after_an_interrupted_take_and_keeps_it(stage, tmp_path, capsys):
    assert main(["compare", "soft", "stopped", "loud", "--out", "both", "--no-figures"]) == 130
    assert "Not run any more: loud." in capsys.readouterr().out
    assert {"soft.h5", "stopped.h5"} <= written(tmp_path / "both")
    assert "loud.h5" not in written(tmp_path / "both")


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("compare t.h5 soft --seed 2", 2, "--seed must go with scenarios only"),
        ("compare t.h5 soft --out .", 2, "--out must be another folder"),
        ("compare missing.h5", 5, "missing.h5"),
    ],
)
@pytest.mark.usefixtures("stage")
def test_compare_says_what_does_not_go_together(capsys, words, code, said):
    save(synthetic_take(), "t.h5")
    assert main(words.split()) == code
    printed = capsys.readouterr()
    assert said in printed.err
    assert printed.err.count("\n") == 1
    assert load("t.h5").status == "complete"


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (["--set", "heads.sense.gap=1.2"], 3), (["--set", "nothing.here=1"], 3), (["--seed", "x"], 3), (["--duration", "3"], 3),
        (["--set", "strings.pier.pitch=C7"], 4),
    ],
)  # fmt: skip
def test_bad_values_are_one_sentence(tmp_path, monkeypatch, capsys, change, code):
    monkeypatch.chdir(tmp_path)
    assert main(["run", "first_note", *change]) == code
    said = capsys.readouterr()
    assert said.err.count("\n") == 1
    assert "Traceback" not in said.err
    assert said.out == ""


def test_a_scenario_that_is_not_there(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["run", "fist_note"]) == 3
    assert "first_note" in capsys.readouterr().err
    assert not list(tmp_path.rglob("*.*"))


REAL = """
import signal, sys
from wirebloom.cli import progress
from wirebloom.cli.main import main
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell may have told children in the background to ignore it
progress.QUIET_FOR = 0.0
sys.exit(main(["run", "first_note", "--duration", "60 s", "--no-figures", "--json", "--out", "out"]))
"""


def test_for_real_and_ctrl_c_keeps_a_take(tmp_path):
    """A real run, stopped by Ctrl-C as soon as it says that it is under way."""
    pipe = subprocess.PIPE
    with subprocess.Popen([sys.executable, "-c", REAL], cwd=tmp_path, stdout=pipe, stderr=pipe, text=True) as running:
        assert "of 60 s simulated" in running.stderr.readline()
        running.send_signal(signal.SIGINT)
        out, _ = running.communicate(timeout=60)
    assert running.returncode == 130
    answer = json.loads(out)
    assert answer["status"] == "interrupted"
    assert 0.0 < answer["duration_s"] < 60.0
    assert load(tmp_path / "out" / "take.h5").duration_s == answer["duration_s"]
