"""Pictures of the small motions: growth of every partial against the threshold, and the loop's gain in the complex plane."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.views.amounts import figures
from wirebloom.views.style import BESIDE, FAINT, INK, STROKES, WARN, Array, dress, legend_beside, new_axis, note, plain, stroke

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.check import Check
    from wirebloom.take.check_small import PartialCheck

SHOWN = 16  # partials
FADES = "#b9c0ca"
LEAST = 1e-2  # loop gain that is shown
FAR = 20.0  # times the middle rate: from there on a straight scale would hide most of them
NAMED = 8  # points with their number, those with most gain first


def growth_bars(check: Check, ax: Axes | None = None, *, string: int = 0) -> Axes:
    """Draw the growth rate of the first partials as bars about the threshold, with that of the open loop and of the other polarity.

    Parameters
    ----------
    check : Check
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    string : int
        Index into ``check.strings``.

    Returns
    -------
    matplotlib Axes
        The axis that was drawn into.
    """
    ax = ax or new_axis(check.title, right=BESIDE)
    towards, aside = (check.partials_of(check.strings[string], p)[:SHOWN] for p in (0, 1))
    numbers = np.array([own.partial for own in towards])
    growth, sideways = _rates(towards), _rates(aside)
    for chosen, color, hatch, name in ((growth > 0.0, STROKES[1].color, "", "grows"), (growth <= 0.0, FADES, "////", "fades")):
        if chosen.any():
            ax.bar(numbers[chosen], growth[chosen], 0.62, color=color, hatch=hatch, edgecolor="white", linewidth=0.5, label=name)
    for own in towards:
        if own.grows:
            ax.annotate(
                f"+{figures(own.growth_rate_per_s)}", (own.partial, own.growth_rate_per_s), xytext=(0, 2), textcoords="offset points",
                ha="center", fontsize=7.5, color=INK,
            )  # fmt: skip
    if aside:
        ax.plot([own.partial + 0.16 for own in aside], sideways, "D", color=INK, markersize=3, label="sideways")
    opened = np.array([own.open_growth_per_s for own in towards])
    other = np.array([own.reversed_growth_per_s for own in towards])
    ax.plot(numbers, opened, "_", color=INK, markersize=13, markeredgewidth=1.2, label="loop open")
    ax.plot(numbers - 0.16, other, "v", color=STROKES[2].color, markersize=4, label="polarity reversed")
    _scale(ax, np.concatenate([growth, sideways, opened, other]))
    dress(ax, x="partial (number)", y="growth rate, 1/s", title=f"{plain(check.strings[string])}: growth from the faintest motion")
    ax.set_xticks(numbers)
    ax.axhline(0.0, color=WARN, linestyle=(0, (4, 2)), linewidth=1.1, label="threshold")
    legend_beside(ax)
    return ax


def _rates(partials: Sequence[PartialCheck]) -> Array:
    return np.array([own.growth_rate_per_s for own in partials])


def _scale(ax: Axes, values: Array) -> None:
    """Make a straight scale, or one that is logarithmic on both sides of 0 where rates differ too much for that."""
    most = float(np.abs(values).max(initial=1e-3))
    middle = float(np.median(np.abs(values))) if values.size else 1.0
    ax.margins(y=0.08)
    if most < FAR * middle:
        low, high = float(values.min(initial=0.0)), float(values.max(initial=0.0))
        ax.set_ylim(low - 0.08 * (high - low + 1e-3), high + 0.1 * (high - low + 1e-3))
        return
    ax.set_yscale("symlog", linthresh=10.0 ** np.ceil(np.log10(max(middle, 1e-3))), linscale=1.0)
    ax.yaxis.set_major_formatter(lambda value, _: f"{value:g}")


def gain_plane(check: Check, ax: Axes | None = None, *, string: int = 0) -> Axes:
    """Draw the loop's gain at every partial in the complex plane: to the right of 1 it grows; parameters as for :func:`growth_bars`.

    Distances from 0 are logarithmic, directions are true.
    """
    ax = ax or new_axis(check.title, right=BESIDE)
    partials = [own for own in check.partials_of(check.strings[string]) if own.loop_gain >= LEAST]
    most = max([10.0, *(own.loop_gain for own in partials)])
    top = float(_radius(10.0 ** np.ceil(np.log10(most))))
    _rings(ax, most)
    for grows, place, name in ((True, 1, "grows"), (False, 0, "fades")):
        points = [own for own in partials if own.grows == grows]
        if not points:
            continue
        at = np.array([_place(own) for own in points])
        marker, face = ("s", stroke(place).color) if grows else ("o", "white")
        ax.plot(at[:, 0], at[:, 1], marker, color=stroke(place).color, markerfacecolor=face, markersize=6, label=name, linestyle="none")
    for side in ("left", "bottom"):
        ax.spines[side].set_visible(False)
    for own in sorted(partials, key=lambda own: -own.loop_gain)[:NAMED]:
        ax.annotate(f"{own.partial}", _place(own), xytext=(5, 4), textcoords="offset points", fontsize=8, color=INK)
    if not partials:
        note(ax, "the loop meets no partial", x=0.01)
    ax.set_aspect("equal")
    dress(ax, x="real part, log of the distance from 0", y="imaginary part, log", title="loop gain at the partials")
    ax.grid(visible=False)
    ax.set_xlim(-1.08 * top, 1.08 * top)
    ax.set_ylim(-1.08 * top, 1.08 * top)
    ax.set_xticks([])
    ax.set_yticks([])
    legend_beside(ax)
    return ax


def _radius(gain: Array | float) -> Array:
    return np.log10(np.maximum(gain, LEAST) / LEAST)


def _place(own: PartialCheck) -> tuple[float, float]:
    radius, angle = float(_radius(own.loop_gain)), np.radians(own.loop_phase_deg)
    return radius * float(np.cos(angle)), radius * float(np.sin(angle))


def _rings(ax: Axes, most: float) -> None:
    """Draw rings of equal gain, with their values, and the line beyond which a partial grows."""
    turn = np.linspace(0.0, 2.0 * np.pi, 200)
    for gain in 10.0 ** np.arange(-1.0, np.ceil(np.log10(most)) + 1.0):
        radius = float(_radius(gain))
        ax.plot(radius * np.cos(turn), radius * np.sin(turn), color="#d5d9e0", linewidth=0.8, zorder=0)
        ax.annotate(f"{gain:g}", (-radius * 0.7071, radius * 0.7071), fontsize=7, color=FAINT, ha="center", va="center")
    angle = np.arccos(np.minimum(1.0, 1.0 / np.geomspace(1.0, 10.0 ** np.ceil(np.log10(most)), 120)))
    radius_of_line = _radius(1.0 / np.cos(angle))
    for side in (1.0, -1.0):
        name = "real part 1: grows to the right of it" if side > 0.0 else "_"
        x, y = radius_of_line * np.cos(angle), side * radius_of_line * np.sin(angle)
        ax.plot(x, y, color=WARN, linestyle=(0, (4, 2)), linewidth=1.1, label=name)
    ax.plot([0.0], [0.0], "+", color=FAINT, markersize=6)
