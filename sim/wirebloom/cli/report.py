"""``wirebloom report``: takes as one page to keep, to send and to play, and their sounds as WAV beside it."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from wirebloom.cli.answer import print_json, print_text
from wirebloom.cli.folder import beside
from wirebloom.compile import compile_rig
from wirebloom.errors import FileError, WirebloomError
from wirebloom.rig import loads
from wirebloom.rig.shipped import shipped_scenarios
from wirebloom.take.measures import measure
from wirebloom.take.salvage import salvage
from wirebloom.take.sheet import Sheet
from wirebloom.take.summary import summary
from wirebloom.take.take import Take
from wirebloom.views.audio import planned_wavs, write_sounds
from wirebloom.views.body import asked_body
from wirebloom.views.report import write_report
from wirebloom.views.verdict import headline
from wirebloom.workbench.names import TAKE, short_name, told_apart

PAGE = "report.html"
ENDINGS = (".html", ".htm")
LONGEST = 60  # letters of a folder's name
Found = tuple[Take, tuple[str, ...]]


class UsageError(WirebloomError):
    """An option that does not fit."""

    exit_code = 2


def command(arguments: argparse.Namespace) -> int:
    """Read the takes, write page and sounds, say what came of it."""
    files = [take_file(word) for word in arguments.takes]
    names = told_apart(map(short_name, files))
    page = page_path(arguments.out, names)
    body = asked_body(arguments.body)
    found: dict[str, Found] = {name: salvage(file, rebuilt) for name, file in zip(names, files, strict=True)}
    takes = {name: take for name, (take, _) in found.items()}
    sounding = sound_names(page, takes)
    planned = [page.name, *planned_wavs(tuple(sounding), body=body)]
    with beside(page.parent, planned):
        write_report(takes, page, notices={name: said for name, (_, said) in found.items()}, body=body)
        sounds = write_sounds(sounding, page.parent, body)
    written = [page, *(sound.path for sound in sounds)]
    if arguments.json:
        print_json(answer(found, page, written) | {"sounds": [asdict(sound) | {"path": str(sound.path)} for sound in sounds]})
    else:
        print_text(*said(found), "", f"In {page.parent}: {', '.join(path.name for path in written)}")
    return 0


def take_file(word: str) -> Path:
    """Return the file that a word stands for: a take, or the folder that a run wrote one into.

    Raises
    ------
    FileError
        If there is none; with what to run first for one who named a scenario.
    """
    path = Path(word)
    path = path / TAKE if path.is_dir() else path
    if not path.is_file():
        first = (
            f" Perhaps you meant to run it first: wirebloom run {word}." if word in shipped_scenarios() or word.endswith(".toml") else ""
        )
        raise FileError(f"{word} must be a take, or a folder with one; instead received no such file.{first}")
    return path


def page_path(asked: Path | None, names: Sequence[str]) -> Path:
    """Return where the page goes.

    Raises
    ------
    UsageError
        If what was asked for is no HTML file.
    """
    if asked is None:
        return Path("outputs") / f"{'_beside_'.join(names)[:LONGEST]}_report" / PAGE
    if asked.suffix.lower() not in ENDINGS or asked.is_dir():
        raise UsageError(f"--out must be a file that ends in .html; instead received '{asked}'.")
    return asked


def sound_names(page: Path, takes: Mapping[str, Take]) -> dict[str, Take]:
    """Return the takes by what their sounds' files begin with: so that a page in a run's own folder replaces none of the run's."""
    several = len(takes) > 1
    return {f"{page.stem}_{name}" if several else page.stem: take for name, take in takes.items()}


def rebuilt(scenario: str, overrides: tuple[str, ...]) -> Sheet:
    """Work out the sheet of a rig whose file has lost it."""
    return compile_rig(*loads(scenario, file="scenario", overrides=overrides)).sheet


def said(found: Mapping[str, Found]) -> list[str]:
    """Return what is printed of each take: its verdict, and what is missing of it."""
    several = len(found) > 1
    lines = []
    for name, (take, notices) in found.items():
        lines += [f"{f'{name}: ' if several else ''}{headline(take, measure(take))}", *(f"Not whole: {notice}" for notice in notices)]
    return lines


def answer(found: Mapping[str, Found], page: Path, written: Sequence[Path]) -> dict[str, Any]:
    """Return what came of it, for machines."""
    return {
        "report": str(page),
        "report_bytes": page.stat().st_size,
        "takes": [{"name": name, "notices": list(notices)} | summary(take, measure(take)) for name, (take, notices) in found.items()],
        "files": [str(path) for path in written],
    }
