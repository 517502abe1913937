"""The three pictures of an animation: the string's shape, its orbit at the head, the drive. What moves in them is drawn anew."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from wirebloom.views.amounts import amount
from wirebloom.views.film import Film
from wirebloom.views.orbit import NONE, faces_in_view, orbit, rest_along, seen
from wirebloom.views.prefixed import Unit, read_in, round_down, times, unit_for
from wirebloom.views.style import DPI, FACE, FAINT, INK, WIDTH, Array, dress, note, plain, stroke, threshold

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from wirebloom.take.take import Take

HEIGHT = 5.0  # inches
SHAPE = (0.72, 2.0, 4.75, 2.3)  # left, bottom, width, height of the axes, inches
ORBIT = (6.2, 2.0, 1.6, 2.3)
DRIVE = (0.72, 0.52, 7.08, 0.84)
BODY = 0.3  # of the depth down to the lowest face: how much of the heads is seen
TAIL = 0.2  # of a period, drawn behind the moving point
BOUND = 0.2  # of what the amplifier can push: a smaller current is drawn without it
LEAST = 1e-9  # A or N: reach of the axis of a drive that is silent


class Stage(NamedTuple):
    """A figure, what moves in it, and where to."""

    figure: Figure
    exaggeration: float
    moving: dict[str, Any]
    curves: Array  # (m, 2, X), m
    points: Array  # (m, 2), m
    path: Array  # (k, 2), m


def make_stage(take: Take, shown: Film) -> Stage:
    """Draw what stands still, and put what moves at the film's first moment."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415 - half a second, only where pictures are wanted
    from matplotlib.figure import Figure  # noqa: PLC0415

    figure = Figure(figsize=(WIDTH, HEIGHT), dpi=DPI)
    FigureCanvasAgg(figure)
    shape, ring, drive = (
        figure.add_axes((left / WIDTH, bottom / HEIGHT, width / WIDTH, height / HEIGHT))
        for left, bottom, width, height in (SHAPE, ORBIT, DRIVE)
    )
    curves = seen_along(take, shown)
    factor = draw_shape(take, shape, shown, curves)
    orbit(take, ring, shown=shown)
    draw_drive(take, drive, shown)
    title = f"{take.sheet.title} · {take.sheet.strings[shown.string].name} in slow motion"
    for text, down, size in ((plain(title), 0.1, 11.0), (caption(shown, factor), 0.33, 8.5)):
        figure.text(0.012, 1.0 - down / HEIGHT, text, ha="left", va="top", fontsize=size, color=INK)
    made = Stage(
        figure, factor, _moving(shape, ring, drive), curves, seen(take, shown, shown.orbit), seen(take, shown, shown.path)
    )  # fmt: skip
    move(made, shown, 0)
    return made


def caption(shown: Film, factor: float) -> str:
    """Return time, slow-down and exaggeration in a line."""
    many = f"{'one period' if shown.periods == 1 else f'{shown.periods} periods'} ({amount(shown.span_s, 's')})"
    when = f"{many} after the end at" if shown.note else f"{many} from"
    more = " (all that is recorded)" if shown.note else " on"
    return f"{when} {shown.start_s:.3f} s{more}, {times(shown.slow)} × slower; heights {times(factor)} × larger than lengths"


def seen_along(take: Take, shown: Film) -> Array:
    """Return the shapes as they are drawn, (m, 2, X), m: up is away from the heads, from the straight string or from its rest."""
    curves = shown.shapes if faces_in_view(take, shown) else shown.shapes - rest_along(take, shown)
    return np.stack([-curves[:, 0], curves[:, 1]], axis=1)


def draw_shape(take: Take, ax: Axes, shown: Film, curves: Array) -> float:
    """Draw what the string sweeps, and the heads under it where they are near enough; return how much larger heights are drawn."""
    sheet, near = take.sheet.strings[shown.string], faces_in_view(take, shown)
    poles = [pole for pole in take.sheet.poles if pole.string == sheet.name]
    low, high = float(curves.min()), float(curves.max())
    factor = _set_heights(ax, sheet.length_m, min([low, *((1.0 + BODY) * -pole.gap_m for pole in poles if near)]), high)
    ax.fill_between(shown.places, curves[:, 0].min(axis=0), curves[:, 0].max(axis=0), color="#e4e7ec", linewidth=0.0)
    ax.axhline(0.0, color=FAINT, linestyle=":", linewidth=0.9)
    for pole in poles if near else ():
        _draw_head(ax, pole.position_m, pole.face_radius_m, -pole.gap_m, pole.head)
    if poles and not near:
        note(ax, f"the nearest face is {amount(min(pole.gap_m for pole in poles), 'm')} below: far off the picture", x=0.01, y=0.02)
    unit = unit_for(0.5 * float(np.ptp(ax.get_ylim())), "m")
    aside = np.ptp(curves[:, 1]) > NONE * np.ptp(curves[:, 0])
    said = "up from straight" if near else "up from its rest"
    dress(
        ax,
        x="distance from the bridge, mm",
        y=f"{said}, {unit.name}",
        title="from the side; dashed: sideways" if aside else "from the side",
    )
    read_in(ax.xaxis, Unit("mm", 1e3))
    read_in(ax.yaxis, unit)
    return factor


