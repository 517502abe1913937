"""Pictures of the string: over each head with the face drawn in, along its length, and how near it comes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.views.style import FACE, FAINT, INK, SHADES, WARN, Array, dress, envelope, line_style, named, new_axis, note, stroke, thinned

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.sheet import PoleSheet
    from wirebloom.take.take import Take

MM = 1e3
PERIODS = 4  # shown in a close look
SMALL = 1e-5  # m: below it sideways motion is drawn in µm


def pole_name(pole: PoleSheet, poles: Sequence[PoleSheet]) -> str:
    """Return the head's name, with the string's where a head serves several."""
    shared = sum(other.head == pole.head for other in poles) > 1
    return f"{pole.head} under {pole.string}" if shared else pole.head


def height_above_face(take: Take, pole: int) -> Array:
    """Return the height (t,) of the string's surface above the face of a head, m."""
    height: Array = take.sheet.poles[pole].gap_m - take.signals.displacement[:, pole, 0]
    return height


def draw_face(ax: Axes, low: float, high: float) -> None:
    """Draw the face as a solid body filling the axis below height 0, and leave a little of it in view."""
    span = max(high - min(low, 0.0), 1e-6)
    bottom = min(low, 0.0) - 0.12 * span
    ax.axhspan(bottom, 0.0, facecolor=FACE, edgecolor=INK, hatch="////", linewidth=0.0, alpha=0.55)
    ax.axhline(0.0, color=INK, linewidth=1.2)
    ax.set_ylim(bottom, high + 0.15 * span)


