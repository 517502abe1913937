"""``wirebloom run``: one scenario to a verdict, sound, pictures and data."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from wirebloom.cli.answer import print_json, print_text
from wirebloom.cli.folder import claim, fresh
from wirebloom.cli.making import INTERRUPTED, make_take, overrides, scenario_copy, write_json
from wirebloom.rig import load
from wirebloom.take.measures import Measures, measure
from wirebloom.take.store import save
from wirebloom.take.summary import summary
from wirebloom.take.take import Take
from wirebloom.views.audio import planned_wavs, write_wavs
from wirebloom.views.body import Body, asked_body
from wirebloom.views.figures import FIGURES, write_figures
from wirebloom.views.verdict import render, verdict
from wirebloom.workbench.names import short_name

TAKE, SCENARIO, SUMMARY = "take.h5", "scenario.toml", "summary.json"


def command(arguments: argparse.Namespace) -> int:
    """Run the scenario, write everything, print the verdict; an interrupted take is written like a complete one."""
    name = short_name(arguments.scenario)
    folder = arguments.out or Path("outputs") / name
    rig, plan = load(arguments.scenario, overrides(arguments))  # before any folder is made for a name that nothing has
    body = asked_body(arguments.body)
    planned = [TAKE, SCENARIO, *planned_wavs(body=body), *([] if arguments.no_figures else FIGURES), SUMMARY]
    claim(folder, planned)
    take = make_take(name, rig, plan, band=not arguments.no_band)
    measures = measure(take)
    with fresh(folder, planned) as written:
        answer = _write(take, measures, folder, written, figures=not arguments.no_figures, body=body)
    if arguments.json:
        print_json(answer)
    else:
        print_text(render(verdict(take, measures)), "", f"In {folder}: {', '.join(written)}")
    return INTERRUPTED if take.status == "interrupted" else 0


def _write(take: Take, measures: Measures, folder: Path, written: list[str], *, figures: bool, body: Body | None) -> dict[str, Any]:
    """Write every file, what took longest to get first; return the summary with the files in it."""
    save(take, folder / TAKE)
    written.append(TAKE)
    (folder / SCENARIO).write_text(scenario_copy(take), encoding="utf-8")
    written.append(SCENARIO)
    written += [path.name for path in write_wavs(take, folder, body)]
    if figures:
        written += [path.name for path in write_figures(take, folder)]
    written.append(SUMMARY)
    answer = summary(take, measures) | {"files": [str(folder / name) for name in written]}
    write_json(answer, folder / SUMMARY)
    return answer
