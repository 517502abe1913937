"""The path of a string over a head, seen along the string: up is away from the face, across is sideways."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.take.moments import along
from wirebloom.views.film import Film, film
from wirebloom.views.prefixed import read_in, round_down, times, unit_for
from wirebloom.views.style import FACE, FAINT, INK, Array, dress, new_axis, note, plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.sheet import PoleSheet
    from wirebloom.take.take import Take

NEAR = 0.03  # of a gap: a swing below that is drawn about its rest, since the face would be far off the picture
NONE = 1e-5  # of the swing towards the heads: sideways motion below that is none
SHARE = 0.5  # of the swing towards the heads, up to which a narrower one sideways is enlarged
LEAST = 1e-13  # m: height of the picture of a string that does not move


def faces_in_view(take: Take, shown: Film) -> bool:
    """Tell whether the swing is wide enough beside a gap for the faces to be drawn with it."""
    name = take.sheet.strings[shown.string].name
    gaps = [pole.gap_m for pole in take.sheet.poles if pole.string == name]
    return bool(gaps) and bool(np.ptp(shown.shapes[:, 0], axis=0).max() >= NEAR * min(gaps))


def rest_along(take: Take, shown: Film) -> Array:
    """Return where the string rests along its places, (2, X), m."""
    return along(take, shown.string, take.sheet.strings[shown.string].rest_m, shown.places)


def seen(take: Take, shown: Film, path: Array) -> Array:
    """Return displacements (…, 2) at the head as they are drawn: sideways, and up from the face or from the rest, m."""
    if faces_in_view(take, shown):
        return np.stack([path[..., 1], take.sheet.poles[shown.pole].gap_m - path[..., 0]], axis=-1)
    rest = [float(np.interp(shown.where_m, shown.places, side)) for side in rest_along(take, shown)]
    return np.stack([path[..., 1] - rest[1], rest[0] - path[..., 0]], axis=-1)


def enlargement(path: Array) -> float:
    """Return how many times larger than the height of a path (k, 2: across, up) its width is drawn."""
    wide, tall = (float(np.ptp(path[:, side])) for side in range(2))
    small = NONE * tall < wide < SHARE * tall
    return max(1.0, round_down(SHARE * tall / wide)) if small else 1.0


def orbit(take: Take, ax: Axes | None = None, *, shown: Film | None = None, at: float | None = None, string: int = 0) -> Axes:
    """Draw the path of a string over its drive head within a period, with the face below it.

    Parameters
    ----------
    take : Take
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    shown : Film, optional
        The moments to draw; those of one period by default.
    at : float, optional
        Where that period begins, s; the last one by default.
    string : int
        Index into ``take.sheet.strings``.

    Returns
    -------
    matplotlib Axes
        Data in metres. Up is the height above the face, or from the rest where the swing is small beside the gap; sideways is drawn to
        the same scale, or larger by the factor that the axis says.
    """
    ax = ax or new_axis(take.sheet.title)
    shown = shown or film(take, at=at, string=string)
    near, path = faces_in_view(take, shown), seen(take, shown, shown.path)
    low, high = _heights(path, take.sheet.poles[shown.pole].gap_m if near else None)
    ax.plot(path[:, 0], path[:, 1], color=FAINT, linewidth=1.0)
    if near:
        draw_head(ax, take.sheet.poles[shown.pole], low)
    ax.set_ylim(low, high)
    sideways = _set_across(ax, path)
    if near:
        _name_face(ax, take.sheet.poles[shown.pole])
    up = unit_for(0.5 * (high - low), "m")
    where = f"over {plain(take.sheet.poles[shown.pole].head, 20)}" if shown.pole >= 0 else "in the middle"
    dress(ax, x=sideways, y=f"{'above face' if near else 'up from its rest'}, {up.name}", title=where)
    read_in(ax.yaxis, up)
    ax.locator_params(axis="x", nbins=3)
    return ax


def draw_head(ax: Axes, pole: PoleSheet, bottom: float) -> None:
    """Draw core and flange of a head as they lie under the string, m from the face and from the string at rest sideways."""
    for radius, top in ((pole.flange_radius_m, -pole.flange_recess_m), (pole.face_radius_m, 0.0)):
        ax.bar(
            -pole.offset_m, top - bottom, width=2.0 * radius, bottom=bottom, facecolor=FACE, edgecolor=INK, hatch="////", linewidth=1.0
        )  # fmt: skip


def _name_face(ax: Axes, pole: PoleSheet) -> None:
    """Write what the hatched body is, where its core is seen."""
    left, right = ax.get_xlim()
    edge = (max(left, -pole.offset_m - pole.face_radius_m) - left) / (right - left)
    if edge < 0.75 and pole.face_radius_m - pole.offset_m > left:
        note(ax, "face", x=min(edge + 0.03, 0.49), y=0.02)


def _heights(path: Array, gap: float | None) -> tuple[float, float]:
    """Return the lower and upper limit of the picture, m: face and straight string are in it where there is a gap to draw."""
    levels = [float(path[:, 1].min()), float(path[:, 1].max()), *([] if gap is None else [0.0, gap])]
    low, high = min(levels), max(levels)
    span = max(high - low, float(np.ptp(path[:, 0])), LEAST)
    return low - 0.14 * span, high + 0.1 * span


def _set_across(ax: Axes, path: Array) -> str:
    """Set the limits sideways, to scale with those upwards but for the enlargement; return the name of the axis."""
    box, (low, high), factor = ax.get_window_extent(), ax.get_ylim(), enlargement(path)
    half = 0.5 * (high - low) * box.width / box.height / factor
    middle = 0.5 * float(path[:, 0].min() + path[:, 0].max())
    ax.set_xlim(middle - half, middle + half)
    unit = unit_for(half, "m")
    read_in(ax.xaxis, unit)
    return f"sideways{'' if factor == 1.0 else f' × {times(factor)}'}, {unit.name}"