def string_motion(take: Take, ax: Axes | None = None, *, pole: int = 0) -> Axes:
    """Draw the height of the string above a head's face over the whole take, as the band between its extremes.

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
    ax = ax or new_axis(take.sheet.title)
    sheet = take.sheet.poles[pole]
    start, low, high = envelope(height_above_face(take, pole) * MM)
    seconds = start / take.audio_rate
    ax.fill_between(seconds, low, high, color=stroke(0).color, linewidth=0.6, step="post")
    ax.axhline(sheet.gap_m * MM, color=FAINT, linestyle=":", linewidth=1.0)
    draw_face(ax, float(low.min()), max(float(high.max()), sheet.gap_m * MM))
    name = named(pole_name(sheet, take.sheet.poles))
    role = "" if sheet.role in name else f" ({sheet.role})"
    title = f"{name}{role}; dotted: gap {sheet.gap_m * MM:.2f} mm, string straight"
    dress(ax, x="time, s", y="string above face, mm", title=title)
    ax.set_xlim(0.0, take.duration_s)
    note(ax, "face", x=0.01, y=0.02)
    return ax


def last_periods(take: Take, ax: Axes | None = None, *, pole: int = 0) -> Axes:
    """Draw the last few periods over a head: height above the face, and the sideways motion dashed.

    Parameters and result as for :func:`string_motion`.
    """
    ax = ax or new_axis(take.sheet.title)
    sheet = take.sheet.poles[pole]
    count = _samples(take)
    milliseconds = np.arange(1 - count, 1) / take.audio_rate * 1e3
    height = height_above_face(take, pole)[-count:] * MM
    sideways = (sheet.gap_m + take.signals.displacement[-count:, pole, 1]) * MM
    ax.axhline(sheet.gap_m * MM, color=FAINT, linestyle=":", linewidth=1.0)
    ax.plot(milliseconds, height, color=stroke(0).color, linewidth=1.3)
    ax.plot(milliseconds, sideways, color=stroke(1).color, linestyle="--", linewidth=1.1)
    draw_face(ax, float(min(height.min(), sideways.min())), float(max(height.max(), sideways.max(), sheet.gap_m * MM)))
    dress(ax, x="time from the end, ms", y="", title="the last periods, sideways dashed")
    ax.set_xlim(min(float(milliseconds[0]), -1e-3), 0.0)
    return ax


def _samples(take: Take) -> int:
    """Return how many samples the close look takes: a few periods of the lowest string, or all of a shorter take."""
    total = len(take.signals.displacement)
    lowest = min(string.pitch_Hz for string in take.sheet.strings)
    return max(min(round(PERIODS * take.audio_rate / lowest), total), 1)


def lowest_gap(take: Take) -> Array:
    """Return the least gap (f, j) within the last whole period of the lowest string, m.

    A frame may be shorter than a period, and then says in turn how near and how far the string swings.
    """
    lowest, time = take.frames.least_gap, take.frames.time
    frame = float(time[1] - time[0]) if time.size > 1 else np.inf
    period = 1.0 / min(string.pitch_Hz for string in take.sheet.strings)
    held: Array = lowest.copy()
    for back in range(1, math.ceil(period / frame) + 1 if period > frame else 1):
        held[back:] = np.minimum(held[back:], lowest[:-back])
    return held


def clearance(take: Take, ax: Axes | None = None) -> Axes:
    """Draw the least gap of every period over each head, with the face and every touch marked.

    Parameters and result as for :func:`string_motion`.
    """
    ax = ax or new_axis(take.sheet.title)
    frames, heads = take.frames, take.sheet.poles
    gap = lowest_gap(take) * MM
    for pole, sheet in enumerate(heads):
        seconds, shown = thinned(frames.time, gap[:, pole])
        ax.plot(seconds, shown, label=named(pole_name(sheet, heads)), **line_style(pole, len(seconds)))
    draw_face(ax, float(gap.min(initial=0.0)), 1.1 * float(gap.max(initial=0.1)))
    _mark_touches(ax, take)
    dress(ax, x="time, s", y="least gap, mm", title="nearest approach to each face")
    ax.set_xlim(0.0, take.duration_s)
    ax.legend(fontsize=8, frameon=True, framealpha=0.8, edgecolor="none", ncols=min(len(heads), 4), loc="upper right")
    return ax


def _mark_touches(ax: Axes, take: Take) -> None:
    """Mark within the face every frame in which the string presses on it, and write since when."""
    touching = (take.frames.most_contact > 0.0).any(axis=1)
    if not touching.any():
        note(ax, "never touches a face", x=0.01, y=0.02)
        return
    seconds, bottom = take.frames.time[touching], ax.get_ylim()[0]
    ax.vlines(seconds, bottom, 0.35 * bottom, color=WARN, linewidth=1.0)
    note(ax, f"touches (red ticks in the face) from {seconds[0]:.2f} s on", x=0.01, y=0.02)


def string_shape(take: Take, ax: Axes | None = None, *, string: int = 0, polarisation: int = 0) -> Axes:
    """Draw the string's shape at several moments of its last period, dark to light, with the heads standing under it.

    Parameters
    ----------
    take, ax
        As for :func:`string_motion`.
    string : int
        Index into ``take.sheet.strings``.
    polarisation : int
        0 towards the heads (drawn downwards, as the heads lie), 1 sideways.
    """
    from matplotlib import colormaps  # noqa: PLC0415

    ax = ax or new_axis(take.sheet.title)
    metres, shapes = take.shape.x[string], take.shape.displacement[:, string, polarisation]
    scale, unit = (MM, "mm") if polarisation == 0 or np.abs(shapes).max() > SMALL else (1e6, "µm")
    shapes = shapes * (-scale if polarisation == 0 else scale)
    ax.fill_between(metres, shapes.min(axis=0), shapes.max(axis=0), color="#e4e7ec", linewidth=0.0)
    shown = np.linspace(0, len(shapes) - 1, min(len(shapes), 9)).astype(int)
    for place, phase in enumerate(shown):
        ax.plot(metres, shapes[phase], color=colormaps[SHADES](0.9 * place / len(shown)), linewidth=2.2 if place == 0 else 1.0)
    if polarisation == 0:
        _draw_heads(ax, take, string, float(shapes.min()))
    else:
        reach = 1.1 * max(float(np.abs(shapes).max()), 1e-6 * scale)
        ax.set_ylim(-reach, reach)
    direction = "down is towards the heads, dark to light in time" if polarisation == 0 else "sideways"
    dress(ax, x="distance from the bridge, m", y=f"displacement, {unit}", title=f"{named(take.sheet.strings[string].name)}: {direction}")
    longest = max(sheet.length_m for sheet in take.sheet.strings)
    ax.set_xlim(-0.01 * longest, 1.01 * longest)
    return ax


def _draw_heads(ax: Axes, take: Take, string: int, lowest: float) -> None:
    """Draw every head of this string as a block whose upper edge is its face, at true place and gap."""
    name = take.sheet.strings[string].name
    poles = [pole for pole in take.sheet.poles if pole.string == name]
    bottom = min([lowest, *(-pole.gap_m * MM for pole in poles)])
    depth = 0.35 * max(abs(bottom), 1e-3)
    for place, pole in enumerate(poles):
        left, face = pole.position_m - pole.face_radius_m, -pole.gap_m * MM
        ax.bar(
            left, bottom - depth - face, width=2 * pole.face_radius_m, bottom=face, align="edge",
            facecolor=FACE, edgecolor=INK, hatch="////", linewidth=0.8,
        )  # fmt: skip
        ax.annotate(
            named(pole.head), (pole.position_m, face), xytext=(8, -9 - 9 * (place % 2)), textcoords="offset points", fontsize=8, color=INK
        )
    ax.set_ylim(bottom=bottom - depth)
