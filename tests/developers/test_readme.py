"""README.md and DEVELOPERS.md: the commands work as typed, the files are there, and nothing points at one machine."""

import re
import shlex
import tomllib
from pathlib import Path

import pytest

from developers.sections import DEVELOPERS, README, ROOT
from wirebloom.cli.parser import build_parser
from wirebloom.rig import load

DOCUMENTS = [README, DEVELOPERS, ROOT / "outputs" / "README.md"]
PACKAGE = ROOT / "sim" / "wirebloom"
ROOMS = {path.name for path in PACKAGE.iterdir() if path.is_dir()}
TOP = {"sim", "tests", "scenarios", "notebooks", ".ci", ".readme"}
SCENARIOS = sorted(path.stem for path in (ROOT / "scenarios").glob("*.toml"))
THE_TWO = [
    "python3 -m venv .venv && .venv/bin/pip install -q . && .venv/bin/wirebloom run first_note",
    "python3 -m venv .venv && .venv/bin/pip install -q -e '.[test]' && .venv/bin/python -m pytest -n auto",
]

# What no page of ours says: paths of one machine, numbers of a tracker, praise.
FORBIDDEN = [
    r"(?:^|[\s`'\"(=])(?:/[\w.-]+){2,}",
    r"\b[A-Za-z]:\\",
    r"~/",
    r"(?i)\bissue #?\d",
    r"(?i)\b(?:powerful|seamless\w*|blazing\w*|cutting-edge|state-of-the-art|revolutionary|effortless\w*|best-in-class)\b",
    r"\b(?:TODO|FIXME|XXX|TBD)\b",
]


def read(path):
    return path.read_text(encoding="utf-8")


def blocks(text):
    """Lines of all fenced shell blocks."""
    return [line for block in re.findall(r"```sh\n(.*?)```", text, re.DOTALL) for line in block.splitlines() if line.strip()]


def test_the_two_commands():
    """They are run as they stand there, by whoever reads and by CI."""
    assert [line for line in read(README).splitlines() if line.startswith("python3 -m venv ")] == THE_TWO
    assert set(THE_TWO) <= set(blocks(read(README)))


@pytest.mark.parametrize("line", [line for path in DOCUMENTS for line in blocks(read(path)) if line.startswith("wirebloom ")])
def test_commands_can_be_typed(line):
    """A verb, an option, a scenario or the path of an override that no longer exists."""
    words = shlex.split(line, comments=True)
    arguments = build_parser().parse_args(words[1:])
    for scenario in [getattr(arguments, "scenario", None), *getattr(arguments, "scenarios", [])]:
        if scenario in SCENARIOS:
            load(scenario, arguments.settings)


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_links_lead_somewhere(path):
    links = re.findall(r"\]\(([^)\s]+)\)", read(path))
    local = [link.partition("#") for link in links if not link.startswith("http")]
    assert not [file for file, _, _ in local if not (path.parent / file).exists()]
    assert not [place for file, _, place in local if place and place not in headings(path.parent / file if file else path)]


def headings(path):
    """Anchors of a document's headings, as its renderers make them."""
    found = re.findall(r"^#+ (.*)$", read(path), re.MULTILINE)
    return {re.sub(r"[^\w -]", "", heading).lower().replace(" ", "-") for heading in found}


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_files_that_are_named_exist(path):
    assert not [name for name in named_files(read(path)) if not exists(name)]


def named_files(text):
    """Whatever stands in backticks and looks like a file or folder of the project."""
    told = re.findall(r"`([\w.-]+(?:/[\w.-]+)*/?)`", re.sub(r"```.*?```", "", text, flags=re.DOTALL))
    return [name for name in told if (name.split("/")[0] in TOP | ROOMS and "/" in name) or name.endswith((".py", ".md", ".c"))]


def exists(name):
    return any((root / f"{name}{ending}").exists() for root in (ROOT, PACKAGE) for ending in ("", ".py"))


def test_every_scenario_is_told():
    told = set(re.findall(r"`(\w+)`", read(README)))
    assert set(SCENARIOS) <= told


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_no_forbidden_words(path):
    text = read(path)
    assert not [found[0] for pattern in FORBIDDEN for found in re.finditer(pattern, text, re.MULTILINE)]


def test_the_benchmark_has_its_place():
    assert re.search(r"<!-- benchmarks -->\n.*<!-- /benchmarks -->", read(README), re.DOTALL)


def test_the_top_level_is_fixed():
    """New things go into a room, not beside it."""
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "sim", "tests", "scenarios", "notebooks", "outputs", "build", "dist"}
    assert not [path.name for path in Path(ROOT).iterdir() if path.name not in allowed and not path.name.startswith(".")]


def requirements(listed):
    return {re.split(r"[^\w-]", one)[0] for one in listed}


def test_every_dependency_says_why():
    """A package that crept in, or one that nothing needs any more."""
    project = tomllib.loads(read(ROOT / "pyproject.toml"))["project"]
    due = set().union(*(requirements(listed) for listed in [project["dependencies"], *project["optional-dependencies"].values()]))
    told = read(DEVELOPERS).partition("\n## Dependencies")[2].partition("\nFrom Debian")[0]
    rows = re.findall(r"^\| ([\w-]+) \| ", told, re.MULTILINE)
    assert set(rows) - {"package"} == due
