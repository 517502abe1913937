"""Records out of a damaged file: as many rows as all that is left of them share, and blanks for the rest."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.take import contents
from wirebloom.take.columns import Arrays
from wirebloom.take.contents import Table
from wirebloom.take.sheet import Sheet
from wirebloom.take.take import Frames, Shape, Signals
from wirebloom.take.wreck import Wreck

HALF = 0.5  # of the longest record: less of a signal counts as none
PLACES = 2  # along a string whose shape is lost: its ends


class Records(NamedTuple):
    """Signals, slow records and shapes that end together; the names of those that are lost; the end, s; whether it is that of the run."""

    signals: Signals
    frames: Frames
    shape: Shape
    lost: tuple[str, ...]
    end_s: float
    whole: bool


def records_of(wreck: Wreck, sheet: Sheet, audio_rate: float, due_s: float) -> Records:
    """Return all records of a take.

    Parameters
    ----------
    wreck : Wreck
    sheet : Sheet
        Of the take: it says how many strings, poles and loops there are.
    audio_rate : float
        Hz.
    due_s : float
        How long the take once was; 0 if that is lost too.
    """
    sizes = {"string": len(sheet.strings), "pole": len(sheet.poles), "loop": len(sheet.loops), "polarisation": 2}
    own = max(string.frequency_Hz.shape[-1] for string in sheet.strings)
    sizes["partial"] = max(own, wreck.attempt(lambda: int(wreck.file["frames/amplitude"].shape[-1]), own, ""))  # with dead ones
    signals, lost = _signals(wreck, sizes)
    frames, unwritten = _frames(wreck, sizes, [pole.rest_gap_m for pole in sheet.poles])
    end = _end(frames["time"], signals["displacement"].shape[0] / audio_rate)
    frames = {name: values[frames["time"] <= end + 1e-9] for name, values in frames.items()}
    signals = {name: values[: round(end * audio_rate)] for name, values in signals.items()}
    whole = end > due_s - 0.5 / audio_rate
    if not whole:
        wreck.notices.append(f"The records are there up to {end:.2f} s of {due_s:.2f} s; what came later is lost.")
    return Records(Signals(**signals), Frames(**frames), _shape(wreck, sheet, whole=whole), lost + unwritten, end, whole)


def _end(time: np.ndarray, sounding: float) -> float:
    """Return the time up to which both signals and slow records go; either alone if nothing of the other is there."""
    framed = float(time[-1])
    return min(framed, sounding) if framed > 0.0 and sounding > 0.0 else max(framed, sounding)


def _signals(wreck: Wreck, sizes: dict[str, int]) -> tuple[Arrays, tuple[str, ...]]:
    """Return all signals of one length, those that are lost as zeros, and the names of these."""
    found = _read(wreck, "signals", contents.SIGNALS, sizes)
    most = max((values.shape[0] for values in found.values()), default=0)
    kept = {name: values for name, values in found.items() if values.shape[0] > HALF * most}
    count = min((values.shape[0] for values in kept.values()), default=0)
    lost = tuple(name for name in contents.SIGNALS if name not in kept)
    if not kept:
        wreck.notices.append("All signals are lost: there is no sound, and nothing can be said of how the strings sounded.")
    elif lost:
        named = "; ".join(contents.SIGNALS[name].long_name for name in lost)
        wreck.notices.append(f"Some signals are lost; they read as 0, and nothing is measured from them: {named}.")
    blank = _blank(contents.SIGNALS, count, sizes)
    return {name: np.asarray(kept.get(name, blank[name])[:count], dtype=np.float32) for name in contents.SIGNALS}, lost


def _frames(wreck: Wreck, sizes: dict[str, int], gaps: list[float]) -> tuple[Arrays, tuple[str, ...]]:
    """Return the slow records of one length; if any of them is lost, the one row of a take that has not begun, and the names of all."""
    found = _read(wreck, "frames", contents.FRAMES, sizes)
    lost: tuple[str, ...] = ()
    count = min((values.shape[0] for values in found.values()), default=0)
    if count == 0 or len(found) < len(contents.FRAMES):
        wreck.notices.append("The slow records are lost: no levels of partials, no clearance, no ledger of energy.")
        found, count, lost = _blank(contents.FRAMES, 1, sizes), 1, tuple(contents.FRAMES)[1:]
        found["least_gap"][:] = gaps
        found["phase"][:] = -1.0
    return {name: np.asarray(values[:count], dtype=np.float32 if name == "phase" else np.float64) for name, values in found.items()}, lost


def _read(wreck: Wreck, group: str, table: Table, sizes: dict[str, int]) -> Arrays:
    """Return what is left of the variables of a group; those that older files do not have as such files read."""
    found: Arrays = {}
    for name, variable in table.items():
        there = wreck.attempt(lambda name=name, variable=variable: wreck.part(group, name, variable, sizes), None, "")  # type: ignore[misc]
        if there is not None:
            found[name] = there
    count = max((values.shape[0] for values in found.values()), default=0)
    for name, values in _blank(table, count, sizes).items():
        if found and name not in found and isinstance(table[name].absent, float) and not wreck.has(f"{group}/{name}"):
            found[name] = values + table[name].absent
    return found


def _blank(table: Table, count: int, sizes: dict[str, int]) -> Arrays:
    return {name: np.zeros((count, *(sizes[dim] for dim in variable.dims[1:]))) for name, variable in table.items()}


def _shape(wreck: Wreck, sheet: Sheet, *, whole: bool) -> Shape:
    """Return the shapes of the last period; none if they are lost, or if the take now ends before them."""
    ends = np.array([[0.0, string.length_m] for string in sheet.strings])
    none = Shape(np.zeros(0), ends, np.zeros((0, len(sheet.strings), 2, PLACES)))
    if not whole:
        return none
    return wreck.attempt(lambda: _whole_shape(wreck, len(sheet.strings)), none, "The shape of the strings at the end is lost.")


def _whole_shape(wreck: Wreck, strings: int) -> Shape:
    found = wreck.whole("shape", contents.SHAPE)
    if found["displacement"].shape[1] != strings:
        raise ValueError("shapes of other strings")
    return Shape(found["time"], found["place"], found["displacement"])
