"""How far figures may be off, in words: ranges instead of figures, and what is otherwise at either end of the band."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from wirebloom.take.band import DIVERGED
from wirebloom.take.ends import spans
from wirebloom.views.amounts import figures

if TYPE_CHECKING:
    from wirebloom.take.band import End, StringEnd
    from wirebloom.take.measures import Measures, StringMeasures
    from wirebloom.take.sheet import PoleSheet
    from wirebloom.take.take import Take


Ranges = dict[str, tuple[float, float]]


def listed(names: Sequence[str]) -> str:
    """Return names as a sentence has them."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def ranges(take: Take, index: int, string: StringMeasures) -> Ranges:
    """Return from where to where the measures of a string lie over the band, by their names; nothing without a band."""
    return {} if take.band is None else {name: found for name, found in spans(take.band, index, string).items() if found is not None}


def ranged(found: Ranges, measure: str, value: float) -> str:
    """Return a figure, or from where to where it lies; ends that look alike are told once.

    Examples
    --------
    >>> ranged({"start_time_s": (0.6, 1.44)}, "start_time_s", 0.9), ranged({}, "start_time_s", 0.9)
    ('0.6 to 1.4', '0.9')
    """
    low, high = (figures(end, 2) for end in found.get(measure, (value, value)))
    return low if low == high else f"{low} to {high}"


def aside(found: Ranges, measure: str, unit: str) -> str:
    """Return the range in brackets, to stand behind a figure of two digits; nothing where there is none."""
    low, high = (figures(end, 2) for end in found.get(measure, (0.0, 0.0)))
    return "" if low == high else f" ({low} to {high} {unit})"


def per_cent(low: float, high: float) -> str:
    """Return the ends of a band, ratios to the value, in per cent.

    Examples
    --------
    >>> per_cent(0.55, 1.4)
    '-45/+40 %'
    """
    return f"{100.0 * (low - 1.0):+.0f}/{100.0 * (high - 1.0):+.0f} %"


def head_band(low: float, high: float) -> str:
    """Return a band in brackets; nothing where none is known."""
    return "" if low == high == 1.0 else f" ({per_cent(low, high)})"


def notes(poles: Sequence[PoleSheet]) -> list[tuple[str, str]]:
    """Return what measured values did to the bands, heads of the same words together."""
    heads: dict[str, list[str]] = {}
    for pole in poles:
        if pole.band_note:
            heads.setdefault(pole.band_note, []).append(pole.head)
    return [(f"band of {listed(list(dict.fromkeys(names)))}", note) for note, names in heads.items()]


def at_the_ends(take: Take, measures: Measures) -> str:
    """Return a sentence for each end of the band at which it comes out otherwise; nothing where it does not."""
    if take.band is None:
        return ""
    said = {name: _otherwise(take, measures, end) for name, end in take.band.ends.items()}
    if said["weak"] == said["strong"] != "":
        return f" At both ends of the band {said['weak']}."
    return "".join(f" At the {name} end of the band {what}." for name, what in said.items() if what)


def _otherwise(take: Take, measures: Measures, end: End) -> str:
    if end.status == DIVERGED:
        return "the computation leaves all bounds"
    if len(measures.strings) == 1:
        return " and ".join(_of_one(take.sheet.strings[0].equilibrium, measures.strings[0], end.strings[0]))
    return ", ".join(_of_several(measures, end))


def _of_one(equilibrium: str, string: StringMeasures, end: StringEnd) -> Iterator[str]:
    """Yield in what the only string is otherwise at an end."""
    latched = "latched" in (equilibrium, end.equilibrium)
    if latched and end.equilibrium != equilibrium:
        yield "the magnets hold it on a face" if end.equilibrium == "latched" else "it hangs clear"
    if latched or string.outcome is None:
        return
    if end.starts != string.starts and not end.starts:
        yield _not_starting(string, end)
        return
    if end.starts != string.starts:
        yield f"it starts{_after(end)}"
    elif end.starts:
        if end.outcome != string.outcome:
            yield "it is still growing when the run ends" if end.outcome == "growing" else f"it is near full level{_after(end)}"
        if end.dominant_partial != string.dominant_partial and "growing" not in (end.outcome, string.outcome):
            yield f"partial {end.dominant_partial} wins"
    yield from _touching(string, end)


def _not_starting(string: StringMeasures, end: StringEnd) -> str:
    """Say of an end at which it does not start whether a face has to do with that."""
    if end.first_touch_s is None:
        return "it does not start, and stays clear" if string.near.first_touch_s is not None else "it does not start"
    at = "from the first moment on" if end.first_touch_s == 0.0 else f"at {figures(end.first_touch_s, 2)} s"
    then = "stays on it" if end.buzz == "resting" else "falls silent"
    return f"it meets {end.head} {at} and {then}"


def _after(end: StringEnd) -> str:
    return "" if end.start_time_s is None else f" after {figures(end.start_time_s, 2)} s"


def _touching(string: StringMeasures, end: StringEnd) -> Iterator[str]:
    if end.first_touch_s is not None and string.near.first_touch_s is None:
        since = "the first moment" if end.first_touch_s == 0.0 else f"{figures(end.first_touch_s, 2)} s"
        yield f"it touches {end.head} from {since} on"
    if end.first_touch_s is None and string.near.first_touch_s is not None:
        yield "it stays clear"


def _of_several(measures: Measures, end: End) -> Iterator[str]:
    """Yield in what a wall of strings is otherwise at an end."""
    names = [string.name for string in measures.strings]
    before = [string.starts is True for string in measures.strings]
    starting = [one.starts is True for one in end.strings]
    if starting != before:
        started = [name for name, starts in zip(names, starting, strict=True) if starts]
        whole = f"{len(started)} of {len(names)} strings start ({listed(started)})" if started else "no string starts"
        yield "all strings start" if all(starting) else whole
    held = [name for name, one in zip(names, end.strings, strict=True) if one.equilibrium == "latched"]
    if held:
        yield f"the magnets hold {listed(held)} on a face"
    met = [one.first_touch_s is not None for one in end.strings]
    new = [string.name for string, meets in zip(measures.strings, met, strict=True) if meets and string.near.first_touch_s is None]
    if new:
        yield f"{listed(new)} will buzz"
