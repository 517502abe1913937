"""``--body`` on run and compare: one more file; a bad response is refused before any long work."""

import json

import numpy as np
import pytest
import soundfile

from cli.said import written
from synthetic import synthetic_take
from wirebloom.cli import compare, run
from wirebloom.cli.main import main
from wirebloom.take.store import save


@pytest.fixture
def stage(tmp_path, monkeypatch):
    """Run in an empty folder with a response in it, on a take that nobody ran; return what was run."""
    monkeypatch.chdir(tmp_path)
    ran = []

    def made(name, *_, **__):
        ran.append(name)
        return synthetic_take(duration=0.5)

    for verb in (run, compare):
        monkeypatch.setattr(verb, "load", lambda scenario, changes: (scenario, changes))
        monkeypatch.setattr(verb, "make_take", made)
    soundfile.write("box.wav", np.exp(-np.arange(4410) / 300.0), 44_100)
    return ran


def test_run_writes_the_body_beside_the_bridge_and_takes_it_away_again(stage, tmp_path, capsys):
    assert main(["run", "pier", "--no-figures", "--json", "--body", "box.wav"]) == 0
    folder = tmp_path / "outputs" / "pier"
    assert {"bridge.wav", "body.wav"} <= written(folder)
    assert str(folder.relative_to(tmp_path) / "body.wav") in json.loads(capsys.readouterr().out)["files"]
    assert main(["run", "pier", "--no-figures"]) == 0
    assert "body.wav" not in written(folder)


def test_compare_writes_one_for_each_take_and_states_its_level(stage, tmp_path, capsys):
    save(synthetic_take(duration=0.5), tmp_path / "old.h5")
    assert main(["compare", "old.h5", "pier", "--no-figures", "--json", "--body", "box.wav", "--out", "both"]) == 0
    assert {"old_body.wav", "pier_body.wav"} <= written(tmp_path / "both")
    sounds = [sound for sound in json.loads(capsys.readouterr().out)["sounds"] if sound["kind"] == "body"]
    assert [sound["take"] for sound in sounds] == ["old", "pier"]
    assert all(sound["true_peak_dBTP"] <= -1.0 and sound["loudness_LUFS"] < 0.0 for sound in sounds)


@pytest.mark.parametrize("verb", [["run", "pier"], ["compare", "pier"]])
def test_a_bad_response_is_one_sentence_and_nothing_runs(stage, tmp_path, capsys, verb):
    (tmp_path / "note.wav").write_text("not a sound", encoding="utf-8")
    assert main([*verb, "--body", "note.wav"]) == 5
    assert capsys.readouterr().err == f"wirebloom {verb[0]}: note.wav must be a sound file, such as WAV; instead received what is none.\n"
    assert stage == []
    assert not (tmp_path / "outputs").exists()
