"""``wirebloom check``: will it start, on which partial, with how much to spare; without a run."""

from __future__ import annotations

import argparse
from pathlib import Path

from wirebloom.analysis.check import check
from wirebloom.analysis.explorer import explore
from wirebloom.cli.answer import print_json, print_text
from wirebloom.cli.folder import claim, fresh
from wirebloom.cli.making import write_json
from wirebloom.cli.progress import progress
from wirebloom.compile import compile_rig
from wirebloom.rig import load
from wirebloom.take.check import Check
from wirebloom.take.check_json import check_summary, map_summary
from wirebloom.take.check_map import PartialMap
from wirebloom.views.check_figures import planned_check_figures, write_check_figures
from wirebloom.views.check_map import MAP, map_words, write_map
from wirebloom.views.check_sheet import check_sheet
from wirebloom.workbench.names import short_name

SHEET = "check.json"


def command(arguments: argparse.Namespace) -> int:
    """Look at the rig, write sheet and pictures, print the sheet."""
    name = short_name(arguments.scenario)
    wants_map = arguments.map or arguments.head is not None
    with progress(name, 0.0):
        compiled = compile_rig(*load(arguments.scenario, arguments.settings))
        chart = explore(compiled, arguments.head) if wants_map else None
        found = check(compiled, advice=arguments.advice)
    folder = arguments.out or Path("outputs") / f"{name}_check"
    planned = planned_files(found, chart, figures=not arguments.no_figures)
    claim(folder, planned)
    with fresh(folder, planned) as written:
        write_pictures(found, chart, folder, planned)
        written.extend(planned)
        answer = check_summary(found) | {"map": None if chart is None else map_summary(chart)}
        answer |= {"files": [str(folder / one) for one in written]}
        write_json(answer, folder / SHEET)
    if arguments.json:
        print_json(answer)
    else:
        print_text(check_sheet(found), "", *([] if chart is None else [map_words(chart), ""]), f"In {folder}: {', '.join(written)}")
    return 0


def planned_files(found: Check, chart: PartialMap | None, *, figures: bool) -> list[str]:
    """Return the names of all files, pictures first."""
    pictures = [*planned_check_figures(found), *([] if chart is None else [MAP])]
    return [*(pictures if figures else []), SHEET]


def write_pictures(found: Check, chart: PartialMap | None, folder: Path, planned: list[str]) -> None:
    """Draw those pictures that are planned."""
    if len(planned) > 1:
        write_check_figures(found, folder)
    if chart is not None and MAP in planned:
        write_map(chart, folder)
