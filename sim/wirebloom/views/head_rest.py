"""Where a string rests over a head: pull against the string's own force, the gaps at which it is safe, and what happens sideways."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.take.head_study import HeadString, RestSheet
from wirebloom.views.head_curves import MILLI, MM
from wirebloom.views.style import BESIDE, FAINT, INK, STROKES, WARN, Array, dress, legend_beside, line_style, new_axis, note, threshold

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LEAST = 0.01  # mN: what a force axis shows at least
REGIONS = {"latched": ("#e8b4ae", "cannot hang clear"), "bistable": ("#f3e0b5", "can stay on the face"), "free": ("#dcebe2", "hangs clear")}
ORDER = ("latched", "bistable", "free")


def pull_against_string(string: HeadString, ax: Axes | None = None) -> Axes:
    """Draw the magnets' pull over the gap and the force with which the string holds against it, from where other heads leave it.

    They meet at rest.

    Parameters
    ----------
    string : HeadString
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    """
    ax = ax or new_axis(string.name, right=BESIDE)
    gap, pull = MM * string.curve.gap_m, MILLI * string.curve.pull_N
    set_to, stiffness = MM * string.rest.others_gap_m, string.rest.stiffness_N_per_m[0]
    if string.curve.pull_band_N is not None:
        low, high = (MILLI * end for end in string.curve.pull_band_N)
        ax.fill_between(gap, low, high, color=STROKES[0].color, alpha=0.18, linewidth=0.0, label="what may be")
    ax.plot(gap, pull, label="magnets", **line_style(0, gap.size))
    line = np.array([0.0, set_to])
    ax.plot(line, stiffness * (set_to - line), label=_own_name(string), color=STROKES[1].color, linestyle="--", linewidth=1.4)
    ax.plot([MM * string.rest.rest_gap_m], [MILLI * string.rest.pull_N], "o", color=WARN, markersize=5, label="rest", zorder=5)
    dress(ax, x="gap, mm", y="force, mN", title="pull of the magnets against the string's own force")
    ax.set_xlim(0.0, max(2.0 * MM * string.gap_m, 1.5))
    ax.set_ylim(0.0, 1.25 * max(_most(string), LEAST))
    legend_beside(ax)
    return ax


def _own_name(string: HeadString) -> str:
    """Return what the string's line is called: other heads pull it nearer, so that it begins elsewhere than at the gap as set."""
    moved = abs(string.rest.others_gap_m - string.gap_m)
    return "string, others pulling" if moved > 0.02 * string.gap_m else "string"


def _most(string: HeadString) -> float:
    """Return the greatest pull to show, mN: the strongest at the nearest gap."""
    band = string.curve.pull_band_N
    return MILLI * float(np.max(string.curve.pull_N if band is None else band[1]))


def rest_over_gap(string: HeadString, ax: Axes | None = None) -> Axes:
    """Draw the gap that a feeler gauge finds over the gap as set, over the regions; parameters as for :func:`pull_against_string`."""
    ax = ax or new_axis(string.name, right=BESIDE)
    rest = string.rest
    least, most = MM * float(rest.gap_m[0]), MM * float(rest.gap_m[-1])
    for kind, left, right in regions(rest):
        color, name = REGIONS[kind]
        ax.axvspan(left if left > least else 0.0, right, facecolor=color, linewidth=0.0, label=name)
    shown = _furthest(string)
    ax.plot([0.0, most], [0.0, most], color=FAINT, linestyle=":", linewidth=1.0, label="without magnets")
    clear = np.array([kind != "latched" for kind in rest.kinds])
    ax.plot(MM * rest.gap_m, np.where(clear, MM * rest.rest_gaps_m, np.nan), label="with magnets", **line_style(0, rest.gap_m.size))
    ax.plot([MM * string.gap_m], [MM * rest.rest_gap_m], "o", color=WARN, markersize=5, label="as set", zorder=5, clip_on=False)
    _mark_safe(ax, rest)
    dress(ax, x="gap as set, string straight, mm", y="gap at rest, mm", title="gap with the magnets in (what a feeler gauge finds)")
    ax.set_xlim(0.0, shown)
    ax.set_ylim(0.0, shown)
    legend_beside(ax)
    return ax


