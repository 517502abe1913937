"""The scenarios that come with the package, run as they stand or changed; each run is made once a session and only its end is kept."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from wirebloom.compile import compile_rig
from wirebloom.rig import load
from wirebloom.run import simulate
from wirebloom.take.measures import Measures, measure
from wirebloom.take.sheet import Sheet


@dataclass(frozen=True)
class Ended:
    """What a run came to: its measures, its rig's sheet, and the last second of the first loop's output about its bias (V)."""

    measures: Measures
    sheet: Sheet
    output: np.ndarray
    audio_rate: float

    @property
    def string(self):
        """The measures of the only string."""
        (only,) = self.measures.strings
        return only

    @property
    def loop(self):
        """The measures of the only loop."""
        (only,) = self.measures.loops
        return only


@cache
def ended(name: str, *overrides: str) -> Ended:
    """Run a shipped scenario to its own end."""
    take = simulate(compile_rig(*load(name, overrides)))
    late = take.signals.drive_voltage[-round(take.audio_rate) :, 0].astype(float)
    return Ended(measure(take), take.sheet, late - take.sheet.loops[0].bias_V, take.audio_rate)


def both_gaps(gap: str) -> tuple[str, str]:
    """Overrides that set the heads of the scenarios with one string at a gap."""
    return f"heads.sense.gap={gap}", f"heads.drive.gap={gap}"
