"""``wirebloom new``: a commented starter scenario."""

from __future__ import annotations

import argparse
from pathlib import Path

from wirebloom.cli.answer import print_json, print_text
from wirebloom.errors import FileError
from wirebloom.rig.starter import STARTER

DEFAULT = "my_rig.toml"


def _target(path: Path) -> Path:
    """Return the file meant: a folder gets the default name, a name without an ending gets ``.toml``."""
    if path.is_dir():
        return path / DEFAULT
    return path if path.suffix else path.with_suffix(".toml")


def command(arguments: argparse.Namespace) -> int:
    """Write the starter and say what to do next."""
    path = _target(arguments.path)
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(STARTER)
    except FileExistsError as problem:
        raise FileError(f"PATH must be a new file; instead received '{path}', which exists and is left as it is.") from problem
    except OSError as problem:
        raise FileError(f"PATH must be a place that can be written; instead received '{path}' ({problem.strerror}).") from problem
    if arguments.json:
        print_json({"files": [str(path)]})
    else:
        print_text(f"Wrote {path}. Change what you like in it, then: wirebloom run {path}")
    return 0
