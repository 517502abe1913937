"""From a scenario to a take: compile, run, and what only the compiled rig knows of noise and squealing put into the take's sheet."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from wirebloom.analysis.hum import idle, noted
from wirebloom.analysis.squeal import squeals, with_squeals
from wirebloom.compile import compile_rig
from wirebloom.rig import Rig, RunPlan
from wirebloom.run import simulate, simulate_banded
from wirebloom.take.take import Take
from wirebloom.workbench.interrupt import Report, stoppable
from wirebloom.workbench.setup import Setup, load


def make_take(rig: Rig, plan: RunPlan, *, band: bool = False, report: Report | None = None) -> Take:
    """Compile and run a rig, with both ends of its band if these are wanted.

    Parameters
    ----------
    rig, plan
    band : bool
        Whether to run it at the weak and at the strong end of what is known of its heads as well.
    report : callable, optional
        Called with the simulated time reached, s.

    Raises
    ------
    RigError
        If the rig cannot be built.
    DivergedError
        If a value is no longer finite.
    """
    compiled = compile_rig(rig, plan)
    with stoppable(report) as stoppable_report:
        take = (simulate_banded if band else simulate)(compiled, stoppable_report)
    return replace(take, sheet=with_squeals(noted(take.sheet, idle(compiled)), squeals(compiled)))


def run(
    scenario: str | Path | Setup,
    *changes: str,
    duration: str | None = None,
    seed: int | None = None,
    band: bool = True,
    progress: Report | None = None,
) -> Take:
    """Run a scenario: what ``wirebloom run`` does, without files.

    The very first run on a machine compiles the time loop (half a minute) and solves each head's field (some seconds); both are kept.

    Parameters
    ----------
    scenario : str, Path or Setup
        A file, the name of a scenario that comes with the package, or one that has been read.
    *changes : str
        Any value of the scenario given anew, such as ``heads.sense.gap=1.2 mm``.
    duration : str, optional
        Simulated time with its unit, such as ``3 s``.
    seed : int, optional
        Of the noise: the same seed gives the same bits.
    band : bool
        Whether to run it at the weak and at the strong end of what is known of its heads as well.
    progress : callable, optional
        Called with the simulated time reached, s.

    Returns
    -------
    Take
        With status "interrupted" and what was recorded if it was stopped by Ctrl-C.

    Raises
    ------
    FileError, ScenarioError, RigError
        As :func:`load`.
    DivergedError
        If a value is no longer finite.

    Examples
    --------
    >>> import wirebloom as wb
    >>> take = wb.run("first_note", "heads.drive.gap=1.5 mm", duration="0.2 s", band=False)
    >>> take.status, take.signals.drive_current.shape
    ('complete', (9600, 1))
    """
    setup = load(scenario, *changes, duration=duration, seed=seed)
    return make_take(setup.rig, setup.plan, band=band, report=progress)
