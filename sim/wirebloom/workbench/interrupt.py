"""Ctrl-C while a run goes on: it takes effect between two frames, so that the take never ends in the middle of one."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

Report = Callable[[float], None]  # takes the simulated time reached, s


class Stop:
    """Remembers a first Ctrl-C until it suits; a second one, or one before the first frame is done, takes effect at once."""

    def __init__(self, report: Report | None) -> None:
        self.report = report
        self.running = False
        self.asked = False

    def hear(self, number: int, frame: FrameType | None) -> None:
        """Take the signal."""
        if self.asked or not self.running:
            raise KeyboardInterrupt
        self.asked = True

    def __call__(self, reached: float) -> None:
        """Pass the progress on, and stop here if that was asked for."""
        self.running = reached > 0.0
        if self.report is not None:
            self.report(reached)
        if self.asked:
            raise KeyboardInterrupt


@contextmanager
def stoppable(report: Report | None) -> Iterator[Report]:
    """Wrap a progress function so that Ctrl-C raises KeyboardInterrupt from within it, and nowhere else in the run."""
    stop = Stop(report)
    here = threading.current_thread() is threading.main_thread()  # signals reach no other
    if not here or signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        yield stop
        return
    before = signal.signal(signal.SIGINT, stop.hear)
    try:
        yield stop
    finally:
        signal.signal(signal.SIGINT, before)