def _mark_safe(ax: Axes, rest: RestSheet) -> None:
    if rest.safe_m is not None and rest.safe_m > rest.gap_m[0]:
        ax.axvline(MM * rest.safe_m, color=INK, linestyle="--", linewidth=1.1, label=f"safe from {MM * rest.safe_m:.2f} mm on")


def stiffness_taken(string: HeadString, ax: Axes | None = None) -> Axes:
    """Draw the share of the string's stiffness that the magnets take away over the gap; parameters as for :func:`pull_against_string`."""
    ax = ax or new_axis(string.name, right=BESIDE)
    rest = string.rest
    clear = np.array([kind != "latched" for kind in rest.kinds])
    share = np.where(clear, 100.0 * rest.softnesses, np.nan)
    ax.plot(MM * rest.gap_m, share, label="all heads", **line_style(0, rest.gap_m.size))
    if rest.kind != "latched":
        ax.plot([MM * string.gap_m], [100.0 * rest.softness], "o", color=WARN, markersize=5, label="as set", zorder=5)
    threshold(ax, 100.0, "here the string gives way", below=True)
    dress(ax, x="gap as set, string straight, mm", y="share, %", title="how much of the string's stiffness the magnets take")
    ax.set_xlim(0.0, _furthest(string))
    ax.set_ylim(0.0, 110.0)
    legend_beside(ax)
    return ax


def _furthest(string: HeadString) -> float:
    """Return the greatest gap to show, mm: all borders within it."""
    rest = string.rest
    borders = 1.4 * MM * max(rest.safe_m or 0.0, rest.sticks_to_m or 0.0)
    return min(MM * float(rest.gap_m[-1]), max(2.0, 2.0 * MM * string.gap_m, borders))


def regions(rest: RestSheet) -> list[tuple[str, float, float]]:
    """Return kind, least and greatest gap (mm) of each region, those with nothing in them left out.

    Examples
    --------
    The borders of a rest are in metres, None standing for beyond the map:

    >>> from types import SimpleNamespace
    >>> rest = SimpleNamespace(gap_m=[1e-4, 6e-3], latches_to_m=0.0, sticks_to_m=1e-3)
    >>> regions(rest)
    [('bistable', 0.1, 1.0), ('free', 1.0, 6.0)]
    """
    least, most = MM * float(rest.gap_m[0]), MM * float(rest.gap_m[-1])
    ends = [least if end == 0.0 else most if end is None else MM * end for end in (rest.latches_to_m, rest.sticks_to_m)]
    borders = [least, ends[0], max(ends), most]
    found = zip(ORDER, borders[:-1], borders[1:], strict=True)
    return [(kind, left, right) for kind, left, right in found if right > left]


def stiffness_sideways(string: HeadString, ax: Axes | None = None) -> Axes:
    """Draw what the magnets add to the string's stiffness sideways over its offset; parameters as for :func:`pull_against_string`."""
    ax = ax or new_axis(string.name, right=BESIDE)
    rest = string.rest
    offset, own = MM * rest.side_offset_m, rest.stiffness_N_per_m[1]
    for place, (gap, added) in enumerate(zip(rest.side_gap_m, rest.side_N_per_m, strict=True)):
        ax.plot(offset, added, label=f"gap {MM * gap:.2f} mm", **line_style(place, offset.size))
    ax.axhline(0.0, color=FAINT, linewidth=0.8)
    if float(rest.side_N_per_m.min()) < -0.2 * own:
        threshold(ax, -own, "the string's own: below it snaps aside")
    else:
        note(ax, f"the string's own is {own:.0f} N/m", y=0.04)
    ax.axvline(MM * abs(string.offset_m), color=WARN, linestyle=":", linewidth=1.1, label="as set")
    dress(ax, x="beside the axis of the head, mm", y="stiffness, N/m", title="what the magnets add sideways: below 0 they draw it off")
    _room(ax, rest.side_N_per_m)
    legend_beside(ax)
    return ax


def _room(ax: Axes, values: Array) -> None:
    low, high = ax.get_ylim()
    span = max(high - low, 1e-3 * float(np.abs(values).max(initial=1e-3)))
    ax.set_ylim(low - 0.12 * span, high + 0.05 * span)
