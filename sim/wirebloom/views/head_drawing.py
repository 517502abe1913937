"""A head and its string drawn to scale, in millimetres, over a map of its field."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.take.head_parts import FieldSheet, PartSheet
from wirebloom.take.head_study import HeadString, HeadStudy
from wirebloom.views.style import FACE, INK, SHADES, Array, dress, new_axis, note

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MM, MILLI = 1e3, 1e3
FILLS = {"core": FACE, "coil": "#d9894f", "magnet": "#e4e7ec", "plate": FACE}
HATCHES = {"core": "", "coil": "xx", "magnet": "", "plate": ""}
LINES = 22  # of the field
DECADES = 2.3  # of the colours
STRING = "#f4d35e"


def draw_parts(ax: Axes, parts: tuple[PartSheet, ...], *, names: bool = True) -> None:
    """Draw every part's section on both sides of the axis, with its name in it, and an arrow for a magnet."""
    from matplotlib.patches import Rectangle  # noqa: PLC0415

    for part in parts:
        for inner, outer in _sides(part):
            ax.add_patch(
                Rectangle(
                    (MM * inner, MM * part.bottom_m), MM * (outer - inner), MM * (part.top_m - part.bottom_m),
                    facecolor=FILLS[part.kind], edgecolor=INK, linewidth=1.0, alpha=0.55, hatch=HATCHES[part.kind],
                )
            )  # fmt: skip
        if names:
            _name(ax, part)


def _sides(part: PartSheet) -> list[tuple[float, float]]:
    """Return the part's sections from left to right: one across the axis if it has no hole."""
    if part.inner_radius_m == 0.0:
        return [(-part.outer_radius_m, part.outer_radius_m)]
    return [(-part.outer_radius_m, -part.inner_radius_m), (part.inner_radius_m, part.outer_radius_m)]


def _name(ax: Axes, part: PartSheet) -> None:
    """Write what a part is into its right half, with the way it is magnetised."""
    low, high = _sides(part)[-1]
    tall = part.top_m - part.bottom_m > 1.2 * (high - low)
    arrow = {"up": " ↑", "down": " ↓"}.get(part.direction, "")
    ax.text(
        MM * (low + high) / 2.0, MM * (part.bottom_m + part.top_m) / 2.0, part.kind + arrow, ha="center", va="center",
        fontsize=8, color=INK, rotation=90 if tall else 0, bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 1.2},
    )  # fmt: skip


def draw_string(ax: Axes, string: HeadString, *, end_on: bool) -> None:
    """Draw the string at its gap to scale: its section seen along it, or its side."""
    from matplotlib.patches import Circle, Rectangle  # noqa: PLC0415

    size, low = MM * string.diameter_m, MM * string.gap_m
    if end_on:
        ax.add_patch(Circle((MM * string.offset_m, low + size / 2.0), size / 2.0, facecolor=STRING, edgecolor=INK, linewidth=0.8, zorder=4))
        return
    left, right = ax.get_xlim()
    ax.add_patch(Rectangle((left, low), right - left, size, facecolor=STRING, edgecolor=INK, linewidth=0.8, zorder=4))


def field_across(study: HeadStudy, ax: Axes | None = None) -> Axes:
    """Draw the magnets' field with the strings seen end-on.

    Parameters
    ----------
    study : HeadStudy
        Of a head with a field.
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    """
    ax = ax or new_axis(study.title)
    field = study.field
    if field is not None:
        mesh = _map(ax, field, field.magnet_T, field.magnet_flux_Wb)
        _scale(ax, mesh, "mT")
    _finish(ax, study, "field of the magnets; string end-on", end_on=True)
    return ax


def field_beside(study: HeadStudy, ax: Axes | None = None) -> Axes:
    """Draw the field of 1 A in the coil with the first string seen from the side; parameters as for :func:`field_across`."""
    ax = ax or new_axis(study.title)
    field = study.field
    if field is not None:
        mesh = _map(ax, field, field.coil_T_per_A, field.coil_flux_Wb_per_A)
        _scale(ax, mesh, "mT/A")
    _finish(ax, study, "field of 1 A in the coil; string from the side", end_on=False)
    return ax


def _map(ax: Axes, field: FieldSheet, size: Array, flux: Array) -> object:
    """Colour by magnitude on a logarithmic scale, field lines over it; mirrored to the other side of the axis."""
    from matplotlib.colors import LogNorm  # noqa: PLC0415

    x = MM * np.concatenate([-field.radius_m[::-1], field.radius_m])
    y = MM * field.height_m
    both = np.concatenate([size[:, ::-1], size], axis=1)
    most = float(np.quantile(size, 0.995))
    if most <= 0.0:
        note(ax, "no field", x=0.01)
        return None
    mesh = ax.pcolormesh(x, y, both, norm=LogNorm(most / 10.0**DECADES, most), cmap=SHADES, shading="gouraud", rasterized=True)
    lines = np.concatenate([flux[:, ::-1], flux], axis=1)
    top = float(np.abs(lines).max())
    ax.contour(x, y, lines, levels=top * (np.arange(1 - LINES, LINES, 2) / LINES), colors="white", linewidths=0.5, linestyles="solid")
    return mesh


def _scale(ax: Axes, mesh: object, unit: str) -> None:
    """Put the colours' scale to the right of an axis whose two directions are drawn alike."""
    if mesh is None:
        return
    from matplotlib.ticker import FuncFormatter, LogLocator  # noqa: PLC0415

    bar = ax.figure.colorbar(mesh, cax=ax.inset_axes((1.02, 0.0, 0.035, 1.0)))  # type: ignore[arg-type]
    bar.ax.yaxis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0)))
    bar.ax.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{MILLI * value:g}"))
    bar.ax.minorticks_off()
    bar.ax.tick_params(labelsize=7)
    bar.ax.set_title(unit, fontsize=7.5, loc="left", pad=3)


def _finish(ax: Axes, study: HeadStudy, title: str, *, end_on: bool) -> None:
    field = study.field
    if field is not None:
        reach = MM * float(field.radius_m[-1])
        ax.set_xlim(-reach, reach)
        ax.set_ylim(MM * float(field.height_m[0]), MM * float(field.height_m[-1]))
    ax.set_aspect("equal")
    draw_parts(ax, study.parts, names=end_on)
    for string in study.strings if end_on else study.strings[:1]:
        draw_string(ax, string, end_on=end_on)
    dress(ax, x="beside the axis, mm" if end_on else "along the string, mm", y="above the face, mm" if end_on else "", title=title)
    ax.grid(visible=False)
