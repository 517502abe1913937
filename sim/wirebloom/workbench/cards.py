"""What a notebook shows of a take, a check, a map, a comparison, a setup, a clip: one card of HTML each, the verdict first."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from jinja2 import BaseLoader, ChoiceLoader, Environment, FileSystemLoader

from wirebloom.take.measures import measure
from wirebloom.views.check_figures import CHECK_FIGURES, planned_check_figures
from wirebloom.views.check_map import map_words, partial_map
from wirebloom.views.check_sheet import check_verdict
from wirebloom.views.clips import clips
from wirebloom.views.comparison import buildup_page
from wirebloom.views.figures import pages
from wirebloom.views.report.drawings import drawing, overlay_finding, whole
from wirebloom.views.report.html import templates
from wirebloom.views.report.parts import Bench, Drawing
from wirebloom.views.report.players import benches
from wirebloom.views.report.shown import visible
from wirebloom.views.report.tables import beside_table
from wirebloom.views.tables import Table
from wirebloom.views.verdict import Verdict, headline, verdict
from wirebloom.workbench.inventory import inventory

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from wirebloom.take.check import Check
    from wirebloom.take.check_map import PartialMap
    from wirebloom.take.take import Take
    from wirebloom.views.clips import Clip
    from wirebloom.workbench.comparison import Comparison
    from wirebloom.workbench.setup import Setup

HERE = Path(__file__).parent
MARGIN = 0.1  # inch


class Card(NamedTuple):
    """What stands in a card, from top to bottom; names: whether players say whose sound they are."""

    said: Sequence[str] = ()
    told: Sequence[str] = ()
    benches: Sequence[Bench] = ()
    drawings: Sequence[Drawing] = ()
    tables: Sequence[Table] = ()
    behind: Table | None = None
    notes: Sequence[str] = ()
    names: bool = False


def html(card: Card) -> str:
    """Return a card as HTML, everything that a user wrote escaped."""
    return cabinet().get_template("card.html.j2").render(card=card)


@cache
def cabinet() -> Environment:
    """Return the report's templates, and the card beside them."""
    loaders: list[BaseLoader] = [FileSystemLoader(HERE / "templates")]
    loaders += [loader for loader in (templates().loader,) if loader is not None]
    return templates().overlay(loader=ChoiceLoader(loaders))


def drawn(figure: Figure, title: str, finding: str) -> Drawing:
    """Return a figure with its words, in which nothing acts that should be read."""
    return drawing(in_view(figure), visible(title), visible(finding), "")


def in_view(figure: Figure) -> Figure:
    """Move the axes' right edge so far that a legend beside them is in the picture."""
    over = figure.get_tightbbox().x1 - figure.get_figwidth()
    if over > 0.0:
        figure.subplots_adjust(right=figure.subplotpars.right - (over + MARGIN) / figure.get_figwidth())
    return figure


def behind(told: Verdict) -> tuple[Table, Sequence[str]]:
    """Return what is folded away: the figures behind a verdict, limits and cautions."""
    return Table("The figures behind it", ("matter", "figures"), told.rows), (*told.limits, *told.cautions)


def take_card(take: Take) -> str:
    """Return verdict, player of the build-up, and the first picture of a take."""
    measures = measure(take)
    told = verdict(take, measures)
    seen = [drawn(page.draw(), page.title, page.finding) for page in pages(take, measures)[:1]]
    return html(Card([told.headline], (), benches(clips({"": take})[:1]), seen, (), *behind(told)))


def check_card(check: Check) -> str:
    """Return verdict and first picture of a check: the sign table, where there is one."""
    told = check_verdict(check)
    words = check.signs.words[0] if check.signs.words else told.headline
    seen = [drawn(CHECK_FIGURES[name](check), check.title, words) for name in planned_check_figures(check)[:1]]
    return html(Card([told.headline], (), (), seen, (), *behind(told)))


def map_card(found: PartialMap) -> str:
    """Return a map with its words."""
    return html(Card(drawings=[drawn(whole(partial_map(found)), found.title, map_words(found))]))


def comparison_card(comparison: Comparison) -> str:
    """Return every verdict, players of the same loudness, the build-ups overlaid, and what decides in a table."""
    takes, measures = comparison.takes, comparison.measures
    said = [f"{name}: {headline(take, measures[name])}" for name, take in takes.items()]
    heard = benches([clip for clip in clips(takes) if clip.kind == "bridge"])
    seen = drawn(buildup_page(takes), "Build-up and clearance, overlaid", overlay_finding(takes, measures))
    return html(Card(said, (), heard, [seen], [beside_table(measures)], names=True))


def setup_card(setup: Setup) -> str:
    """Return what stands on the bench, in a maker's units."""
    changes = [f"Changed: {'; '.join(setup.changes)}"] if setup.changes else []
    return html(Card([setup.title], [*setup.rig.story.split("\n\n"), *changes], tables=[inventory(setup)]))


def clip_card(clip: Clip) -> str:
    """Return a player."""
    return html(Card(benches=benches([clip]), names=bool(clip.take)))


def axes_card(ax: Axes) -> str:
    """Return the figure of an axis, with its labels for who does not see it."""
    title = ax.get_title(loc="left") or ax.get_title() or "Figure"
    return html(Card(drawings=[drawn(whole(ax), title, f"{ax.get_ylabel()}, over {ax.get_xlabel()}.")]))
