"""Pictures of the band: how a string comes up when its heads are weaker or stronger than computed, and by how much they may be."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from wirebloom.take.band import COMPLETE
from wirebloom.take.levels import bridge_power
from wirebloom.views.moments import last_level, mark_full_level
from wirebloom.views.motion import pole_name
from wirebloom.views.partials import SILENCE
from wirebloom.views.style import BESIDE, INK, Array, dress, legend_beside, line_style, named, new_axis, note, stroke, thinned

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.take import Take

DEPTH = 90.0  # dB below the loudest that the picture reaches
SHADE = 0.18
MOST = 8  # heads with a bar of their own


def _decibels(force: Array) -> Array:
    level: Array = 10.0 * np.log10(np.maximum(force**2, SILENCE))
    return level


def bloom(take: Take, ax: Axes | None = None, *, string: int = 0) -> Axes:
    """Draw the level of a string's bridge force over time, and shaded where it may lie between weak and strong heads.

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
    seconds = take.frames.time
    lines = {"as computed": _decibels(np.sqrt(bridge_power(take, string).sum(axis=1)))}
    for name, end in ({} if take.band is None else take.band.ends).items():
        if end.status == COMPLETE:
            lines[f"{name} heads"] = _decibels(end.level_N[:, string])
        else:
            note(ax, f"with {name} heads the computation leaves all bounds")
    levels = np.stack(list(lines.values()))
    ax.fill_between(seconds, levels.min(axis=0), levels.max(axis=0), color=stroke(0).color, alpha=SHADE, linewidth=0.0)
    for place, (name, level) in enumerate(lines.items()):
        moments, shown = thinned(seconds, level)
        ax.plot(moments, shown, label=name, **line_style(place, len(moments)))
    top = float(levels.max())
    ax.set_ylim(top - DEPTH, top + 6.0)
    ax.set_xlim(0.0, take.duration_s)
    mark_full_level(ax, take, string, last_level(take, string))
    dress(ax, x="time, s", y="bridge force, dB re 1 N", title=f"{named(take.sheet.strings[string].name)}: all partials together")
    legend_beside(ax)
    return ax


def head_bands(take: Take, ax: Axes | None = None) -> Axes:
    """Draw how far force factor and pull of each head may be from what is computed.

    Parameters and result as for :func:`bloom`.
    """
    ax = ax or new_axis(take.sheet.title, right=BESIDE)
    poles = take.sheet.poles[:MOST]
    _bars(ax, [(pole.factor_low, pole.factor_high) for pole in poles], 0)
    _bars(ax, [(pole.pull_low, pole.pull_high) for pole in poles], 1)
    ax.axvline(100.0, color=INK, linewidth=1.0)
    ax.set_ylim(len(poles) - 0.4, -0.6)
    ax.set_xlim(0.0, 105.0 * max([1.0, *(pole.factor_high for pole in poles), *(pole.pull_high for pole in poles)]))
    left_out = "" if len(poles) == len(take.sheet.poles) else f" ({len(poles)} of {len(take.sheet.poles)} heads)"
    for row, pole in enumerate(poles):
        ax.text(0.01, row, named(pole_name(pole, take.sheet.poles)), transform=ax.get_yaxis_transform(), va="center", fontsize=8, color=INK)
    dress(ax, x="of the value computed, %", y="head (name)", title=f"where force factor and pull of each head may lie{left_out}")
    ax.set_yticks([])
    legend_beside(ax)
    return ax


def _bars(ax: Axes, ends: list[tuple[float, float]], row: int) -> None:
    """One bar a head from the weak to the strong end, force factor above pull."""
    low, high = 100.0 * np.array(ends).reshape(-1, 2).T
    style: dict[str, Any] = {"color": stroke(row).color, "hatch": ("", "////")[row], "edgecolor": "white", "linewidth": 0.5}
    ax.barh(np.arange(len(ends)) + 0.2 * (2 * row - 1), high - low, 0.34, low, label=("force factor", "pull")[row], **style)
