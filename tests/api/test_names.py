"""`import wirebloom as wb`: few names, each loaded when it is asked for, each told of, none hidden by a room of the same name."""

import ast
import doctest
import inspect
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import wirebloom as wb

SOURCE = Path(wb.__file__)
FUNCTIONS = [name for name in wb.__all__ if inspect.isfunction(getattr(wb, name))]
HEAVY = ("numpy", "scipy", "numba", "matplotlib", "pydantic", "h5py", "soundfile", "rich", "jinja2")
EXAMPLES = (
    "wirebloom", "wirebloom.take.measures", "wirebloom.workbench.names", "wirebloom.workbench.setup", "wirebloom.workbench.inventory",
    "wirebloom.workbench.files", "wirebloom.workbench.making", "wirebloom.workbench.looking", "wirebloom.workbench.comparison",
    "wirebloom.workbench.audio", "wirebloom.workbench.plots", "wirebloom.workbench.reporting",
)  # fmt: skip


def fresh(lines):
    """What a new Python says to these lines."""
    done = subprocess.run([sys.executable, "-c", lines], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def test_not_more_than_twenty_names_and_all_of_them_lead_somewhere():
    assert len(wb.__all__) <= 20
    assert wb.__all__ == sorted(wb.__all__)
    assert dir(wb) == wb.__all__
    assert all(getattr(wb, name) is not None for name in wb.__all__)
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        wb.nothing  # noqa: B018


def test_type_checkers_see_the_same_names():
    """What stands under TYPE_CHECKING is what is loaded: a name in one of the two alone would be a lie."""
    tree = ast.parse(SOURCE.read_text(encoding="utf-8"))
    blocks = [node for node in tree.body if isinstance(node, ast.If) and getattr(node.test, "id", "") == "TYPE_CHECKING"]
    seen = {}
    for imported in (one for block in blocks for one in block.body):
        for alias in imported.names:
            seen[alias.asname] = getattr(import_module(imported.module), alias.name)
    assert sorted(seen) == wb.__all__
    assert all(getattr(wb, name) is thing for name, thing in seen.items())


def test_importing_it_loads_nothing_heavy_and_is_quick():
    timed = "import time, sys; begun = time.process_time(); import wirebloom; print(time.process_time() - begun)"
    said = [fresh(f"{timed}; print([name for name in {HEAVY} if name in sys.modules])").splitlines() for _ in range(3)]
    assert {loaded for _, loaded in said} == {"[]"}
    assert min(float(seconds) for seconds, _ in said) < 0.05


@pytest.mark.parametrize("before", ["", "import wirebloom.run", "wb.run; import wirebloom.run.level"])
def test_the_room_called_run_does_not_take_the_functions_place(before):
    lines = f"import wirebloom as wb\n{before}\nprint(wb.run.__module__)\nfrom wirebloom.run import simulate\nprint(callable(wb.run))"
    assert fresh(lines).splitlines() == ["wirebloom.workbench.making", "True"]


def test_from_import_works():
    assert fresh("from wirebloom import run, plots, errors; print(run.__name__, plots.__name__, errors.__name__)") == (
        "run wirebloom.workbench.plots wirebloom.errors"
    )


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_function_is_told_of_with_an_example(name):
    said = inspect.getdoc(getattr(wb, name))
    assert "Examples\n--------" in said
    missing = [one for one in inspect.signature(getattr(wb, name)).parameters if one not in said]
    assert missing == []


def test_errors_are_one_family():
    kinds = [wb.errors.ScenarioError, wb.errors.RigError, wb.errors.FileError, wb.errors.DivergedError]
    assert all(issubclass(kind, wb.WirebloomError) for kind in kinds)
    with pytest.raises(wb.errors.ScenarioError, match="Perhaps you meant 'first_note'"):
        wb.load("fist_note")


@pytest.mark.parametrize("name", EXAMPLES)
def test_examples_do_what_they_say(name):
    """Every example in the docstrings of the public names."""
    found = doctest.testmod(import_module(name))
    assert found.attempted > 0
    assert found.failed == 0
