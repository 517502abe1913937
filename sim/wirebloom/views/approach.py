"""How the motion over a head uses up its gap, on one time axis."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.views.moments import mark_full_level
from wirebloom.views.motion import MM, lowest_gap, pole_name
from wirebloom.views.phasors import string_of
from wirebloom.views.style import BESIDE, FACE, INK, WARN, Array, dress, legend_beside, line_style, named, new_axis, note, thinned

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.take import Take

LEAST = 1e-4  # mm that the picture reaches down to at least, and no line below it
ABOVE = 5.0  # times the gap, that it reaches up to


def towards(take: Take, pole: int) -> Array:
    """Return how far (f,) the string comes from its rest towards a head within the last whole period, m."""
    motion: Array = take.sheet.poles[pole].rest_gap_m - lowest_gap(take)[:, pole]
    return motion


def approach(take: Take, ax: Axes | None = None, *, pole: int = 0) -> Axes:
    """Draw how far the string swings towards a head, and the gap that this leaves, on a logarithmic scale with the face drawn in.

    Parameters
    ----------
    take : Take
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    pole : int
        Index into ``take.sheet.poles``.

    Returns
    -------
    matplotlib Axes
        The axis that was drawn into.
    """
    ax = ax or new_axis(take.sheet.title, right=BESIDE)
    sheet, time = take.sheet.poles[pole], take.frames.time
    rest = MM * sheet.rest_gap_m
    motion, left = MM * towards(take, pole), MM * lowest_gap(take)[:, pole]
    for place, (label, values) in enumerate((("motion towards it", motion), ("gap left", left))):
        seconds, shown = thinned(time, np.where(values > LEAST, values, np.nan))
        ax.plot(seconds, shown, label=label, **line_style(place, len(seconds)))
    _face(ax, rest)
    _touches(ax, take, pole)
    ax.set_xlim(0.0, take.duration_s)
    mark_full_level(ax, take, string_of(take, pole))
    title = f"{named(pole_name(sheet, take.sheet.poles))}: motion uses up the gap of {rest:.2f} mm"
    dress(ax, x="time, s", y="distance, mm", title=title)
    legend_beside(ax)
    return ax


def _face(ax: Axes, rest: float) -> None:
    """Draw the face where motion has used up the whole gap, as a body that fills all above."""
    low = max(min(float(np.nanmin(line.get_ydata(), initial=rest)) for line in ax.get_lines()), LEAST)
    ax.set_yscale("log")
    ax.set_ylim(0.5 * low, ABOVE * max(rest, LEAST))
    ax.axhspan(max(rest, LEAST), ax.get_ylim()[1], facecolor=FACE, edgecolor=INK, hatch="////", linewidth=0.0, alpha=0.55)
    ax.axhline(max(rest, LEAST), color=INK, linewidth=1.2)
    note(ax, "face: motion up to here meets it", y=0.97)


def _touches(ax: Axes, take: Take, pole: int) -> None:
    """Mark within the face every frame in which the string presses on it."""
    seconds = take.frames.time[take.frames.most_contact[:, pole] > 0.0]
    top = ax.get_ylim()[1]
    ax.vlines(seconds, top / 1.5, top, color=WARN, linewidth=1.0)
    if seconds.size:
        note(ax, f"touches (red ticks) from {seconds[0]:.2f} s on", y=0.03)
