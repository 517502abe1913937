"""A head cut through across its string, to scale in millimetres: face and flange, the string at rest, and all that its motion sweeps."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.rig import RoundHead
from wirebloom.take.round_parts import part_sheets
from wirebloom.views.amounts import amount, figures
from wirebloom.views.bench import bench_of
from wirebloom.views.head_drawing import STRING, draw_parts
from wirebloom.views.motion import pole_name
from wirebloom.views.section_motion import diameter, least_gap, orbit, swept
from wirebloom.views.style import FACE, FAINT, INK, WARN, dress, legend_beside, panels, plain, stroke

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.sheet import PoleSheet
    from wirebloom.take.take import Take

MM = 1e3
TALL = 3.4  # inches
BROAD = 0.62  # of the width that the drawing gets, its legend beside it
BESIDE_FACE = 1.35  # face radii to either side that are shown
INSET = (1.12, 0.0, 0.55, 0.5)  # in shares of the axis
UNSEEN = 1e-8  # m: a smaller swing is none
LEAST_ABOVE = 0.35  # of the half width, that is shown above the face


def head_section(take: Take, ax: Axes | None = None, pole: int = 0) -> Axes:
    """Draw a head cut across the string: its parts where they are known, its face and flange, the string and its motion.

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
        x sideways from the head's axis, y above its face, both in mm and to one scale.
    """
    sheet = take.sheet.poles[pole]
    own, ax = ax is None, ax or _new(take, pole)
    _draw_head(ax, take, sheet)
    _draw_motion(ax, take, pole)
    _draw_rest(ax, sheet, diameter(take, pole))
    _mark_least(ax, take, pole)
    _frame(ax, sheet)
    dress(ax, x="sideways, mm", y="above the face, mm", title=_titled(take, sheet))
    ax.grid(visible=False)
    if own:
        legend_beside(ax)
        _whole_beside(ax, take, pole)
    return ax


def _new(take: Take, pole: int) -> Axes:
    name = pole_name(take.sheet.poles[pole], take.sheet.poles)
    _, axes = panels(1, 1, height=TALL, title=f"{take.sheet.title} · {name}, cut across the string", right=BROAD)
    axis: Axes = axes[0, 0]
    return axis


def _titled(take: Take, sheet: PoleSheet) -> str:
    name = plain(pole_name(sheet, take.sheet.poles))
    role = "" if sheet.role in name else f" ({sheet.role})"
    return f"{name}{role}, to scale"


def _draw_head(ax: Axes, take: Take, sheet: PoleSheet) -> None:
    """Draw the parts of a head whose build is known, or what its face tells; the surfaces that the string can meet stand out."""
    head = bench_of(take).head(sheet.head)
    face, flange, recess = MM * sheet.face_radius_m, MM * sheet.flange_radius_m, MM * sheet.flange_recess_m
    if isinstance(head, RoundHead):
        draw_parts(ax, part_sheets(head), names=False)
    else:
        ax.fill_between([-face, face], -10.0 * face, 0.0, facecolor=FACE, edgecolor=INK, alpha=0.55)
    ax.plot([-face, face], [0.0, 0.0], color=INK, linewidth=2.6, solid_capstyle="butt", label="face")
    if flange > face:
        for side in (-1.0, 1.0):
            label = "flange" if side > 0.0 else None
            ax.plot([side * face, side * flange], [-recess, -recess], color=INK, linewidth=1.6, linestyle=(0, (3, 1)), label=label)


def _draw_motion(ax: Axes, take: Take, pole: int) -> None:
    """Draw what the string's section sweeps: in the whole take as a line, over the last second as a band."""
    from matplotlib.patches import Polygon  # noqa: PLC0415

    found, size = orbit(take, pole), diameter(take, pole)
    if found.whole.size == 0 or "displacement" in take.lost:
        return
    ax.add_patch(
        Polygon(MM * swept(found.whole, size), fill=False, edgecolor=stroke(1).color, linestyle="--", label="swept in the whole take")
    )
    band = Polygon(MM * swept(found.late, size), facecolor=stroke(0).color, alpha=0.3, edgecolor=INK, label="swept in the last second")
    ax.add_patch(band)


def _draw_rest(ax: Axes, sheet: PoleSheet, size: float) -> None:
    """Draw the string's section at rest over its magnets."""
    from matplotlib.patches import Circle  # noqa: PLC0415

    middle = (MM * sheet.offset_m, MM * (sheet.rest_gap_m + size / 2.0))
    ax.add_patch(Circle(middle, MM * size / 2.0, facecolor=STRING, edgecolor=INK, linewidth=0.9, zorder=4, label="string at rest"))
    ax.axhline(MM * sheet.gap_m, color=FAINT, linestyle=":", linewidth=0.9, label=f"gap as set, {MM * sheet.gap_m:.2f} mm")


