"""From a scenario to a take, and from a take to its files."""

from __future__ import annotations

import argparse
from pathlib import Path

from wirebloom.cli.progress import progress
from wirebloom.compile import compile_rig
from wirebloom.rig import load
from wirebloom.run import simulate
from wirebloom.take.take import Take


def overrides(arguments: argparse.Namespace) -> list[str]:
    """Return every option that changes the scenario as an override; later ones win."""
    changes = list(arguments.settings)
    if arguments.duration is not None:
        changes.append(f"run.duration={arguments.duration}")
    if arguments.seed is not None:
        changes.append(f"run.seed={arguments.seed}")
    return changes


def make_take(scenario: str, changes: list[str]) -> Take:
    """Load a scenario, compile and run it with its progress on stderr."""
    rig, plan = load(scenario, changes)
    with progress(Path(scenario).stem, plan.duration) as report:
        return simulate(compile_rig(rig, plan), report)


def scenario_copy(take: Take, changes: list[str]) -> str:
    """Return the scenario's text, with a first line that says what was changed on the command line."""
    if not changes:
        return take.scenario
    said = " ".join(f"--set '{change}'" for change in changes)
    return f"# This take was made with: {said}\n{take.scenario}"
