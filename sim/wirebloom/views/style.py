"""How every picture looks: lines told apart by colour, dash and marker, so that grey prints and colour-blind eyes lose nothing."""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.views.ticks import light_ticks

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.axis import Axis
    from matplotlib.figure import Figure

Array = NDArray[np.floating]

DPI = 110
WIDTH, ABOVE, BELOW, BETWEEN = 8.0, 0.58, 0.52, 0.4  # inches
APART = 0.72  # inches between rows that do not share the numbers along x
LEFT, RIGHT = 0.088, 0.975  # of the width
BESIDE = 0.75  # of the width, where a legend stands beside an axis of its own
LONGEST = 90  # letters of a title that fit
NAME = 32  # letters of a name beside a line that fit
COLUMNS = 700  # an envelope is drawn with so many steps: about one a pixel

QUICK: dict[Any, Any] = {"text.hinting": "none"}  # a sixth of the time that a PNG takes, with a lighter packing of its bytes

INK = "#1c2230"
FAINT = "#6b7280"
FACE = "#9aa1ab"
WARN = "#a3160f"
SHADES = "cividis"  # lightness rises steadily, in grey as in colour


class Stroke(NamedTuple):
    """One way to draw a line that no other line shares."""

    color: str
    linestyle: str | tuple[int, tuple[int, ...]]
    marker: str


STROKES = (
    Stroke("#10243f", "-", "o"),
    Stroke("#c2510a", "--", "s"),
    Stroke("#1f7a8c", "-.", "^"),
    Stroke("#7b3fa0", (0, (1, 1)), "D"),
    Stroke("#2a4fe6", (0, (6, 1, 1, 1, 1, 1)), "v"),
    Stroke("#803838", (0, (8, 3)), "P"),
)


def stroke(index: int) -> Stroke:
    """Return the stroke of the line with this index; beyond the last colour, dash and marker pair anew."""
    turn, place = divmod(index, len(STROKES))
    return STROKES[place]._replace(marker=STROKES[(place + turn) % len(STROKES)].marker)


