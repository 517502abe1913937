"""The rig from the side, to scale along the string; what is small up and down is drawn larger by a factor that stands in the drawing.

Along the string, and in every head's body, one millimetre is one millimetre. Gaps, the string's thickness and its motion are the
same factor larger: between 10 and 1000 of them make a tenth of the string's length.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.rig import RoundHead
from wirebloom.take.round_parts import part_sheets
from wirebloom.take.window import poles_of
from wirebloom.views.amounts import amount
from wirebloom.views.bench import bench_of
from wirebloom.views.head_drawing import STRING
from wirebloom.views.side_motion import Motion, exaggeration, motion_along, tallest
from wirebloom.views.style import ABOVE, BELOW, FACE, FAINT, INK, LEFT, WIDTH, dress, panels, plain, stroke

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.sheet import PoleSheet, StringSheet
    from wirebloom.take.take import Take

MM = 1e3
BODY = 0.012  # m: a usual depth, for a head whose parts are not known
FILLS = {"sense": ("#1f7a8c", ""), "drive": ("#c2510a", "////")}  # colour and hatch; idle heads are grey
TEXT = 0.026  # of the length: height of a line of text
LETTER, SHORTEST = 0.009, 10  # of the length: width of a letter; letters that a place takes
APART = 0.03  # of the length: between two numbers of the scale
FLAT = 0.36  # height of the drawing over its width


def side_view(take: Take, ax: Axes | None = None, string: int = 0) -> Axes:
    """Draw a string from the side with its heads at their places and the envelope of its motion.

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
        x is the distance from the bridge, mm; heights carry the factor that the title states.
    """
    sheet, motion = take.sheet.strings[string], motion_along(take, string)
    poles = [take.sheet.poles[j] for j in poles_of(take, string)]
    factor = exaggeration(sheet.length_m, tallest(sheet, poles, motion))
    own, ax = ax is None, ax or _new(take, sheet)
    _draw_string(ax, sheet, motion, factor)
    depth = max([_draw_head(ax, take, pole, factor) for pole in poles], default=0.0)
    _number_gaps(ax, poles, factor, MM * sheet.length_m)
    lowest = _name_heads(ax, poles, depth, MM * sheet.length_m)
    highest = MM * factor * (sheet.diameter_m + float(np.max(-motion.least, initial=0.0)))
    said = "band: last period" if motion.seen else "no motion recorded"
    title = f"{plain(sheet.name)}: to scale, but gaps, thickness and motion drawn {factor:g} × larger; {said}"
    _limit(ax, MM * sheet.length_m, (lowest, highest))
    if own:
        _fit(ax)
    dress(ax, x="distance from the bridge, mm", y="below string, mm", title=title)
    ax.grid(visible=False)
    _scale(ax, max([pole.gap_m for pole in poles], default=0.0), factor, MM * sheet.length_m)
    return ax


def _new(take: Take, sheet: StringSheet) -> Axes:
    """Return the axis of a new figure that is as flat as the drawing."""
    _, axes = panels(1, 1, height=FLAT * (0.975 - LEFT) * WIDTH, title=f"{take.sheet.title} · {sheet.name} and its heads from the side")
    axis: Axes = axes[0, 0]
    return axis


def _fit(ax: Axes) -> None:
    """Make a figure with one axis as high as what is drawn in it."""
    figure, (left, right), (low, high) = ax.get_figure(root=True), ax.get_xlim(), ax.get_ylim()
    inner = (0.975 - LEFT) * WIDTH * (high - low) / (right - left)
    whole = inner + ABOVE + BELOW
    if figure is not None:
        figure.set_size_inches(WIDTH, whole)
        figure.subplots_adjust(top=1.0 - ABOVE / whole, bottom=BELOW / whole)
        figure.texts[0].set_y(1.0 - 0.1 / whole)


def _draw_string(ax: Axes, sheet: StringSheet, motion: Motion, factor: float) -> None:
    """Draw the string straight, what it sweeps, and its two ends."""
    x, scale, thick = MM * motion.x, MM * factor, MM * factor * sheet.diameter_m
    low, high = -scale * motion.most, thick - scale * motion.least
    ax.fill_between(x, low, high, color=stroke(0).color, alpha=0.25, linewidth=0.0, label="motion")
    for edge in (low, high):
        ax.plot(x, edge, color=stroke(0).color, linewidth=0.7)
    ax.fill_between([0.0, MM * sheet.length_m], 0.0, thick, facecolor=STRING, edgecolor=INK, linewidth=0.6, zorder=3, label="string")
    for place, name, side in ((0.0, "bridge", -1), (MM * sheet.length_m, "far end", 1)):
        ax.plot([place], [0.0], marker="^", markersize=9, color=INK, clip_on=False, zorder=4)
        at = "right" if side > 0 else "left"
        ax.annotate(name, (place, 0.0), xytext=(-6 * side, -14), textcoords="offset points", ha=at, fontsize=8, color=INK)


def _draw_head(ax: Axes, take: Take, pole: PoleSheet, factor: float) -> float:
    """Draw a head's body, dotted where nobody knows how deep it is, and its gap; return how far it reaches down, mm."""
    from matplotlib.patches import Rectangle  # noqa: PLC0415

    face, middle, known = -MM * factor * pole.gap_m, MM * pole.position_m, body_depth(take, pole)
    depth = BODY if known is None else known
    fill, hatch = FILLS.get(pole.role, (FACE, "xxxx"))
    for radius, top in ((pole.flange_radius_m, pole.flange_recess_m), (pole.face_radius_m, 0.0)):
        ax.add_patch(
            Rectangle(
                (middle - MM * radius, face - MM * depth), 2.0 * MM * radius, MM * max(depth - top, 0.0),
                facecolor=fill, edgecolor=INK, linewidth=0.8, hatch=hatch, alpha=0.6, zorder=2,
                linestyle=":" if known is None else "-",
            )
        )  # fmt: skip
    ax.plot([middle - MM * pole.face_radius_m, middle + MM * pole.face_radius_m], [face, face], color=INK, linewidth=1.6, zorder=3)
    ax.plot([middle, middle], [face, 0.0], color=FAINT, linestyle=":", linewidth=1.0, zorder=3)
    return MM * depth - face


