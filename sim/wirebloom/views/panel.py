"""Axes that make a tick only when somebody asks for it.

A tick of matplotlib's is five artists, and every axis makes two as soon as it is there, to hand them its clipping and its settings.
Where :mod:`wirebloom.views.ticks` draws, nobody ever looks at them: they took half of the time that an axis takes to be made.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from matplotlib.axes import Axes
from matplotlib.axis import Axis, Tick, XAxis, YAxis
from matplotlib.text import Text

if TYPE_CHECKING:
    from matplotlib.backend_bases import RendererBase

LISTS = ("majorTicks", "minorTicks")


@contextmanager
def without_ticks(axis: Axis) -> Iterator[None]:
    """Let an axis whose ticks are still to be made have none for as long as this lasts; they are made afterwards, if at all."""
    absent = [name for name in LISTS if name not in vars(axis)]
    for name in absent:
        setattr(axis, name, [])
    try:
        yield
    finally:
        for name in absent:
            delattr(axis, name)


class Sparing(Axis):
    """An axis that keeps clipping and settings for the ticks that it may have to make."""

    def set_clip_path(self, path: Any, transform: Any = None) -> None:
        """Clip what is there: ticks that are made later are clipped then."""
        with without_ticks(self):
            super().set_clip_path(path, transform)

    def set_tick_params(self, *args: Any, **settings: Any) -> None:
        """Change what is there, and what is made later."""
        with without_ticks(self):
            super().set_tick_params(*args, **settings)

    def get_major_ticks(self, numticks: int | None = None) -> list[Tick]:
        """Make ticks, the first of which all others take after."""
        if "majorTicks" not in vars(self):
            if numticks == 0:
                return []
            for tick in self.majorTicks:
                tick.set_clip_path(self.axes.patch)
        return super().get_major_ticks(numticks)


class SparingX(Sparing, XAxis):
    """The one along."""


class SparingY(Sparing, YAxis):
    """The one up."""


class Panel(Axes):
    """What every picture is drawn into."""

    def _init_axis(self) -> None:
        self.xaxis, self.yaxis = SparingX(self, clear=False), SparingY(self, clear=False)
        for axis, sides in ((self.xaxis, ("bottom", "top")), (self.yaxis, ("left", "right"))):
            for side in sides:
                self.spines[side].register_axis(axis)

    def clear(self) -> None:
        """Begin anew; a spine finds its place when it is first asked for it, by a tick as a rule."""
        super().clear()
        for spine in self.spines.values():
            spine.get_spine_transform()


class Numbers(Text):
    """A text that is written in several places, other words in each."""

    def __init__(self, written: Sequence[tuple[float, float, str]], **look: Any) -> None:
        super().__init__(**look)
        self.written = written

    def draw(self, renderer: RendererBase) -> None:
        """Write all of them; each is (x, y, words)."""
        for x, y, words in self.written:
            self.set_position((x, y))
            self.set_text(words)
            super().draw(renderer)
