"""A run with its band: beside it, in threads, the same rig with every head at the weak and at the strong end of what is known of it."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import wait as settle
from dataclasses import replace
from threading import Event

from wirebloom.compile.bands import STRONG, WEAK
from wirebloom.compile.model import Compiled, compile_end
from wirebloom.errors import DivergedError
from wirebloom.run.lean import lean_take
from wirebloom.run.simulate import Engine, simulate
from wirebloom.take.band import Band, End
from wirebloom.take.ends import diverged_end, end_of
from wirebloom.take.take import Take

LONG = 20.0  # s: of longer runs the ends come afterwards, one by one: their records would fill the memory
NOW_AND_THEN = 0.1  # s between two looks at whether somebody wants to stop


def simulate_banded(compiled: Compiled, progress: Callable[[float], None] | None = None) -> Take:
    """Run a compiled rig, and beside it both ends of its band.

    Parameters
    ----------
    compiled : Compiled
        Is left as it is.
    progress : callable, optional
        Called with the simulated time that the three runs have reached on the average, s.

    Returns
    -------
    Take
        Without a band if no head has one, or if it was stopped by Ctrl-C before the ends were done.

    Raises
    ------
    DivergedError
        If a value of the run itself is no longer finite.
    """
    if not any(pole.band.known for pole in compiled.poles):
        return simulate(compiled, progress)
    Engine(compiled).begin()  # once for all threads
    watch = Watch(progress)
    together = compiled.plan.duration <= LONG
    with ThreadPoolExecutor(_beside() if together else 1) as pool:

        def run_ends() -> list[Future[End | None]]:
            return [pool.submit(run_end, compiled, end, watch) for end in (WEAK, STRONG)]

        ends = run_ends() if together else []
        try:
            take = simulate(compiled, watch.see)
            return replace(take, band=_gathered(take, ends or run_ends(), watch))
        finally:
            watch.stop.set()


class Watch:
    """How far the run and both ends are, and whether the ends are to stop."""

    def __init__(self, progress: Callable[[float], None] | None) -> None:
        self.progress, self.stop = progress, Event()
        self.reached = [0.0, 0.0, 0.0]  # weak and strong end, and the run itself

    def see(self, reached: float) -> None:
        """Take the time that the run itself has reached, and pass on that of all three; only the run's own thread may call this."""
        self.reached[-1] = reached
        if self.progress is not None:
            self.progress(sum(self.reached) / len(self.reached))


def _beside() -> int:
    """Threads beside the run itself, so that it is not slowed down where there are cores to spare."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(2, max(1, cores - 1))


def run_end(compiled: Compiled, end: int, watch: Watch) -> End | None:
    """One end of the band; None if stopped."""

    def on(reached: float) -> bool:
        watch.reached[end] = reached
        return not watch.stop.is_set()

    try:
        take = lean_take(compile_end(compiled, end), on)
    except DivergedError:
        return diverged_end(len(compiled.sheet.strings), max(1, round(compiled.plan.duration / compiled.plan.frame)) + 1)
    return None if take is None else end_of(take)


def _gathered(take: Take, ends: Sequence[Future[End | None]], watch: Watch) -> Band | None:
    """Wait for the ends, in short turns between which Ctrl-C is heard."""
    if take.status != "complete":
        return None
    try:
        while settle(ends, NOW_AND_THEN).not_done:
            watch.see(take.duration_s)
    except KeyboardInterrupt:
        return None
    weak, strong = (end.result() for end in ends)
    return None if weak is None or strong is None else Band(weak, strong)
