"""What is typed: help with an example for every verb, one sentence for every slip, the start-up cheap."""

import os
import subprocess
import sys
from importlib.metadata import version

import pytest

from wirebloom.cli import main as entry
from wirebloom.cli.main import main
from wirebloom.errors import DivergedError, FileError, RigError, ScenarioError


@pytest.mark.parametrize("verb", ["new", "head", "check", "deck", "level", "run", "compare", "report", "animate"])
def test_every_verb_has_help_with_an_example_and_json(verb, capsys):
    assert main([verb, "--help"]) == 0
    said = capsys.readouterr().out
    assert f"  wirebloom {verb} " in said
    assert "--json" in said
    assert max(len(line) for line in said.splitlines()) <= 80


def test_version(capsys):
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"wirebloom {version('wirebloom')}\n"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["rnu"], "Perhaps you meant run."),
        (["run"], "SCENARIO"),
        (["run", "first_note", "--nonsense"], "--nonsense"),
        (["compare"], "SCENARIO"),
        (["new", "a", "b"], "b"),
    ],
)
def test_a_slip_is_one_sentence_and_code_2(words, said, capsys):
    assert main(words) == 2
    printed = capsys.readouterr()
    assert said in printed.err
    assert printed.err.count("\n") == 1
    assert printed.out == ""


def test_no_verb_shows_help_and_is_a_usage_error(capsys):
    assert main([]) == 2
    assert "start here" in capsys.readouterr().err


class Verb:
    """Stands in for a verb's module."""

    def __init__(self, problem):
        self.problem = problem

    def command(self, arguments):
        raise self.problem


@pytest.mark.parametrize(
    ("problem", "code"),
    [
        (ScenarioError("x must be y; instead received z."), 3), (RigError("r"), 4), (FileError("f"), 5),
        (DivergedError("d", time_s=0.1, where="string one"), 6), (KeyboardInterrupt(), 130), (BrokenPipeError(), 0),
    ],
)  # fmt: skip
def test_every_class_of_error_has_its_code_and_no_traceback(problem, code, monkeypatch, capfd):
    monkeypatch.setattr(entry, "import_module", lambda _: Verb(problem))
    monkeypatch.setattr(entry, "_hush_stdout", lambda: None)
    assert main(["run", "first_note"]) == code
    said = capfd.readouterr().err
    assert "Traceback" not in said
    assert said.count("\n") == (0 if code == 0 else 1)


@pytest.mark.parametrize(("flags", "variable", "shown"), [([], "", False), (["--debug"], "", True), ([], "1", True), ([], "0", False)])
def test_the_unexpected_asks_for_a_report_and_shows_its_traceback_only_on_request(flags, variable, shown, monkeypatch, capsys):
    monkeypatch.setenv("WIREBLOOM_DEBUG", variable)
    monkeypatch.setattr(entry, "import_module", lambda _: Verb(ZeroDivisionError("division\nby zero")))
    assert main(["run", "first_note", *flags]) == 1
    said = capsys.readouterr().err
    assert "please report it" in said
    assert ("Traceback" in said) is shown
    assert shown or said.count("\n") == 1


def test_start_up_imports_nothing_heavy():
    heavy = ("numpy", "matplotlib", "rich", "pydantic", "numba", "h5py", "scipy", "typer")
    script = f"import sys, wirebloom.cli.main; print([name for name in {heavy} if name in sys.modules])"
    told = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, env=dict(os.environ))
    assert told.stdout.strip() == "[]"
