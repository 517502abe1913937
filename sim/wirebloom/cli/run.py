"""``wirebloom run``: one scenario to a verdict, sound, pictures and data."""

from __future__ import annotations

import argparse
from pathlib import Path

from wirebloom.cli.answer import print_json, print_text
from wirebloom.cli.folder import claim, fresh
from wirebloom.cli.making import INTERRUPTED, make_take, overrides, scenario_name
from wirebloom.take.measures import measure
from wirebloom.views.audio import WAVS
from wirebloom.views.figures import FIGURES
from wirebloom.views.verdict import render, verdict

TAKE, SCENARIO, SUMMARY = "take.h5", "scenario.toml", "summary.json"


def command(arguments: argparse.Namespace) -> int:
    """Run the scenario, write everything, print the verdict; an interrupted take is written like a complete one."""
    changes = overrides(arguments)
    folder = arguments.out or Path("outputs") / scenario_name(arguments.scenario)
    planned = [TAKE, SCENARIO, SUMMARY, *WAVS, *(() if arguments.no_figures else FIGURES)]
    claim(folder, planned)
    take = make_take(arguments.scenario, changes)
    with fresh(folder, planned) as written:
        answer = _write(take, changes, folder, written, figures=not arguments.no_figures)
    if arguments.json:
        print_json(answer)
    else:
        print_text(render(verdict(take, measure(take))), _where(folder, written))
    return INTERRUPTED if take.status == "interrupted" else 0
