"""From a scenario to a take, and what goes into files beside it: what run and compare share."""

from __future__ import annotations

import argparse
import json
import shlex
from dataclasses import replace
from pathlib import Path

from wirebloom.analysis.hum import idle, noted
from wirebloom.analysis.squeal import squeals, with_squeals
from wirebloom.cli.interrupt import stoppable
from wirebloom.cli.progress import progress
from wirebloom.compile import compile_rig
from wirebloom.rig import Rig, RunPlan
from wirebloom.run import simulate, simulate_banded
from wirebloom.take.take import Take

INTERRUPTED = 130


def overrides(arguments: argparse.Namespace) -> list[str]:
    """Return every option that changes the scenario as an override; later ones win."""
    changes: list[str] = list(arguments.settings)
    if arguments.duration is not None:
        changes.append(f"run.duration={arguments.duration}")
    if arguments.seed is not None:
        changes.append(f"run.seed={arguments.seed}")
    return changes


def short_name(scenario: str) -> str:
    """Return what results of this scenario or take are called: the file's stem, or its folder's name for a ``take.h5``."""
    path = Path(scenario)
    return path.resolve().parent.name if path.name == "take.h5" else path.stem


def make_take(name: str, rig: Rig, plan: RunPlan, *, band: bool = False) -> Take:
    """Compile and run a rig, with its progress on stderr under this name; with both ends of its band if these are wanted."""
    with progress(name, plan.duration) as report:
        compiled = compile_rig(rig, plan)
        with stoppable(report) as stoppable_report:
            take = (simulate_banded if band else simulate)(compiled, stoppable_report)
        return replace(take, sheet=with_squeals(noted(take.sheet, idle(compiled)), squeals(compiled)))


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
