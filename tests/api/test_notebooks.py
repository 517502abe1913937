"""The lessons: outputs stripped, public names only, no computing of their own, every scenario and link there; executed with `-m long`."""

import ast
import json
import re
import resource
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

import wirebloom as wb
from wirebloom.cli.parser import build_parser

FOLDER = Path(__file__).resolve().parents[2] / "notebooks"
LESSONS = sorted(FOLDER.glob("*.ipynb"))
ALLOWED = {"wirebloom", "ipywidgets", "IPython.display"}
LONGEST = 40.0  # s of computing, on a machine whose time loop is compiled; the clock would tell of what else it does
PATIENCE = 400.0  # s: kernels that lose a message wait for ever


def read(path):
    return json.loads(path.read_text(encoding="utf-8"))


def cells(path, kind):
    return ["".join(cell["source"]) for cell in read(path)["cells"] if cell["cell_type"] == kind]


def code(path):
    return ast.parse("\n".join(cells(path, "code")))


def test_the_lessons_are_there():
    assert [path.stem for path in LESSONS] == ["first_note", "fundamental_or_overtones", "reading_the_loop", "will_it_hit"]


@pytest.fixture(params=LESSONS, ids=lambda path: path.stem)
def lesson(request):
    return request.param


def test_no_outputs_are_kept(lesson):
    kept = [(cell["outputs"], cell["execution_count"]) for cell in read(lesson)["cells"] if cell["cell_type"] == "code"]
    assert set(map(str, kept)) == {"([], None)"}


def test_public_names_only(lesson):
    tree = code(lesson)
    imported = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    imported |= {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert imported <= ALLOWED
    for node in (node for node in ast.walk(tree) if isinstance(node, ast.Attribute)):
        match node.value:
            case ast.Name(id="wb"):
                assert node.attr in wb.__all__
            case ast.Attribute(value=ast.Name(id="wb"), attr=home):
                assert node.attr in getattr(wb, home).__all__


def test_nothing_is_computed(lesson):
    """Physics belongs into the package: a lesson calls, and shows."""
    tree = code(lesson)
    assert [ast.unparse(node) for node in ast.walk(tree) if isinstance(node, ast.BinOp | ast.AugAssign | ast.For | ast.While)] == []


def test_every_lesson_has_a_knob_a_heading_and_a_way_on(lesson):
    said = "\n".join(cells(lesson, "markdown"))
    assert said.startswith("# ")
    assert any(isinstance(node, ast.Name) and node.id == "interact" for node in ast.walk(code(lesson)))
    links = re.findall(r"\]\(([^)]+)\)", said)
    assert links
    assert all((FOLDER / link).exists() for link in links)


def test_whoever_listens_is_warned_first(lesson):
    """Before the first cell that plays something."""
    warned = False
    for cell in read(lesson)["cells"]:
        source = "".join(cell["source"])
        warned = warned or "low volume" in source
        assert warned or not re.search(r"wb\.(run|compare|audio)", source)


def test_scenarios_and_commands_exist(lesson):
    named = re.findall(r'wb\.(?:run|check|load|explore)\("(\w+)"', "\n".join(cells(lesson, "code")))
    assert named
    assert set(named) <= set(wb.scenarios())
    for line in re.findall(r"`(wirebloom [^`]+)`", "\n".join(cells(lesson, "markdown"))):
        build_parser().parse_args(shlex.split(line)[1:])


@pytest.mark.long
def test_it_runs_from_top_to_bottom(lesson, tmp_path):
    """As whoever opens it would run it, in its own kernel; what a slider shows at first included."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    command = [sys.executable, "-m", "jupyter", "execute", str(lesson), "--output", str(tmp_path / "done.ipynb")]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=tmp_path, timeout=PATIENCE)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert done.returncode == 0, done.stderr
    outputs = [output for cell in read(tmp_path / "done.ipynb")["cells"] for output in cell.get("outputs", ())]
    assert [output for output in outputs if output["output_type"] in ("error", "stream")] == []
    assert "Traceback" not in (tmp_path / "done.ipynb").read_text(encoding="utf-8")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["done.ipynb"]
    assert after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime < LONGEST
