"""Several takes side by side: their build-up overlaid, and a table of what decides between them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.take.levels import bridge_power
from wirebloom.views.amounts import amount, figures
from wirebloom.views.motion import MM, draw_face, lowest_gap
from wirebloom.views.partials import SILENCE
from wirebloom.views.style import BESIDE, Array, dress, legend_beside, line_style, named, new_axis, panels, save, share_x, thinned

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from rich.console import RenderableType

    from wirebloom.take.measures import Measures, StringMeasures
    from wirebloom.take.take import Take

FLOOR = 90.0  # dB below the loudest that the overlay reaches
BUILDUP = "buildup.png"
ABSENT = "–"


def whole_level(take: Take) -> Array:
    """Return the level (f,) of all partials of all strings together at the bridge, dB re 1 N."""
    power = np.sum([bridge_power(take, string).sum(axis=1) for string in range(len(take.sheet.strings))], axis=0)
    level: Array = 10.0 * np.log10(np.maximum(power, SILENCE))
    return level


def overlay_levels(takes: Mapping[str, Take], ax: Axes | None = None) -> Axes:
    """Draw the bridge-force level of every take over time in one axis.

    Parameters
    ----------
    takes : mapping of str to Take
        What each take is called, and the take.
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.

    Returns
    -------
    matplotlib Axes
        The axis that was drawn into.
    """
    ax = ax or new_axis(right=BESIDE)
    top = -np.inf
    for place, (name, take) in enumerate(takes.items()):
        level = whole_level(take)
        top = max(top, float(level.max()))
        seconds, shown = thinned(take.frames.time, level)
        ax.plot(seconds, shown, label=named(name), **line_style(place, len(seconds)))
    ax.set_ylim(top - FLOOR, top + 6.0)
    _span_all(ax, takes)
    dress(ax, x="time, s", y="bridge force, dB re 1 N", title="build-up")
    legend_beside(ax)
    return ax


def overlay_clearance(takes: Mapping[str, Take], ax: Axes | None = None) -> Axes:
    """Draw the least gap over all heads of every take over time in one axis, with the face drawn in.

    Parameters and result as for :func:`overlay_levels`.
    """
    ax = ax or new_axis()
    high, low = 0.1, 0.0
    for place, (name, take) in enumerate(takes.items()):
        gap = lowest_gap(take).min(axis=1, initial=np.inf) * MM
        if not np.isfinite(gap).all():
            continue
        high, low = max(high, float(gap.max())), min(low, float(gap.min()))
        seconds, shown = thinned(take.frames.time, gap)
        ax.plot(seconds, shown, label=named(name), **line_style(place, len(seconds)))
    draw_face(ax, low, high)
    _span_all(ax, takes)
    dress(ax, x="time, s", y="least gap, mm", title="nearest approach to any face")
    return ax


def _span_all(ax: Axes, takes: Mapping[str, Take]) -> None:
    ax.set_xlim(0.0, max(take.duration_s for take in takes.values()))


def buildup_page(takes: Mapping[str, Take]) -> Figure:
    """Return both overlays, one above the other."""
    figure, axes = panels(2, 1, height=2.3, title=" · ".join(takes), right=0.76)
    overlay_levels(takes, axes[0, 0])
    overlay_clearance(takes, axes[1, 0])
    share_x(axes)
    return figure


def write_buildup(takes: Mapping[str, Take], folder: Path) -> Path:
    """Draw both overlays into one PNG and return where it is."""
    return save(buildup_page(takes), folder / BUILDUP)


def _told(value: float | None, tell: Callable[[float], str]) -> str:
    return ABSENT if value is None else tell(value)


def _starting(measures: Measures) -> str:
    """Return the outcome, or of several strings how many start."""
    if len(measures.strings) == 1:
        return measures.strings[0].outcome or "too short to tell"
    return f"{sum(string.starts is True for string in measures.strings)} of {len(measures.strings)} strings start"


def _of_leading(string: StringMeasures) -> dict[str, str]:
    return {
        "90 % of its level after": _told(string.start_time_s, lambda value: f"{figures(value)} s"),
        "growth": _told(string.growth_rate_per_s, lambda value: f"{figures(value)} /s"),
        "dominant partial": _told(string.dominant_partial, lambda value: f"{value:.0f}"),
        "pitch": _told(string.pitch_Hz, lambda value: f"{value:.2f} Hz"),
        "off the tuned pitch": _told(string.cents, lambda value: f"{value:+.1f} cents"),
        "bridge force": amount(string.bridge_force_N, "N"),
    }


def comparison_cells(measures: Measures) -> dict[str, str]:
    """Return what decides about one take, in words and units, by the name of its row."""
    near, loops = measures.near, measures.loops
    return (
        {"outcome": _starting(measures)}
        | _of_leading(measures.leading)
        | {
            "clearance": _told(near.clearance_mm, lambda value: f"{figures(value)} mm"),
            "nearest head": near.head or ABSENT,
            "first touch": _told(near.first_touch_s, lambda value: f"{figures(value)} s"),
            "drive voltage, rms": _told(max((loop.drive_rms_V for loop in loops), default=None), lambda value: amount(value, "V")),
            "drive current, rms": _told(max((loop.drive_rms_A for loop in loops), default=None), lambda value: amount(value, "A")),
            "drive power": _told(sum(loop.drive_power_W for loop in loops) if loops else None, lambda value: amount(value, "W")),
        }
    )


def comparison_table(takes: Mapping[str, Measures]) -> RenderableType:
    """Return a table with a column for each take and a row for each thing that decides.

    Parameters
    ----------
    takes : mapping of str to Measures
        What each take is called, and its measures; of several strings the leading one is told of.
    """
    from rich import box  # noqa: PLC0415 - a tenth of a second, only where text is wanted
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    columns = [comparison_cells(measures) for measures in takes.values()]
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("")
    for name in takes:
        table.add_column(Text(name), justify="right", overflow="fold")
    for row in columns[0]:
        table.add_row(row, *(Text(column[row]) for column in columns))
    return table
