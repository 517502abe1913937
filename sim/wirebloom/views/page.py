"""A page of pictures: what it is called, how it is drawn, and in a sentence what it shows."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from matplotlib.figure import Figure


class Page(NamedTuple):
    """One page.

    Attributes
    ----------
    name : str
        One word, unlike that of any other page: file name and anchor.
    title : str
        For a heading. Where not everything fits on a page, the figure's own title says so.
    draw : callable
        () → Figure.
    finding : str
        One or two sentences on what can be seen: text for who does not see it.
    """

    name: str
    title: str
    draw: Callable[[], Figure]
    finding: str
