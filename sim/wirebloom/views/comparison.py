"""Several takes side by side: their build-up overlaid, and a table of what decides between them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.views.motion import MM, draw_face
from wirebloom.views.partials import bridge_levels
from wirebloom.views.style import Array, dress, legend_beside, line_style, new_axis, panels, save

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.take import Take

FLOOR = 90.0  # dB below the loudest that the overlay reaches
BUILDUP = "buildup.png"


def whole_level(take: Take) -> Array:
    """Return the level (f,) of all partials of all strings together at the bridge, dB re 1 N."""
    power = sum(10.0 ** (bridge_levels(take, string) / 10.0).sum(axis=1) for string in range(len(take.sheet.strings)))
    level: Array = 10.0 * np.log10(power)
    return level


def overlay_levels(takes: Mapping[str, Take], ax: Axes | None = None) -> Axes:
    """Draw the bridge-force level of every take over time in one axis.

    Parameters
    ----------
    takes : mapping of str to Take
        What each take is called, and the take.
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.

    Returns
    -------
    matplotlib Axes
        The axis that was drawn into.
    """
    ax = ax or new_axis()
    top = -np.inf
    for place, (name, take) in enumerate(takes.items()):
        level = whole_level(take)
        top = max(top, float(level.max()))
        ax.plot(take.frames.time, level, label=name, **line_style(place, len(level)))
    ax.set_ylim(top - FLOOR, top + 6.0)
    _span_all(ax, takes)
    dress(ax, x="time, s", y="bridge force, dB re 1 N", title="build-up")
    legend_beside(ax)
    return ax


def overlay_clearance(takes: Mapping[str, Take], ax: Axes | None = None) -> Axes:
    """Draw the least gap over all heads of every take over time in one axis, with the face drawn in.

    Parameters and result as for :func:`overlay_levels`.
    """
    ax = ax or new_axis()
    high, low = 0.1, 0.0
    for place, (name, take) in enumerate(takes.items()):
        gap = take.frames.least_gap.min(axis=1, initial=np.inf) * MM
        if not np.isfinite(gap).all():
            continue
        high, low = max(high, float(gap.max())), min(low, float(gap.min()))
        ax.plot(take.frames.time, gap, label=name, **line_style(place, len(gap)))
    draw_face(ax, low, high)
    _span_all(ax, takes)
    dress(ax, x="time, s", y="least gap, mm", title="nearest approach to any face")
    return ax


def _span_all(ax: Axes, takes: Mapping[str, Take]) -> None:
    ax.set_xlim(0.0, max(take.duration_s for take in takes.values()))


def write_buildup(takes: Mapping[str, Take], folder: Path) -> Path:
    """Draw both overlays into one PNG and return where it is."""
    figure, axes = panels(2, 1, height=2.3, title=" · ".join(["build-up", *takes]), right=0.76)
    overlay_levels(takes, axes[0, 0])
    overlay_clearance(takes, axes[1, 0])
    axes[0, 0].set_xlabel("")
    return save(figure, folder / BUILDUP)