def _number_gaps(ax: Axes, poles: Sequence[PoleSheet], factor: float, length: float) -> None:
    """Write every gap beside its dotted line: to the left of it where another head stands close to the right."""
    for pole in poles:
        place = MM * pole.position_m, -0.5 * MM * factor * pole.gap_m
        close = any(0.0 < MM * (other.position_m - pole.position_m) < SHORTEST * LETTER * length for other in poles)
        shift, side = ((-4, 0), "right") if close else ((4, 0), "left")
        ax.annotate(f"{MM * pole.gap_m:.2f} mm", place, xytext=shift, textcoords="offset points", ha=side, va="center", fontsize=7.5)


def body_depth(take: Take, pole: PoleSheet) -> float | None:
    """Return how deep the parts of a head reach below its face, m; None where they are not known."""
    head = bench_of(take).head(pole.head)
    return max(-part.bottom_m for part in part_sheets(head)) if isinstance(head, RoundHead) else None


def _name_heads(ax: Axes, poles: Sequence[PoleSheet], depth: float, length: float) -> float:
    """Write name, role and place below every head, near ones below one another; return how far the text reaches down, mm."""
    ends: list[float] = []  # of what is written in every row so far
    for pole in sorted(poles, key=lambda one: one.position_m):
        name, place = plain(_called(pole)), MM * pole.position_m
        half = 0.5 * LETTER * length * max(len(name), SHORTEST)
        row = next((row for row, end in enumerate(ends) if end <= place - half), len(ends))
        ends[row : row + 1] = [place + half]
        ax.text(place, -depth - (0.4 + 2.2 * row) * TEXT * length, f"{name}\n{place:.1f} mm", ha="center", va="top", fontsize=8, color=INK)
    return -depth - (0.4 + 2.2 * len(ends)) * TEXT * length


def _called(pole: PoleSheet) -> str:
    """Return a head's name, with its role where the name does not tell it."""
    return pole.head if pole.role in pole.head else f"{pole.head} ({pole.role})"


def _limit(ax: Axes, length: float, heights: tuple[float, float]) -> None:
    """Set the limits with both directions alike, so that one millimetre is one millimetre."""
    pad = 0.02 * length
    ax.set_xlim(-pad, length + pad)
    ax.set_ylim(heights[0] - pad, heights[1] + pad)
    ax.set_aspect("equal", adjustable="box", anchor="NW")


def _scale(ax: Axes, gap: float, factor: float, length: float) -> None:
    """Number the heights down to the largest gap (m) in true millimetres, as many of them as can be told apart."""
    from matplotlib.ticker import FixedFormatter, FixedLocator, MaxNLocator  # noqa: PLC0415

    most = int(np.clip(MM * factor * gap / (APART * length), 1, 4))
    marks = [float(mark) for mark in MaxNLocator(nbins=most).tick_values(0.0, MM * gap) if 0.0 <= mark <= MM * gap * (1.0 + 1e-9)]
    ax.yaxis.set_major_locator(FixedLocator([-factor * mark for mark in marks]))
    ax.yaxis.set_major_formatter(FixedFormatter([f"{mark:g}" for mark in marks]))


def rig_alt(take: Take) -> str:
    """Say in words what the drawings from the side show, string by string, for who cannot see them.

    Parameters
    ----------
    take : Take
    """
    return " ".join(side_alt(take, string) for string in range(len(take.sheet.strings)))


def side_alt(take: Take, string: int) -> str:
    """Say in words what the drawing of one string from the side shows."""
    sheet, motion = take.sheet.strings[string], motion_along(take, string)
    poles = sorted((take.sheet.poles[j] for j in poles_of(take, string)), key=lambda pole: pole.position_m)
    places = [f"{_called(pole)} {MM * pole.position_m:.1f} mm from the bridge, gap {MM * pole.gap_m:.2f} mm" for pole in poles]
    told = f"{sheet.name}, {MM * sheet.length_m:.0f} mm long: {'; '.join(places) or 'without a head'}."
    if not motion.seen:
        return f"{told} No motion is recorded."
    swing = float(np.max(motion.most - motion.least, initial=0.0))
    return f"{told} Over its last period the string sweeps {amount(swing, 'm')} up and down where it sweeps most."
