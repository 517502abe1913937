"""Map of the partial that leads, over capacitor and place of a head."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.take.check_map import NO_ROOM, SILENT, PartialMap
from wirebloom.views.style import INK, SHADES, WARN, Array, dress, new_axis, panels, plain, save

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MAP = "map.png"
MICRO = 1e6
LEAST = 0.01  # of the map: less is not told in words
NONE, BLOCKED = "#ffffff", "#e4e7ec"
LIGHT, DARK = 1.0, 0.12  # of the colours' scale: partial 1, and the highest
WORDS = {SILENT: "nothing grows", NO_ROOM: "no room for the head"}


def partial_map(found: PartialMap, ax: Axes | None = None) -> Axes:
    """Draw which partial leads, its number in every cell; a dot where another could last as well and the start decides,
    a cross where it meets a face.

    Parameters
    ----------
    found : PartialMap
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.

    Returns
    -------
    matplotlib Axes
        The axis that was drawn into.
    """
    from matplotlib.patches import Patch  # noqa: PLC0415

    ax = ax or new_axis(found.title)
    colors = partial_colors(found)
    x, y = MICRO * found.capacitor_F, found.position_m / found.length_m
    shades = np.array([[_rgb(colors[int(n)]) for n in row] for row in found.partial])
    ax.set_xscale("log")
    ax.pcolormesh(np.exp(_edges(np.log(x))), _edges(y), shades, linewidth=0.2, edgecolor="white")
    _numbers(ax, found, x, y)
    own = MICRO * found.own_capacitor_F
    shown = own if np.isfinite(own) else x[-1]
    stands = "as the rig stands" if np.isfinite(own) else "as the rig stands: no capacitor"
    ax.plot(
        [shown], [found.own_position_m / found.length_m], "o", color=WARN, markerfacecolor="none", markersize=11, markeredgewidth=1.8,
        zorder=5, label=stands, linestyle="none",
    )  # fmt: skip
    _corners(ax, found, x, y)
    order = sorted(colors, key=lambda n: (n < 1, n))
    patches = [Patch(facecolor=colors[n], edgecolor=INK, linewidth=0.5, label=WORDS.get(n, f"partial {n}")) for n in order]
    dress(
        ax, x=f"{plain(found.capacitor)}, µF", y=f"place of {plain(found.head)}, share of the length",
        title=f"{plain(found.loop)} on {plain(found.string)}: which partial leads",
    )  # fmt: skip
    ax.grid(visible=False)
    ax.set_xticks([value for value in (1.0, 10.0, 100.0, 1000.0) if x[0] < value < x[-1]])
    ax.xaxis.set_major_formatter(lambda value, _: f"{value:g}")
    handles, names = ax.get_legend_handles_labels()
    ax.legend(
        handles=[*patches, *handles], labels=[*(str(patch.get_label()) for patch in patches), *names], fontsize=7.5, loc="center left",
        bbox_to_anchor=(1.01, 0.5), frameon=False,
    )  # fmt: skip
    return ax


def partial_colors(found: PartialMap) -> dict[int, str]:
    """Return a colour for every answer that is in a map, the lighter the lower the partial."""
    from matplotlib import colormaps  # noqa: PLC0415
    from matplotlib.colors import to_hex  # noqa: PLC0415

    numbers = [int(n) for n in np.unique(found.partial) if n > 0]
    places = np.linspace(LIGHT, DARK, max(len(numbers), 2))
    shades = {n: to_hex(colormaps[SHADES](place)) for n, place in zip(numbers, places, strict=False)}
    return shades | {n: color for n, color in ((SILENT, NONE), (NO_ROOM, BLOCKED)) if np.any(found.partial == n)}


def _rgb(color: str) -> tuple[float, float, float]:
    from matplotlib.colors import to_rgb  # noqa: PLC0415

    return to_rgb(color)


def _edges(middle: Array) -> Array:
    """Return the borders of cells around evenly spaced middles."""
    half = 0.5 * (middle[1] - middle[0])
    return np.append(middle - half, middle[-1] + half)


def _numbers(ax: Axes, found: PartialMap, x: Array, y: Array) -> None:
    numbers = [int(n) for n in np.unique(found.partial) if n > 0]
    for (i, k), n in np.ndenumerate(found.partial):
        if n > 0:
            dark = len(numbers) > 1 and numbers.index(int(n)) > 0.45 * (len(numbers) - 1)
            ax.text(float(x[k]), float(y[i]), f"{n}", fontsize=6, ha="center", va="center", color="white" if dark else INK)


def _corners(ax: Axes, found: PartialMap, x: Array, y: Array) -> None:
    """Mark cells in which the start decides, and those in which a face is met."""
    step, right = y[1] - y[0], (x[1] / x[0]) ** 0.33
    for chosen, marker, size, way, name in (
        (found.several, ".", 2.5, -1.0, "the start decides"),
        (found.touches, "x", 3.0, 1.0, "meets a face"),
    ):
        rows, columns = np.nonzero(chosen)
        if rows.size:
            ax.plot(x[columns] * right, y[rows] + 0.28 * way * step, marker, color=WARN, markersize=size, linestyle="none", label=name)


def write_map(found: PartialMap, folder: Path) -> Path:
    """Draw the map into a PNG and return where it is."""
    figure, axes = panels(1, 1, height=4.6, title=f"{found.title} · leading partial over capacitor and place", right=0.72)
    partial_map(found, axes[0, 0])
    return save(figure, folder / MAP)


def map_words(found: PartialMap) -> str:
    """Say which partials lead somewhere in the map, each with its share of the cells that a head fits into.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> import numpy as np
    >>> map_words(SimpleNamespace(partial=np.array([[1, 1, 4], [-1, -1, 0]]), head="drive", capacitor="loops.main.phase.capacitor"))
    'Over place of drive and loops.main.phase.capacitor, partial 1 leads in 50 %, partial 4 in 25 %, none in 25 % of the map.'
    """
    fitting = found.partial[found.partial != NO_ROOM]
    counts = {int(n): float(np.mean(fitting == n)) for n in np.unique(fitting) if n > 0}
    told = [f"partial {n} in {100.0 * share:.0f} %" for n, share in sorted(counts.items(), key=lambda own: -own[1]) if share >= LEAST]
    told = [told[0].replace(" in", " leads in"), *told[1:]] if told else []
    silent = float(np.mean(fitting == SILENT)) if fitting.size else 0.0
    told += [f"none in {100.0 * silent:.0f} %"] if silent >= LEAST else []
    return f"Over place of {found.head} and {found.capacitor}, {', '.join(told)} of the map."
