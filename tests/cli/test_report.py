"""``wirebloom report``: where page and sounds go, what is printed, one sentence for what cannot be."""

import numpy as np
import pytest
import soundfile

from cli.said import finite, written
from pages import page
from synthetic import Tone, synthetic_take
from wirebloom.cli import report
from wirebloom.cli.main import main
from wirebloom.take.measures import measure
from wirebloom.take.store import save
from wirebloom.views.verdict import headline

WAVS = {"report_sense_coil.wav", "report_bridge.wav", "report_drive.wav"}


@pytest.fixture(scope="module")
def take():
    return synthetic_take((Tone(growth=0.0),), duration=0.5)


@pytest.fixture
def folder(tmp_path, monkeypatch, take):
    """Work where a run has left a take."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "outputs" / "pier").mkdir(parents=True)
    save(take, tmp_path / "outputs" / "pier" / "take.h5")
    return tmp_path


@pytest.fixture
def quick(monkeypatch):
    """A page that is written at once."""

    def write(takes, path, **more):
        path.write_text(f"{sorted(takes)} {sorted(more['notices'].items())} {more['body']}", encoding="utf-8")
        return path

    monkeypatch.setattr(report, "write_report", write)


def test_a_folder_of_a_run_gives_page_and_sounds(folder, take, capsys):
    assert main(["report", "outputs/pier"]) == 0
    assert written(folder / "outputs" / "pier_report") == WAVS | {"report.html"}
    assert page((folder / "outputs" / "pier_report" / "report.html").read_text(encoding="utf-8")).one("h1").text == take.sheet.title
    said = capsys.readouterr().out
    assert said.startswith(headline(take, measure(take))[:40])
    assert "outputs/pier_report" in said
    assert max(map(len, said.splitlines())) <= 80


@pytest.mark.usefixtures("quick")
def test_several_takes_and_a_place_of_ones_own(folder, capsys):
    save(synthetic_take((Tone(final=0.1e-3),), duration=0.5), folder / "far.h5")
    assert main(["report", "outputs/pier/take.h5", "--out", "mine/both.html", "far.h5", "far.h5"]) == 0
    names = ("pier", "far", "far-2")
    assert written(folder / "mine") == {"both.html"} | {
        f"both_{name}_{kind}.wav" for name in names for kind in ("sense_coil", "bridge", "drive")
    }
    loud, soft = (np.abs(soundfile.read(folder / "mine" / f"both_{name}_bridge.wav")[0]).max() for name in ("pier", "far"))
    assert loud > 2.0 * soft  # one gain for all
    assert capsys.readouterr().out.startswith("pier: ")


@pytest.mark.usefixtures("quick")
def test_a_page_in_the_runs_own_folder_replaces_nothing_of_it(folder):
    beside = folder / "outputs" / "pier"
    (beside / "bridge.wav").write_bytes(b"of the run")
    (beside / ".wirebloom-files").write_text("take.h5\nbridge.wav\n", encoding="utf-8")
    before = (beside / "take.h5").read_bytes()
    for _ in range(2):
        assert main(["report", "outputs/pier", "--out", "outputs/pier/report.html"]) == 0
    assert written(beside) == WAVS | {"report.html", "take.h5", "bridge.wav"}
    assert (beside / "take.h5").read_bytes() == before
    assert (beside / "bridge.wav").read_bytes() == b"of the run"


@pytest.mark.usefixtures("quick")
def test_a_file_of_somebody_else_is_left_alone(folder, capsys):
    (folder / "mine.html").write_text("mine", encoding="utf-8")
    assert main(["report", "outputs/pier", "--out", "mine.html"]) == 5
    assert (folder / "mine.html").read_text(encoding="utf-8") == "mine"
    assert "mine.html" in capsys.readouterr().err


@pytest.mark.usefixtures("quick")
def test_json_is_one_object(folder, capsys):
    assert main(["report", "outputs/pier", "--json"]) == 0
    answer = finite(capsys.readouterr().out)
    assert answer.keys() == {"report", "report_bytes", "takes", "files", "sounds"}
    assert answer["report"] == answer["files"][0] == "outputs/pier_report/report.html"
    assert answer["report_bytes"] == (folder / answer["report"]).stat().st_size
    assert answer["takes"][0]["name"] == "pier"
    assert answer["takes"][0]["notices"] == []
    assert answer["takes"][0]["outcome"] == "sustained"
    assert [sound["path"] for sound in answer["sounds"]] == answer["files"][1:]


@pytest.mark.usefixtures("quick")
def test_a_body_is_heard_in_a_file_of_its_own(folder):
    soundfile.write(folder / "box.wav", np.exp(-np.arange(4800) / 400.0), 48_000)
    assert main(["report", "outputs/pier", "--body", "box.wav"]) == 0
    assert len(written(folder / "outputs" / "pier_report")) == len(WAVS) + 2
    assert "box.wav" in (folder / "outputs" / "pier_report" / "report.html").read_text(encoding="utf-8")


@pytest.mark.usefixtures("quick")
def test_what_is_missing_of_a_take_is_said(folder, monkeypatch, capsys, take):
    monkeypatch.setattr(report, "salvage", lambda *_: (take, ("The sense signal is lost.",)))
    assert main(["report", "outputs/pier"]) == 0
    assert "Not whole: The sense signal is lost." in capsys.readouterr().out
    assert "The sense signal is lost." in (folder / "outputs" / "pier_report" / "report.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["first_note"], 5, "first_note must be a take, or a folder with one; instead received no such file. "
            "Perhaps you meant to run it first: wirebloom run first_note."),
        (["outputs"], 5, "outputs must be a take, or a folder with one; instead received no such file."),
        (["outputs/pier", "--out", "page.pdf"], 2, "--out must be a file that ends in .html; instead received 'page.pdf'."),
        (["outputs/pier", "--out", "outputs"], 2, "--out must be a file that ends in .html; instead received 'outputs'."),
        (["outputs/pier", "--body", "none.wav"], 5, "none.wav must be a sound file that can be read; instead received"),
        (["text.h5"], 5, "text.h5 must be the file of a take, whole or in part; instead received one that cannot be read."),
    ],
)  # fmt: skip
@pytest.mark.usefixtures("quick")
def test_what_cannot_be_is_one_sentence(words, code, said, folder, capsys):
    (folder / "text.h5").write_text("no take", encoding="utf-8")
    assert main(["report", *words]) == code
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith(f"wirebloom report: {said}")
    assert printed.err.count("\n") == 1
    assert not (folder / "outputs" / "pier_report").exists()


def test_the_help_has_examples(capsys):
    assert main(["report", "--help"]) == 0
    said = capsys.readouterr().out
    assert "  wirebloom report outputs/first_note" in said
    assert "--json" in said
    assert max(map(len, said.splitlines())) <= 80
