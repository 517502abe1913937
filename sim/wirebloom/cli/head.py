"""``wirebloom head``: a sheet for one head, with pictures."""

from __future__ import annotations

import argparse
from pathlib import Path

from wirebloom.analysis.head import study_head
from wirebloom.cli.answer import print_json, print_text
from wirebloom.cli.folder import claim, fresh
from wirebloom.cli.making import write_json
from wirebloom.cli.progress import progress
from wirebloom.rig import load
from wirebloom.take.head_summary import head_summary
from wirebloom.views.head_figures import planned_head_figures, write_head_figures
from wirebloom.views.head_sheet import head_sheet
from wirebloom.views.verdict import render
from wirebloom.workbench.names import short_name

SHEET = "head.json"


def command(arguments: argparse.Namespace) -> int:
    """Study the head, write sheet and pictures, print the sheet."""
    rig, _ = load(arguments.scenario, arguments.settings)
    name = arguments.name or (rig.heads[0].name if rig.heads else None)
    with progress(f"{short_name(arguments.scenario)}, {name}", 0.0):
        study = study_head(rig, arguments.name, arguments.strings)
    folder = arguments.out or Path("outputs") / f"{short_name(arguments.scenario)}_{safe_name(study.head)}"
    planned = [*([] if arguments.no_figures else planned_head_figures(study)), SHEET]
    claim(folder, planned)
    with fresh(folder, planned) as written:
        if not arguments.no_figures:
            written += [path.name for path in write_head_figures(study, folder)]
        written.append(SHEET)
        answer = head_summary(study) | {"files": [str(folder / one) for one in written]}
        write_json(answer, folder / SHEET)
    if arguments.json:
        print_json(answer)
    else:
        print_text(render(head_sheet(study)), "", f"In {folder}: {', '.join(written)}")
    return 0


def safe_name(name: str) -> str:
    """Return a name that is a folder's name everywhere."""
    return "".join(letter if letter.isalnum() or letter in "-_." else "_" for letter in name)
