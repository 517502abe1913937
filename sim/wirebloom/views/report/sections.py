"""From takes to what the templates fill in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, NamedTuple

from wirebloom.take.measures import Measures, measure
from wirebloom.views.build_sheet import build_sheet
from wirebloom.views.clips import clips
from wirebloom.views.report.drawings import figure_drawings, overlay_drawing, rig_drawings
from wirebloom.views.report.losses import audible, first_said
from wirebloom.views.report.origin import origin, story
from wirebloom.views.report.parts import Bench, Beside, Part
from wirebloom.views.report.players import benches
from wirebloom.views.report.tables import beside_table, partial_tables, take_tables
from wirebloom.views.tables import Table
from wirebloom.views.verdict import headline, verdict

if TYPE_CHECKING:
    from wirebloom.take.take import Take
    from wirebloom.views.body import Body

GENERAL_CARE = (
    "Steel strings under tension can whip, coils and amplifiers get hot, strong magnets pinch and disturb implants, loud sound harms "
    "hearing. Local codes come first; leave what needs a licence to those who have one."
)


class Page(NamedTuple):
    """A whole page; beside is None for a single take, contents are pairs of an anchor and words."""

    title: str
    parts: Sequence[Part]
    beside: Beside | None
    contents: Sequence[tuple[str, str]]


def page_of(takes: Mapping[str, Take], notices: Mapping[str, Sequence[str]], body: Body | None) -> Page:
    """Put takes into the form of a page.

    Parameters
    ----------
    takes : mapping of str to Take
        What each is called; one or more.
    notices : mapping of str to sequence of str
        What is to be said first of a take that is not whole.
    body : Body or None
        Through which the bridge is heard as well.
    """
    measures = {name: measure(take) for name, take in takes.items()}
    several = len(takes) > 1
    with ThreadPoolExecutor(1) as beside_the_drawing:  # filters and coders let go of the interpreter
        sounds = beside_the_drawing.submit(clips, takes, body=body)
        parts = [
            part(f"take{number}", name, take, measures[name], notices=notices.get(name, ()))
            for number, (name, take) in enumerate(takes.items(), 1)
        ]
        players = benches(audible(sounds.result(), takes))
    side = beside(takes, measures, players) if several else None
    parts = parts if several else [parts[0]._replace(benches=players)]
    title = " beside ".join(takes) if several else parts[0].title
    return Page(title, parts, side, tuple(several_contents(parts, side) if side else contents(parts[0])))


def part(key: str, name: str, take: Take, measures: Measures, *, notices: Sequence[str]) -> Part:
    """Return all that a page says of one take, but for its sounds."""
    told = verdict(take, measures)
    return Part(
        key=key,
        name=name,
        title=take.sheet.title.strip() or name,
        story=story(take),
        notices=first_said(take, notices),
        told=told,
        behind=Table("The figures behind it", ("matter", "figures"), told.rows),
        rig=list(rig_drawings(take, key)),
        figures=figure_drawings(take, measures, key),
        benches=(),
        tables=take_tables(take, measures),
        long_tables=list(partial_tables(take, measures)),
        build=build_sheet(take, measures),
        cautions=told.cautions or (GENERAL_CARE,),
        provenance=origin(take),
        scenario=take.scenario,
    )


def beside(takes: Mapping[str, Take], measures: Mapping[str, Measures], players: Sequence[Bench]) -> Beside:
    """Return what a page says of several takes together."""
    told = [(name, headline(take, measures[name])) for name, take in takes.items()]
    return Beside(told, beside_table(measures), [overlay_drawing(takes, measures)], players)


def contents(one: Part) -> Iterator[tuple[str, str]]:
    """Yield the places of a page with one take."""
    for anchor, words, there in (
        ("verdict", "Verdict", True),
        ("rig", "Rig", bool(one.rig)),
        ("listen", "Listen", bool(one.benches)),
        ("figures", "Figures", bool(one.figures)),
        ("tables", "Tables", True),
        ("build", "Build sheet", bool(one.build)),
        ("limits", "Limits", True),
        ("care", "Take care", True),
        ("scenario", "Scenario", True),
        ("origin", "Where it comes from", True),
    ):
        if there:
            yield f"{one.key}-{anchor}", words


def several_contents(parts: Sequence[Part], side: Beside) -> Iterator[tuple[str, str]]:
    """Yield the places of a page with several takes."""
    yield "beside", "Side by side"
    if side.benches:
        yield "listen", "Listen"
    yield "figures", "Figures"
    for one in parts:
        yield one.key, one.name
