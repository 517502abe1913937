"""Pictures of the partials: which of them grow, which fade, and which one wins."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.take.levels import bridge_power
from wirebloom.views.style import SHADES, Array, dress, legend_beside, line_style, new_axis

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.take import Take

SHOWN = 20  # partials in a picture
LINES = 6  # of them with a line of their own; the rest stay grey
SILENCE = 1e-30  # N²: stands for nothing at all
DEPTH = 80.0  # dB below the loudest that a picture reaches


def bridge_levels(take: Take, string: int) -> Array:
    """Return the level (f, n) of the first partials' bridge force, both polarisations together, dB re 1 N."""
    level: Array = 10.0 * np.log10(np.maximum(bridge_power(take, string)[:, :SHOWN], SILENCE))
    return level


def _top(take: Take) -> float:
    """Return the highest level in the take: all strings are drawn below the same one, so that a silent string looks silent."""
    return max(float(bridge_levels(take, string).max()) for string in range(len(take.sheet.strings)))


def _loudest(level: Array) -> list[int]:
    """Return the indices of the partials with a line of their own, loudest at the end first."""
    last = max(len(level) // 8, 1)
    return [int(n) for n in np.argsort(-level[-last:].mean(axis=0))[:LINES]]


def partial_lines(take: Take, ax: Axes | None = None, *, string: int = 0) -> Axes:
    """Draw the level of the bridge force of each partial over time, the loudest ones named at their ends.

    Parameters
    ----------
    take : Take
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    string : int
        Index into ``take.sheet.strings``.

    Returns
    -------
    matplotlib Axes
        The axis that was drawn into.
    """
    ax = ax or new_axis(take.sheet.title)
    level, seconds = bridge_levels(take, string), take.frames.time
    named = _loudest(level)
    others = sorted(set(range(level.shape[1])) - set(named))
    for place, n in enumerate(named):
        ax.plot(seconds, level[:, n], label=f"partial {n + 1}", **line_style(place, len(seconds)))
    if others:
        names = [f"the others up to {level.shape[1]}", *["_"] * (len(others) - 1)]
        ax.plot(seconds, level[:, others], color="#b9bec7", linewidth=0.6, zorder=1, label=names)
    top = _top(take)
    ax.set_ylim(top - DEPTH, top + 6.0)
    ax.set_xlim(0.0, take.duration_s)
    dress(ax, x="time, s", y="bridge force, dB re 1 N", title=f"{take.sheet.strings[string].name}: level of each partial")
    legend_beside(ax, "loudest at the end")
    return ax


def partial_map(take: Take, ax: Axes | None = None, *, string: int = 0) -> Axes:
    """Draw all partials at once: one row each, the lighter the louder.

    Parameters and result as for :func:`partial_lines`.
    """
    ax = ax or new_axis(take.sheet.title)
    level, top = bridge_levels(take, string), _top(take)
    image = ax.imshow(
        level.T, origin="lower", aspect="auto", cmap=SHADES, vmin=top - DEPTH, vmax=top, interpolation="nearest",
        extent=(0.0, take.duration_s, 0.5, level.shape[1] + 0.5),
    )  # fmt: skip
    dress(ax, x="time, s", y="partial (number)", title="all of them at once: the lighter the louder")
    ax.grid(visible=False)
    ax.set_yticks(range(1, level.shape[1] + 1, 1 if level.shape[1] < 8 else 3))
    bar = ax.figure.colorbar(image, cax=ax.inset_axes((1.02, 0.0, 0.025, 1.0)))
    bar.set_label("dB re 1 N", fontsize=8)
    bar.ax.tick_params(labelsize=7.5)
    return ax
