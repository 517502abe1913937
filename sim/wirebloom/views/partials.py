"""Pictures of the partials: which of them grow, which fade, and which one wins."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from wirebloom.take.levels import bridge_power
from wirebloom.views.moments import mark_full_level
from wirebloom.views.style import (
    BESIDE,
    FAINT,
    INK,
    SHADES,
    Array,
    dress,
    legend_beside,
    line_style,
    named,
    new_axis,
    stroke,
    thinned,
    ticks_at,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.take import Take

SHOWN = 20  # partials in a picture
LINES = 6  # of them with a line of their own; the rest stay grey
SILENCE = 1e-30  # N²: stands for nothing at all
DEPTH = 80.0  # dB below the loudest that a picture reaches
COARSE = 150  # columns of lines that are many and thin
ROW = 0.9  # of a row that the loudest partial fills


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
    ax = ax or new_axis(take.sheet.title, right=BESIDE)
    level, seconds = bridge_levels(take, string), take.frames.time
    leading = _loudest(level)
    others = sorted(set(range(level.shape[1])) - set(leading))
    for place, n in enumerate(leading):
        moments, shown = thinned(seconds, level[:, n])
        ax.plot(moments, shown, label=f"partial {n + 1}", **line_style(place, len(moments)))
    for n in others:
        label = f"the others up to {level.shape[1]}" if n == others[0] else "_"
        ax.plot(*thinned(seconds, level[:, n], COARSE), color="#b9bec7", linewidth=0.6, zorder=1, label=label)
    top = _top(take)
    ax.set_ylim(top - DEPTH, top + 6.0)
    ax.set_xlim(0.0, take.duration_s)
    mark_full_level(ax, take, string)
    dress(ax, x="time, s", y="bridge force, dB re 1 N", title=f"{named(take.sheet.strings[string].name)}: level of each partial")
    legend_beside(ax, "loudest at the end")
    return ax


def partial_map(take: Take, ax: Axes | None = None, *, string: int = 0) -> Axes:
    """Draw all partials at once: one row each, the lighter the louder.

    Parameters and result as for :func:`partial_lines`.
    """
    ax = ax or new_axis(take.sheet.title, right=0.88)
    level, top = bridge_levels(take, string), _top(take)
    image = ax.imshow(
        level.T, origin="lower", aspect="auto", cmap=SHADES, vmin=top - DEPTH, vmax=top, interpolation="nearest",
        extent=(0.0, take.duration_s, 0.5, level.shape[1] + 0.5),
    )  # fmt: skip
    dress(ax, x="time, s", y="partial (number)", title="all of them at once: the lighter the louder")
    ax.grid(visible=False)
    ticks_at(ax.yaxis, range(1, level.shape[1] + 1, 1 if level.shape[1] < 8 else 3))
    bar = ax.figure.colorbar(image, cax=ax.inset_axes((1.02, 0.0, 0.025, 1.0)))
    bar.set_label("dB re 1 N", fontsize=8)
    bar.ax.tick_params(labelsize=7.5)
    return ax


def partial_rows(take: Take, ax: Axes | None = None, *, string: int = 0) -> Axes:
    """Draw the level of up to twenty partials in a row each, and write at its end where it arrives.

    A row reaches from 80 dB below the loudest partial of the take to the loudest.

    Parameters and result as for :func:`partial_lines`; line n is partial n + 1, at the height of :func:`row_height`.
    """
    ax = ax or new_axis(take.sheet.title, right=0.88)
    level, top = bridge_levels(take, string), _top(take)
    leading = set(_loudest(level))
    colors = [stroke(0).color if n in leading else FAINT for n in range(level.shape[1])]
    rows = [thinned(take.frames.time, row_height(n, level[:, n], top), COARSE) for n in range(level.shape[1])]
    _fill(ax, rows, colors)
    for n, (seconds, shown) in enumerate(rows):
        ax.plot(seconds, shown, color=colors[n], linewidth=0.9)
        weight = "bold" if n in leading else "normal"
        place: dict[str, Any] = {"transform": ax.get_yaxis_transform(), "va": "center"}
        ax.text(1.008, n + 1.0, f"{n + 1}: {_said(level[-1, n], top)}", fontsize=6.5, color=INK, fontweight=weight, **place)
    dress(ax, x="time, s", y="partial (number)", title=f"each in a row of {DEPTH:.0f} dB; at the right: bridge force at the end, dB re 1 N")
    ax.set_xlim(0.0, take.duration_s)
    ax.set_ylim(0.4, level.shape[1] + 0.6)
    ticks_at(ax.yaxis, [1, *range(5, level.shape[1] + 1, 5)])
    return ax


def _fill(ax: Axes, rows: Sequence[tuple[Array, Array]], colors: Sequence[str]) -> None:
    """Fill every row from its foot to its line, all in one."""
    from matplotlib.collections import PolyCollection  # noqa: PLC0415

    outlines = [
        np.column_stack([np.concatenate([seconds[:1], seconds, seconds[-1:]]), np.concatenate([[n + 0.5], shown, [n + 0.5]])])
        for n, (seconds, shown) in enumerate(rows)
    ]
    ax.add_collection(PolyCollection(outlines, facecolors=colors, edgecolors="none", alpha=0.35), autolim=False)


def row_height(n: int, level: Array, top: float) -> Array:
    """Return where in the row of partial n + 1 a level (dB) stands: n + 0.5 for 80 dB below the top and less, n + 1.4 for the top."""
    height: Array = n + 0.5 + ROW * np.clip((level - top) / DEPTH + 1.0, 0.0, 1.0)
    return height


def _said(level: float, top: float) -> str:
    return f"{level:.0f}".replace("-", "−") if level > top - DEPTH else f"< {top - DEPTH:.0f}".replace("-", "−")
