"""Ticks drawn at a third of their cost, just while a figure is written.

A tick of matplotlib's is five artists, and ticks made up more than half of the time that a page took. Here an axis has three
for all of them: the grid, the marks, and a text that writes every number. What is seen is the same; afterwards the figure is as it was.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.axis import Axis
    from matplotlib.figure import Figure

MARK, PAD, WIDE = 3.5, 3.5, 0.8  # points: length, distance of the number, width
BELOW, ABOVE = 0.5, 2.01  # where grid and marks lie among all that is drawn
BEYOND = 1e-9  # of the axis, by which a tick may lie outside
PLAIN = {"x": ("bottom", "top", "labeltop"), "y": ("left", "right", "labelright")}


@contextmanager
def light_ticks(figure: Figure) -> Iterator[None]:
    """Draw plain axes' ticks with few artists for as long as this lasts; axes with ticks elsewhere than below and left keep theirs."""
    back = [
        _swapped(ax, axis, name)
        for ax in _all(figure)
        if _plain(ax)
        for name, axis in (("x", ax.xaxis), ("y", ax.yaxis))
        if _usual(axis, name)
    ]
    try:
        yield
    finally:
        for undo in back:
            undo()


def _all(figure: Figure) -> list[Axes]:
    """Return the axes of a figure and those set into them; a scale of shades looks after its own ticks."""
    inside = [inset for ax in figure.axes for inset in ax.child_axes if type(inset) is type(ax)]
    return [*figure.axes, *inside]


def _plain(ax: Axes) -> bool:
    return ax.name == "rectilinear" and ax.axison and ax.get_visible() and ax.xaxis.get_visible() and ax.yaxis.get_visible()


def _usual(axis: Axis, name: str) -> bool:
    """Whether the marks are on the one side and upright, and the numbers need no common factor beside them."""
    here, *elsewhere = PLAIN[name]
    told = axis.get_tick_params()
    axis.get_major_formatter().format_ticks(list(axis.get_majorticklocs()))
    factor = axis.get_major_formatter().get_offset() or len(axis.get_minorticklocs())
    turned = told.get("rotation") or axis.get_label_position() != here
    return bool(told.get(here, True)) and not any(told.get(side, False) for side in elsewhere) and not turned and not factor


def _swapped(ax: Axes, axis: Axis, name: str) -> Callable[[], None]:
    """Put light ticks in the place of an axis's own; return what takes them back."""
    from matplotlib.ticker import NullLocator  # noqa: PLC0415 - only where pictures are wanted

    from wirebloom.views.panel import without_ticks  # noqa: PLC0415

    if (place := ax.get_axes_locator()) is None:
        ax.apply_aspect()
    else:
        ax.apply_aspect(place(ax, None))  # type: ignore[arg-type]
    told: dict[str, Any] = axis.get_tick_params()
    low, high = sorted(axis.get_view_interval())
    room = BEYOND * (high - low)
    places = np.asarray(axis.get_majorticklocs(), dtype=float)
    numbers = axis.get_major_formatter().format_ticks(list(places))
    inside = [k for k, place in enumerate(places) if low - room <= place <= high + room]
    artists = [*_lines(ax, name, places[inside], told), *_numbers(ax, name, [(places[k], numbers[k]) for k in inside], told)]
    locator, formatter = axis.get_major_locator(), axis.get_major_formatter()
    for artist in artists:
        ax.add_artist(artist)
    axis.set_major_locator(NullLocator())
    spared = ExitStack()
    spared.enter_context(without_ticks(axis))

    def undo() -> None:
        spared.close()
        for artist in artists:
            artist.remove()
        axis.set_major_locator(locator)
        axis.set_major_formatter(formatter)

    return undo


def _lines(ax: Axes, name: str, places: Any, told: dict[str, Any]) -> Iterator[Any]:
    """Yield the grid, where there is one, and the marks."""
    from matplotlib.collections import LineCollection  # noqa: PLC0415
    from matplotlib.lines import Line2D  # noqa: PLC0415

    across = ax.get_xaxis_transform if name == "x" else ax.get_yaxis_transform
    if told.get("gridOn", False):
        segments = [((place, 0.0), (place, 1.0)) if name == "x" else ((0.0, place), (1.0, place)) for place in places]
        look = {"color": told.get("grid_color", "#b0b0b0"), "linewidth": told.get("grid_linewidth", WIDE)}
        yield LineCollection(segments, transform=across("grid"), zorder=BELOW, clip_on=True, **look)
    still = np.zeros(len(places))
    data = (places, still) if name == "x" else (still, places)
    marks: dict[str, Any] = {"marker": 3 if name == "x" else 0, "markersize": MARK, "markeredgewidth": WIDE}  # downwards, to the left
    yield Line2D(*data, linestyle="None", color="black", transform=across("tick1"), clip_on=False, zorder=ABOVE, **marks)


def _numbers(ax: Axes, name: str, marked: list[tuple[float, str]], told: dict[str, Any]) -> Iterator[Any]:
    """Yield one text that writes every number, if they are shown on this axis."""
    from wirebloom.views.panel import Numbers  # noqa: PLC0415

    if not told.get("labelbottom" if name == "x" else "labelleft", True):
        return
    place, upright, aside = (ax.get_xaxis_text1_transform if name == "x" else ax.get_yaxis_text1_transform)(MARK + PAD)
    written = [(at, 0.0, number) if name == "x" else (0.0, at, number) for at, number in marked]
    look: dict[str, Any] = {"verticalalignment": upright, "horizontalalignment": aside, "fontsize": told.get("labelsize")}
    yield Numbers(written, transform=place, clip_on=False, zorder=ABOVE, **look)