def line_style(index: int, points: int = 200) -> dict[str, Any]:
    """Return keyword arguments for ``Axes.plot``: colour, dash, and about six markers along the line."""
    chosen = stroke(index)
    every = max(points // 6, 1)
    return {
        "color": chosen.color, "linestyle": chosen.linestyle, "marker": chosen.marker,
        "markevery": (index * every // 7, every), "markersize": 4, "linewidth": 1.4,
    }  # fmt: skip


def panels(
    rows: int,
    columns: int,
    *,
    height: float,
    widths: Sequence[float] | None = None,
    title: str = "",
    right: float = RIGHT,
    between: float = BETWEEN,
    above: float = ABOVE,
) -> tuple[Figure, Any]:
    """Return a figure of the house's width with ``rows × columns`` axes, each ``height`` inches high and ``between`` apart.

    Margins are given in inches and not searched for: that search costs more than all the drawing.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415 - half a second, only where pictures are wanted
    from matplotlib.figure import Figure  # noqa: PLC0415

    from wirebloom.views.panel import Panel  # noqa: PLC0415

    total = rows * height + (rows - 1) * between + above + BELOW
    figure = Figure(figsize=(WIDTH, total), dpi=DPI)
    FigureCanvasAgg(figure)
    axes = figure.subplots(rows, columns, squeeze=False, width_ratios=widths, subplot_kw={"axes_class": Panel})
    figure.subplots_adjust(
        left=LEFT, right=right, top=1.0 - above / total, bottom=BELOW / total, hspace=between / height, wspace=0.26
    )  # fmt: skip
    figure.text(0.012, 1.0 - 0.1 / total, plain(title), ha="left", va="top", fontsize=11, color=INK)
    return figure, axes


def plain(text: str, longest: int = LONGEST) -> str:
    """Return what a user wrote as one line of a bearable length, with dollars as dollars: they would begin a formula."""
    return one_line(text, longest).replace("$", r"\$")


def one_line(text: str, longest: int = LONGEST) -> str:
    """Return what a user wrote as one line of a bearable length."""
    shown = " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())
    return shown if len(shown) <= longest else shown[: longest - 1] + "…"


def named(text: str) -> str:
    """Return a name as it can stand beside a line: short, and in a legend even if it begins with a low line."""
    shown = plain(text, NAME)
    return f" {shown}" if shown.startswith("_") else shown


def share_x(axes: Any) -> None:
    """Leave the numbers along x to the lowest row: every row has the same ones."""
    for ax in axes[:-1].flat:
        ax.set_xlabel("")
        ax.tick_params(labelbottom=False)


def new_axis(title: str = "", *, right: float = RIGHT, above: float = ABOVE) -> Axes:
    """Return the one axis of a new figure, which reaches so far to the right (share of the width) and leaves so much above, inches."""
    _, axes = panels(1, 1, height=3.0, title=title, right=right, above=above)
    axis: Axes = axes[0, 0]
    return axis


def ticks_at(axis: Axis, places: Iterable[float]) -> None:
    """Put an axis's ticks at these places, without making them: matplotlib's own call would."""
    from matplotlib.ticker import FixedLocator  # noqa: PLC0415

    axis.set_major_locator(FixedLocator(list(places)))


def dress(ax: Axes, *, x: str, y: str, title: str = "") -> None:
    """Give an axis its labels (each with a unit), a quiet grid, few ticks and no box.

    Labels and title get fixed places: matplotlib would draw every tick twice to find one.
    """
    place = ax.get_window_extent()
    ax.set_xlabel(x, fontsize=8.5)
    ax.set_ylabel(y, fontsize=8.5)
    ax.xaxis.set_label_coords(0.5, -0.29 * DPI / place.height)
    ax.yaxis.set_label_coords(-0.52 * DPI / place.width, 0.5)
    ax.set_title(title, fontsize=9, loc="left", color=INK, y=1.0)
    ax.minorticks_off()
    if ax.get_xscale() == "linear":
        ax.locator_params(axis="x", nbins=5)
    if ax.get_yscale() == "linear":
        ax.locator_params(axis="y", nbins=5)
    ax.tick_params(labelsize=8)
    ax.grid(visible=True, color="#d5d9e0", linewidth=0.5)
    ax.set_axisbelow(True)
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    if ax.get_yscale() == "log":
        _plain_powers(ax)


def _plain_powers(ax: Axes) -> None:
    """Write powers of ten as letters: a formula would take longer to set than all the rest, and would not stay text."""
    from matplotlib.ticker import FuncFormatter, LogFormatter  # noqa: PLC0415

    if isinstance(ax.yaxis.get_major_formatter(), LogFormatter):
        ax.yaxis.set_major_formatter(FuncFormatter(lambda value, _: power_of_ten(value)))


def power_of_ten(value: float) -> str:
    """Return a positive number as a power of ten; small whole ones and short fractions as they are.

    Examples
    --------
    >>> power_of_ten(1e-9), power_of_ten(0.001), power_of_ten(100.0), power_of_ten(1e4)
    ('10⁻⁹', '0.001', '100', '10⁴')
    """
    if 0.001 <= value <= 1000.0:
        return f"{value:g}"
    return "10" + f"{round(np.log10(value))}".translate(str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"))


def moment(ax: Axes, second: float, label: str) -> None:
    """Draw a moment across the whole height and write what it is beside its lower end."""
    ax.axvline(second, color=INK, linestyle=(0, (1, 2)), linewidth=1.0)
    late = second > ax.get_xlim()[0] + 0.7 * (ax.get_xlim()[1] - ax.get_xlim()[0])
    ax.annotate(
        label, (second, 0.03), xycoords=("data", "axes fraction"), xytext=(-3 if late else 3, 0), textcoords="offset points",
        ha="right" if late else "left", va="bottom", fontsize=7.5, color=INK,
        bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.7, "pad": 0.5},
    )  # fmt: skip


def legend_beside(ax: Axes, title: str = "") -> None:
    """Put the legend to the right of the axis, where it covers nothing; an axis without named lines gets none."""
    if not ax.get_legend_handles_labels()[0]:
        return
    ax.legend(
        fontsize=7.5, title=title, title_fontsize=7.5, loc="center left", bbox_to_anchor=(1.01, 0.5), frameon=False, handlelength=3.2
    )  # fmt: skip


def note(ax: Axes, text: str, *, x: float = 0.99, y: float = 0.96) -> None:
    """Write a line of text inside the axis, by default at its upper right."""
    ax.text(
        x, y, text, transform=ax.transAxes, ha="right" if x > 0.5 else "left", va="top" if y > 0.5 else "bottom",
        fontsize=8, color=INK, bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.8, "pad": 1.5},
    )  # fmt: skip


def threshold(ax: Axes, value: float, label: str, *, color: str = WARN, below: bool = False, left: bool = False) -> None:
    """Draw a limit across the whole axis and write what it is at its right end, or its left one."""
    ax.axhline(value, color=color, linestyle=(0, (4, 2)), linewidth=1.1)
    ax.annotate(
        label, (0.01 if left else 0.99, value), xycoords=("axes fraction", "data"), xytext=(0, -2 if below else 2),
        textcoords="offset points", ha="left" if left else "right", va="top" if below else "bottom", fontsize=7.5, color=color,
        bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.7, "pad": 0.5},
    )  # fmt: skip


def envelope(values: Array, columns: int = COLUMNS) -> tuple[NDArray[np.int64], Array, Array]:
    """Return where each of at most ``columns`` blocks starts, and its least and greatest value.

    Parameters
    ----------
    values : (t,) array
        A signal; nothing of its peaks is lost.
    columns : int
        Greatest number of blocks.

    Examples
    --------
    >>> start, low, high = envelope(np.array([0.0, 3.0, -1.0, 2.0]), columns=2)
    >>> low.tolist(), high.tolist()
    ([0.0, -1.0], [3.0, 2.0])
    """
    count = len(values)
    blocks = max(min(columns, count), 1)
    start = np.arange(blocks, dtype=np.int64) * count // blocks
    return start, np.minimum.reduceat(values, start), np.maximum.reduceat(values, start)


def thinned(x: Array, y: Array, columns: int = COLUMNS) -> tuple[Array, Array]:
    """Return a line of at most two points a column, its least and greatest in the order in which they come; a short one as it is.

    Parameters
    ----------
    x, y : (t,) array
    columns : int

    Examples
    --------
    >>> x, y = thinned(np.arange(6.0), np.array([0.0, 5.0, 1.0, 2.0, -3.0, 4.0]), columns=2)
    >>> x.tolist(), y.tolist()
    ([0.0, 1.0, 4.0, 5.0], [0.0, 5.0, -3.0, 4.0])
    """
    count = len(y)
    if count <= 2 * columns:
        return x, y
    size = -(-count // columns)
    blocks = np.pad(y, (0, -count % size), mode="edge").reshape(-1, size)
    ends = np.sort(np.stack([blocks.argmin(axis=1), blocks.argmax(axis=1)], axis=1), axis=1)
    chosen = np.minimum((ends + size * np.arange(len(blocks))[:, None]).ravel(), count - 1)
    return x[chosen], y[chosen]


def save(figure: Figure, path: Path) -> Path:
    """Write the figure as PNG and return where; a letter that the font does not have shows as a box, without a warning."""
    from matplotlib import rc_context  # noqa: PLC0415 - only where pictures are wanted

    with light_ticks(figure), rc_context(QUICK), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from", category=UserWarning)
        figure.savefig(path, dpi=DPI, format="png", facecolor="white", pil_kwargs={"compress_level": 1})
    return path
