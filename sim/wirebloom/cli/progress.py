"""How far a run is, in simulated time, on stderr: a bar on a terminal, a plain line now and then elsewhere."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

from wirebloom.workbench.interrupt import Report

QUIET_FOR = 2.0  # seconds of waiting between two plain lines
PREPARING = "preparing (slow only the first time)"


@contextmanager
def progress(what: str, duration: float) -> Iterator[Report]:
    """Yield a function that takes the simulated time (s) reached so far.

    Parameters
    ----------
    what : str
        What is being run; stands before the bar.
    duration : float
        Simulated time at which the run ends, s.
    """
    show = _bar if sys.stderr.isatty() else _lines
    with show(what, duration) as report:
        yield report


@contextmanager
def _bar(what: str, duration: float) -> Iterator[Report]:
    from rich.console import Console  # noqa: PLC0415 - only where there is a terminal to draw on
    from rich.progress import BarColumn, Progress, SpinnerColumn, TextColumn, TimeRemainingColumn  # noqa: PLC0415

    columns = (
        SpinnerColumn(), TextColumn("{task.fields[what]}", markup=False), BarColumn(bar_width=24),
        TextColumn("{task.fields[reached]}"), TimeRemainingColumn(compact=True),
    )  # fmt: skip
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", total=None, what=f"{what}: {PREPARING}", reached="")

        def report(reached: float) -> None:
            if reached > 0.0:  # until then the loop is still being compiled
                bar.update(task, total=duration, completed=reached, what=what, reached=f"{reached:.2f} of {duration:g} s")

        yield report


@contextmanager
def _lines(what: str, duration: float) -> Iterator[Report]:
    first = spoken = (0.0, 0.0)  # clock and simulated time at the first sign of life, and when last spoken

    def report(reached: float) -> None:
        nonlocal first, spoken
        now = time.monotonic()
        if reached <= 0.0:  # the loop is still being compiled
            return
        if first[1] == 0.0:
            first = spoken = (now, reached)
        elif now - spoken[0] >= QUIET_FOR:
            spoken = (now, reached)
            left = (now - first[0]) * (duration - reached) / (reached - first[1])
            sys.stderr.write(f"{what}: {reached:.2f} of {duration:g} s simulated, about {left:.0f} s left\n")
            sys.stderr.flush()

    yield report
