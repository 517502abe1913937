"""What the templates fill in: plain data, ready to be shown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from markupsafe import Markup

from wirebloom.views.tables import Table
from wirebloom.views.verdict import Verdict


class Drawing(NamedTuple):
    """A figure.

    Attributes
    ----------
    title, finding : str
        What it is, and what it shows in a sentence or two.
    svg : Markup
    """

    title: str
    finding: str
    svg: Markup


class Player(NamedTuple):
    """A sound within the page.

    Attributes
    ----------
    take, title : str
        Name of the take, and what is heard.
    source : Markup
        The sound as a data address.
    facts : tuple of str
        Length, loudness, peak, what was added to make it as loud as others.
    note : str
        What part of the take it is.
    """

    take: str
    title: str
    source: Markup
    facts: tuple[str, ...]
    note: str


class Bench(NamedTuple):
    """Players of one kind of sound, side by side."""

    title: str
    players: tuple[Player, ...]


class Part(NamedTuple):
    """All that the page says of one take.

    Attributes
    ----------
    key : str
        In front of every anchor within the part, so that several parts can stand in one page.
    name, title, story : str
    notices : tuple of str
        What is missing of a damaged take.
    told : Verdict
    behind : Table
        The figures behind it.
    rig, figures : tuple of Drawing
    benches : tuple of Bench
    tables, build : tuple of Table
    long_tables, provenance : tuple of Table
        Folded away on a screen.
    cautions : tuple of str
    scenario : str
    """

    key: str
    name: str
    title: str
    story: str
    notices: Sequence[str]
    told: Verdict
    behind: Table
    rig: Sequence[Drawing]
    figures: Sequence[Drawing]
    benches: Sequence[Bench]
    tables: Sequence[Table]
    long_tables: Sequence[Table]
    build: Sequence[Table]
    cautions: Sequence[str]
    provenance: Sequence[Table]
    scenario: str


class Beside(NamedTuple):
    """All that the page says of several takes side by side."""

    told: Sequence[tuple[str, str]]
    table: Table
    figures: Sequence[Drawing]
    benches: Sequence[Bench]