def _set_heights(ax: Axes, length: float, low: float, high: float) -> float:
    """Set the limits so that heights are drawn larger than lengths by a round factor; return it."""
    wide, middle = 1.04 * length, 0.5 * (low + high)
    per_inch = wide / SHAPE[2] * SHAPE[3]
    factor = round_down(per_inch / max(1.12 * (high - low), 1e-13))
    ax.set_xlim(-0.02 * length, 1.02 * length)
    ax.set_ylim(middle - 0.5 * per_inch / factor, middle + 0.5 * per_inch / factor)
    return factor


def _draw_head(ax: Axes, where: float, radius: float, face: float, name: str) -> None:
    """Draw a head from its face down, at its true width."""
    bottom = ax.get_ylim()[0]
    ax.bar(where, face - bottom, width=2.0 * radius, bottom=bottom, facecolor=FACE, edgecolor=INK, hatch="////", linewidth=0.8)
    ax.annotate(plain(name, 24), (where + radius, bottom), xytext=(3, 4), textcoords="offset points", fontsize=8, color=INK)


def draw_drive(take: Take, ax: Axes, shown: Film) -> None:
    """Draw the drive current over the film's time, with what the amplifier can push; the bridge force of a string without drive."""
    peak = reach = float(np.nan_to_num(np.abs(shown.trace)).max())
    if np.isnan(shown.trace).any():
        note(ax, "not recorded")
    ax.plot(shown.trace_s, shown.trace, color=stroke(1).color, linewidth=1.2)
    name, what = "bridge force: nothing drives this string", ("force", "N")
    if shown.loop >= 0:
        sheet, what = take.sheet.loops[shown.loop], ("current", "A")
        name = f"drive of {plain(sheet.name, 32)}"
        bound = max(abs(sheet.swing_low_V), abs(sheet.swing_high_V)) / sheet.drive_resistance_ohm
        if peak >= BOUND * bound:
            reach = max(peak, bound)
            threshold(ax, bound, f"swing / resistance {amount(bound, 'A')}", color=FAINT)
            threshold(ax, -bound, "", color=FAINT)
    ax.set_ylim(-1.5 * max(reach, LEAST), 1.5 * max(reach, LEAST))
    ax.set_xlim(0.0, shown.span_s)
    unit, time = unit_for(max(reach, LEAST), what[1]), unit_for(shown.span_s, "s")
    dress(ax, x=f"time from there on, {time.name}", y=f"{what[0]}, {unit.name}", title=name + (", a period earlier" if shown.note else ""))
    read_in(ax.xaxis, time)
    read_in(ax.yaxis, unit)
    ax.locator_params(axis="y", nbins=3)


def _moving(shape: Axes, ring: Axes, drive: Axes) -> dict[str, Any]:
    """Make the lines and points that move."""
    dark, light = stroke(0).color, stroke(1).color
    still: dict[str, Any] = {"animated": True, "zorder": 6}
    dot: dict[str, Any] = {"marker": "o", "markersize": 6, "color": light, "markeredgecolor": "white", "markeredgewidth": 0.8, **still}
    return {
        "string": shape.plot([], [], color=dark, linewidth=1.8, **still)[0],
        "sideways": shape.plot([], [], color=light, linewidth=1.0, linestyle="--", **still)[0],
        "over": shape.plot([], [], **dot)[0],
        "tail": ring.plot([], [], color=dark, linewidth=2.0, **still)[0],
        "point": ring.plot([], [], **dot)[0],
        "mark": drive.plot([], [], color=INK, linewidth=1.0, **still)[0],
        "now": drive.plot([], [], **dot)[0],
    }


def move(made: Stage, shown: Film, picture: int) -> None:
    """Move everything to one of the film's moments."""
    moving, curve, moment = made.moving, made.curves[picture], float(shown.moments[picture])
    moving["string"].set_data(shown.places, curve[0])
    if np.ptp(made.curves[:, 1]) > NONE * np.ptp(made.curves[:, 0]):
        moving["sideways"].set_data(shown.places, curve[1])
    moving["over"].set_data([shown.where_m], [np.interp(shown.where_m, shown.places, curve[0])])
    moving["point"].set_data(*made.points[picture][:, None])
    moving["mark"].set_data([moment, moment], moving["mark"].axes.get_ylim())
    moving["now"].set_data([moment], [np.interp(moment, shown.trace_s, shown.trace)])
    before = moment - np.linspace(TAIL * shown.span_s / shown.periods, 0.0, 60)
    moving["tail"].set_data(*(np.interp(before, shown.trace_s, side, period=shown.span_s) for side in made.path.T))
