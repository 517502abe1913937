"""Scenarios that come with the package, and where a scenario's text comes from."""

from __future__ import annotations

from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from wirebloom.errors import FileError, ScenarioError
from wirebloom.rig.sentences import listed, perhaps, sentence, show

LARGEST = 1_000_000


def _folder() -> Traversable:
    """Return the folder of scenarios: inside an installed package, beside the sources in a checkout."""
    inside = resources.files("wirebloom") / "scenarios"
    return inside if inside.is_dir() else Path(__file__).resolve().parents[3] / "scenarios"


def shipped_scenarios() -> dict[str, Traversable]:
    """Return the scenarios that come with the package, by name."""
    folder = _folder()
    files = list(folder.iterdir()) if folder.is_dir() else []
    return {file.name.removesuffix(".toml"): file for file in sorted(files, key=lambda one: one.name) if file.name.endswith(".toml")}


def scenario_text(path_or_name: str | Path) -> tuple[str, str]:
    """Return the file name and text of a scenario.

    Parameters
    ----------
    path_or_name : str or Path
        A file, or the name of a scenario that comes with the package.

    Raises
    ------
    FileError
        If there is a file that cannot be read.
    ScenarioError
        If there is neither a file nor a shipped scenario of that name.
    """
    source = _source(path_or_name)
    try:
        raw = source.read_bytes()
        if len(raw) > LARGEST:
            raise FileError(sentence(source.name, "a scenario of at most 1 MB", f"{len(raw) / 1e6:.1f} MB"))
        return source.name, raw.decode("utf-8-sig")
    except OSError as problem:
        name = source.name or "SCENARIO"  # "." and "/" have none
        raise FileError(sentence(name, "a file that can be read", f"'{path_or_name}' ({problem.strerror})")) from problem
    except UnicodeDecodeError as problem:
        raise FileError(sentence(source.name, "a text in UTF-8", f"a byte that is not, at {problem.start}")) from problem


def _source(path_or_name: str | Path) -> Traversable:
    path = Path(path_or_name)
    if _exists(path):
        return path
    known = shipped_scenarios()
    name = str(path_or_name).removesuffix(".toml")
    if name not in known:
        what = f"a file, or one of the scenarios that come with wirebloom ({listed(known)})"
        raise ScenarioError(sentence("SCENARIO", what, f"'{show(str(path_or_name))}'", perhaps(name, known)))
    return known[name]


def _exists(path: Path) -> bool:
    """Tell whether there is a file; a folder called like a shipped scenario (old results, say) does not hide it."""
    try:
        return path.is_file() or (path.exists() and path.stem not in shipped_scenarios())
    except (OSError, ValueError):  # too long for a path, or a null byte in it
        return False
