"""The verdict: first one line in a maker's words, then the figures behind it, the model's limits, the cautions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from wirebloom.views.amounts import figures
from wirebloom.views.band_words import Ranges, at_the_ends, listed, ranged, ranges
from wirebloom.views.silence import not_starting
from wirebloom.views.squeal_rows import squealing
from wirebloom.views.verdict_rows import seconds, verdict_rows

if TYPE_CHECKING:
    from rich.console import RenderableType

    from wirebloom.take.measures import Measures
    from wirebloom.take.nearness import Nearness
    from wirebloom.take.take import Take

FAINT = 0.01  # of the loudest string's bridge force: 40 dB below it a string is drowned


class Verdict(NamedTuple):
    """What a take comes to.

    Attributes
    ----------
    headline : str
        One plain sentence.
    rows : tuple of (str, str)
        Name and figures of each matter.
    limits, cautions : tuple of str
        Of the model for this rig; of what can hurt.
    """

    headline: str
    rows: tuple[tuple[str, str], ...]
    limits: tuple[str, ...]
    cautions: tuple[str, ...]


def verdict(take: Take, measures: Measures) -> Verdict:
    """Put the measures of a take into words.

    Parameters
    ----------
    take : Take
    measures : Measures
        Of the same take.
    """
    return Verdict(headline(take, measures), tuple(verdict_rows(take, measures)), take.sheet.limits, take.sheet.cautions)


def headline(take: Take, measures: Measures) -> str:
    """Return the one line that a maker reads first."""
    stopped = f"Stopped early, at {figures(take.duration_s)} s. " if take.status == "interrupted" else ""
    latched = [string.name for string in take.sheet.strings if string.equilibrium == "latched"]
    if latched:
        return f"{stopped}The magnets hold {listed(latched)} on a face: more gap or weaker magnets first.{at_the_ends(take, measures)}"
    told = _several(measures) if len(measures.strings) > 1 else _sentence(take, measures)
    if len(measures.strings) > 1 or measures.strings[0].starts:
        told += squealing(take, measures)
    return stopped + told + at_the_ends(take, measures)


def _several(measures: Measures) -> str:
    """Return how many strings start, and the one that matters most in a sentence of its own."""
    names = [string.name for string in measures.strings if string.starts]
    if not names:
        return "No string starts."
    whole = "All strings start" if len(names) == len(measures.strings) else f"{len(names)} of {len(measures.strings)} strings start"
    touching = [string.name for string in measures.strings if string.near.first_touch_s is not None]
    told = f"{whole} ({listed(names)})"
    if touching:
        return f"{told}, but {listed(touching)} will buzz: first touch after {seconds(measures.near.first_touch_s)}."
    return f"{told}{_clear(measures.near, {})}{_hardly_heard(measures)}."


def _hardly_heard(measures: Measures) -> str:
    """Return which of the strings that start are drowned by the loudest one."""
    loudest = measures.leading.bridge_force_N
    faint = [string.name for string in measures.strings if string.starts and string.bridge_force_N < FAINT * loudest]
    return f"; {listed(faint)} can hardly be heard beside {measures.leading.name}" if faint else ""


def _sentence(take: Take, measures: Measures) -> str:
    """Return the verdict on the only string."""
    string = measures.strings[0]
    if string.outcome is None and take.lost:
        return "Too little of its file is left to tell whether it starts."
    if string.outcome is None:
        return "It ran too short a time to tell: give it at least a second."
    if not string.starts:
        return not_starting(take, measures, 0)
    found = ranges(take, 0, string)
    if string.outcome == "growing":
        near = _touching(string.near, ", but ", found)
        return f"It starts, and is still growing when the run ends{near}: run longer to see where it settles."
    tone = "" if string.pitch_Hz is None else f" ({string.pitch_Hz:.1f} Hz)"
    begun = "It starts: near full level after an unknown time"
    if string.start_time_s is not None:
        begun = f"It starts: near full level after {ranged(found, 'start_time_s', string.start_time_s)} s"
    if string.start_time_s == 0.0:
        begun = "It sounds from the first moment"
    return f"{begun} on partial {string.dominant_partial}{tone}{_touching(string.near, ', but buzzes: ', found)}."


def _touching(near: Nearness, joint: str, found: Ranges) -> str:
    """Return since when the string touches, or how clear it stays."""
    if near.first_touch_s is None:
        return _clear(near, found)
    since = "the first moment" if near.first_touch_s == 0.0 else seconds(near.first_touch_s)
    return f"{joint}touches {near.head} from {since} on"


def _clear(near: Nearness, found: Ranges) -> str:
    """Return how clear it stays, over the ends of the band if it does so at both."""
    if near.clearance_mm is None:
        return ""
    clear_throughout = found.get("clearance_mm", (0.0, 0.0))[0] > 0.0
    return f", {ranged(found if clear_throughout else {}, 'clearance_mm', near.clearance_mm)} mm clear of {near.head}"


def render(told: Verdict, *between: RenderableType) -> RenderableType:
    """Return the verdict ready to print: bold and columns on a terminal, plain text elsewhere; between: what follows its rows."""
    from rich.console import Group  # noqa: PLC0415 - a tenth of a second, only where text is wanted
    from rich.text import Text  # noqa: PLC0415

    parts: list[RenderableType] = [Text(told.headline, style="bold"), Text(""), _columns(told.rows), *between]
    for title, lines in (("The model's limits here", told.limits), ("Take care", told.cautions)):
        if lines:
            parts += [Text(""), Text(title, style="bold"), _columns([("·", line) for line in lines])]
    return Group(*parts)


def _columns(rows: Sequence[tuple[str, str]]) -> RenderableType:
    """Return names on the left and what is said of them on the right, wrapped within its column."""
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    table = Table.grid(padding=(0, 2), expand=False)
    table.add_column(no_wrap=max((len(name) for name, _ in rows), default=0) <= 24, style="cyan")
    table.add_column(overflow="fold")
    for name, said in rows:
        table.add_row(Text(name), Text(said))
    return table