def _mark_least(ax: Axes, take: Take, pole: int) -> None:
    """Draw the least gap of the whole take between face and string, with its size."""
    least = least_gap(take, pole)
    if least is None:
        return
    place = -0.55 * MM * take.sheet.poles[pole].face_radius_m
    if least <= 0.0:
        ax.annotate("touches", (place, 0.0), xytext=(0, 4), textcoords="offset points", ha="center", fontsize=8, color=WARN)
        return
    ax.annotate(
        "", (place, MM * least), (place, 0.0), arrowprops={"arrowstyle": "<->", "color": WARN, "linewidth": 1.0, "shrinkA": 0, "shrinkB": 0}
    )
    ax.plot([place, MM * take.sheet.poles[pole].offset_m], [MM * least] * 2, color=WARN, linewidth=0.8)
    ax.annotate(
        f"{MM * least:.2f} mm",
        (place, MM * least / 2.0),
        xytext=(-5, 0),
        textcoords="offset points",
        ha="right",
        va="center",
        fontsize=8,
        color=WARN,
    )


def _frame(ax: Axes, sheet: PoleSheet) -> None:
    """Show the face with a little beside it and all that moves over it; below as much of the head as the axis has room for."""
    place = ax.get_window_extent()
    named = [
        patch.get_extents().transformed(ax.transData.inverted()).y1 for patch in ax.patches if not str(patch.get_label()).startswith("_")
    ]
    top = max(named)
    half = max(BESIDE_FACE * MM * sheet.face_radius_m, 1.1 * MM * abs(sheet.offset_m) + 0.5)
    top = 1.08 * max(top, LEAST_ABOVE * half, MM * sheet.gap_m)
    tall = 2.0 * half * place.height / place.width
    ax.set_xlim(-half, half)
    ax.set_ylim(min(top - tall, -0.25 * half), top)
    ax.set_aspect("equal", adjustable="box", anchor="W")


def _whole_beside(ax: Axes, take: Take, pole: int) -> None:
    """Draw the whole head small under the legend, with its parts named, where they are known."""
    sheet, size = take.sheet.poles[pole], diameter(take, pole)
    head = bench_of(take).head(sheet.head)
    legend = ax.get_legend()
    if not isinstance(head, RoundHead) or legend is None:
        return
    legend.set_loc("upper left")
    legend.set_bbox_to_anchor((1.01, 1.02), transform=ax.transAxes)
    parts = part_sheets(head)
    inset = ax.inset_axes(INSET, axes_class=type(ax))
    draw_parts(inset, parts)
    _draw_rest(inset, sheet, size)
    reach, low = 1.15 * MM * head.outer_radius, MM * min(part.bottom_m for part in parts)
    inset.set_xlim(-reach, reach)
    inset.set_ylim(low - 0.5, MM * (sheet.gap_m + 2.0 * size) + 0.5)
    inset.set_aspect("equal", anchor="W")
    inset.set_title("the whole head, mm", fontsize=8, loc="left", y=1.0)  # a place: else every tick is drawn to find one
    inset.tick_params(labelsize=7)
    for side in ("top", "right"):
        inset.spines[side].set_visible(False)


def section_alt(take: Take, pole: int) -> str:
    """Say in words what the cross-section of a head shows.

    Parameters
    ----------
    take : Take
    pole : int
        Index into ``take.sheet.poles``.
    """
    sheet, found, least = take.sheet.poles[pole], orbit(take, pole), least_gap(take, pole)
    rests = f"{MM * diameter(take, pole):.2f} mm rests {MM * max(sheet.rest_gap_m, 0.0):.2f} mm"
    told = f"{pole_name(sheet, take.sheet.poles)}: a string of {rests} above a face of {2.0 * MM * sheet.face_radius_m:.1f} mm."
    if found.late.size == 0 or least is None or "displacement" in take.lost:
        return f"{told} No motion is recorded."
    high, wide = (_swing(float(np.ptp(found.late[:, axis]))) for axis in (1, 0))
    near = "it touches the face" if least == 0.0 else f"it stays {figures(MM * least)} mm clear of the face"
    return f"{told} Over the last second it swings {high} up and down and {wide} sideways; in the whole take {near}."


def _swing(metres: float) -> str:
    return amount(metres, "m") if metres >= UNSEEN else "nothing"
