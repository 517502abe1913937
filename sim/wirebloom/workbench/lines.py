"""Our things in a line of plain text, where there is no room for a card."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirebloom.take.measures import measure
from wirebloom.views.check_headline import check_headline
from wirebloom.views.check_map import map_words
from wirebloom.views.verdict import headline

if TYPE_CHECKING:
    from wirebloom.take.check import Check
    from wirebloom.take.check_map import PartialMap
    from wirebloom.take.take import Take
    from wirebloom.views.clips import Clip
    from wirebloom.workbench.comparison import Comparison
    from wirebloom.workbench.setup import Setup


def take_line(take: Take) -> str:
    """Return title, length and verdict."""
    return f"{take.sheet.title}, {take.duration_s:g} s: {headline(take, measure(take))}"


def check_line(check: Check) -> str:
    """Return title and verdict."""
    return f"{check.title}: {check_headline(check)}"


def map_line(found: PartialMap) -> str:
    """Return title and how much of the map each partial has."""
    return f"{found.title}: {map_words(found)}"


def comparison_line(comparison: Comparison) -> str:
    """Return every verdict in a line of its own."""
    return "\n".join(f"{name}: {headline(take, comparison.measures[name])}" for name, take in comparison.takes.items())


def setup_line(setup: Setup) -> str:
    """Return name, title and changes."""
    changes = f" ({'; '.join(setup.changes)})" if setup.changes else ""
    return f"{setup.name}: {setup.title}{changes}"


def clip_line(clip: Clip) -> str:
    """Return what is heard, and how long."""
    return f"{' · '.join(one for one in (clip.take, clip.title) if one)}, {clip.seconds:.1f} s, {clip.mime}"
