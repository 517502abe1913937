"""Bands that nobody ran, for tests of what reads takes."""

from dataclasses import replace

import numpy as np

from consistency.scenario import TEXT
from wirebloom.compile.poles import find_poles
from wirebloom.physics.head_table import HeadTable
from wirebloom.physics.string import string_modes
from wirebloom.rig import MATERIALS, loads
from wirebloom.take.band import DIVERGED, Band, End, StringEnd
from wirebloom.take.take import Take


def string_end(**changes) -> StringEnd:
    """A string that starts, as the synthetic take's own first one does unless told otherwise."""
    said = {
        "equilibrium": "free", "outcome": "sustained", "start_time_s": 0.8, "growth_rate_per_s": 20.0, "dominant_partial": 1,
        "pitch_Hz": 196.0, "bridge_force_N": 0.1, "clearance_mm": 0.6, "head": "sense 1", "first_touch_s": None, "buzz": "none",
    }  # fmt: skip
    return StringEnd(**(said | changes))


def end(take: Take, *strings: StringEnd, status: str = "complete", level: float = 0.1) -> End:
    """One end; strings that are not told of are as the first."""
    count = len(take.sheet.strings)
    told = (*strings, *[strings[0] if strings else string_end()] * (count - len(strings)))
    return End(status, told, np.full((take.frames.time.size, count), level))


def banded(take: Take, weak: End | None = None, strong: End | None = None, **bands: float | str) -> Take:
    """The take with both ends, and heads with a band: -30/+50 % and -40/+90 % unless told otherwise."""
    known = {"factor_low": 0.7, "factor_high": 1.5, "pull_low": 0.6, "pull_high": 1.9} | bands
    poles = tuple(replace(pole, **known) for pole in take.sheet.poles)
    return replace(take, sheet=replace(take.sheet, poles=poles), band=Band(weak or end(take), strong or end(take)))


def lost(take: Take) -> End:
    """An end whose run left all bounds."""
    return end(take, string_end(outcome=None, start_time_s=None, clearance_mm=None), status=DIVERGED, level=0.0)


def exponential_table() -> HeadTable:
    """Of a head with 14 mN/A and 3 mN at 1 mm, both falling to 1/e in 1.5 mm, and no band."""
    rig, _ = loads(TEXT, file="bench.toml")
    return find_poles(rig, [string_modes(string, MATERIALS[string.material], rig.room) for string in rig.strings])[0].table
