"""What the verbs share: options as changes, a run with its progress shown, and what goes into files beside a take."""

from __future__ import annotations

import argparse
import json
import shlex
from pathlib import Path

from wirebloom.cli.progress import progress
from wirebloom.rig import Rig, RunPlan
from wirebloom.take.take import Take
from wirebloom.workbench import making
from wirebloom.workbench.setup import with_plan

INTERRUPTED = 130


def overrides(arguments: argparse.Namespace) -> list[str]:
    """Return every option that changes the scenario as an override; later ones win."""
    return with_plan(arguments.settings, arguments.duration, arguments.seed)


def make_take(name: str, rig: Rig, plan: RunPlan, *, band: bool = False) -> Take:
    """Compile and run a rig, with its progress on stderr under this name; with both ends of its band if these are wanted."""
    with progress(name, plan.duration) as report:
        return making.make_take(rig, plan, band=band, report=report)


def scenario_copy(take: Take) -> str:
    """Return the scenario's text, headed by what was changed on the command line."""
    if not take.overrides:
        return take.scenario
    said = " ".join(f"--set {shlex.quote(change)}" for change in take.overrides)
    comment = "\n# ".join(said.splitlines())
    return f"# This take was made with: {comment}\n{take.scenario}"


def write_json(answer: object, path: Path) -> None:
    """Write one JSON object."""
    path.write_text(json.dumps(answer, indent=2, ensure_ascii=False, allow_nan=False) + "\n", encoding="utf-8")
