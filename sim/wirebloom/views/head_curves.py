"""Curves of a head: force over the gap, field along the string, temperature over current."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.take.head_study import AlongSheet, HeadString, HeadStudy
from wirebloom.views.style import BESIDE, FAINT, STROKES, WARN, Array, dress, legend_beside, line_style, new_axis, note, stroke, threshold

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MM, MILLI = 1e3, 1e3
ZERO_CELSIUS = 273.15
HOTTEST = 220.0  # °C that a picture shows


def force_factor(study: HeadStudy, ax: Axes | None = None) -> Axes:
    """Draw the force factor of every string over the gap, with its band and the gap as set.

    Parameters
    ----------
    study : HeadStudy
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    """
    ax = ax or new_axis(study.title)
    for place, string in enumerate(study.strings):
        _banded(ax, place, string, MILLI * string.curve.factor_N_per_A, string.curve.factor_band_N_per_A)
    _over_gap(ax, "force factor, mN/A (mV per m/s)", "force per ampere; shaded: what may be")
    return ax


def static_pull(study: HeadStudy, ax: Axes | None = None) -> Axes:
    """Draw the static pull of every string over the gap; parameters as for :func:`force_factor`."""
    ax = ax or new_axis(study.title)
    for place, string in enumerate(study.strings):
        _banded(ax, place, string, MILLI * string.curve.pull_N, string.curve.pull_band_N)
    _over_gap(ax, "pull of the magnets, mN", "pull of the magnets, without current")
    return ax


def _banded(ax: Axes, place: int, string: HeadString, values: Array, band: tuple[Array, Array] | None) -> None:
    gap = MM * string.curve.gap_m
    shown = np.where(values > 0.0, values, np.nan)  # the scale is logarithmic
    if band is not None:
        low, high = (MILLI * end for end in band)
        ax.fill_between(gap, low, high, where=low > 0.0, color=stroke(place).color, alpha=0.18, linewidth=0.0)
    ax.plot(gap, shown, label=string.name, **line_style(place, gap.size))
    ax.axvline(MM * string.gap_m, color=stroke(place).color, linestyle=":", linewidth=0.9)


def _over_gap(ax: Axes, y: str, title: str) -> None:
    curves = [line for line in ax.get_lines() if not str(line.get_label()).startswith("_")]
    some = any(np.isfinite(np.asarray(line.get_ydata(), dtype=float)).any() for line in curves)
    ax.set_yscale("log" if some else "linear")
    dress(ax, x="gap, mm", y=y, title=f"{title}; dotted: gap as set")
    ax.set_xlim(0.0, 6.0)
    if some:
        _plain_numbers(ax)
    else:
        note(ax, "none at any gap")
    legend_beside(ax)


def _plain_numbers(ax: Axes) -> None:
    """Write 0.5, 10 and 20 on a logarithmic axis, not powers of ten."""
    from matplotlib.ticker import FuncFormatter, LogLocator  # noqa: PLC0415

    low, high = ax.get_ylim()
    ax.yaxis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0) if high < 1e3 * low else (1.0,)))
    ax.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))


def field_along(along: AlongSheet, ax: Axes | None = None, *, title: str = "") -> Axes:
    """Draw what a string meets along its axis: the magnets' field and that of 0.1 A, upwards and along the string.

    Parameters
    ----------
    along : AlongSheet
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    title : str
    """
    ax = ax or new_axis(right=BESIDE)
    curves = {
        "magnets, upwards": along.magnet_up_T, "magnets, along": along.magnet_along_T,
        "0.1 A, upwards": 0.1 * along.coil_up_T_per_A, "0.1 A, along": 0.1 * along.coil_along_T_per_A,
    }  # fmt: skip
    for place, (name, values) in enumerate(curves.items()):
        ax.plot(MM * along.x_m, MILLI * values, label=name, **line_style(place, values.size))
    dress(ax, x="along the string, mm from the head's axis", y="flux density, mT", title=title)
    ax.set_xlim(MM * along.x_m[0], MM * along.x_m[-1])
    legend_beside(ax)
    return ax


def load_along(along: AlongSheet, ax: Axes | None = None) -> Axes:
    """Draw how the force per ampere spreads along the string; parameters as for :func:`field_along`."""
    ax = ax or new_axis()
    inside = np.abs(along.load_x_m) <= along.x_m[-1]
    x, load = MM * along.load_x_m[inside], along.load_per_m[inside] / MM
    ax.fill_between(x, 0.0, load, color=STROKES[2].color, alpha=0.35, linewidth=0.0)
    ax.plot(x, load, color=STROKES[2].color, linewidth=1.3)
    dress(ax, x="along the string, mm from the head's axis", y="share of the force, 1/mm", title="where along the string the force acts")
    ax.set_xlim(MM * along.x_m[0], MM * along.x_m[-1])
    return ax


def coil_temperature(study: HeadStudy, ax: Axes | None = None) -> Axes:
    """Draw the temperature of the coil over its rms current, between little and good cooling.

    Parameters as for :func:`force_factor`; the head must have a winding.
    """
    ax = ax or new_axis(study.title, right=BESIDE)
    heat = study.heat
    if heat is None:
        note(ax, "not known for a measured head")
        return ax
    current = MILLI * heat.current_A
    hot, cool = (np.minimum(kelvin - ZERO_CELSIUS, 2.0 * HOTTEST) for kelvin in (heat.hottest_K, heat.coolest_K))
    ax.fill_between(current, cool, hot, color=STROKES[1].color, alpha=0.25, linewidth=0.0)
    ax.plot(current, hot, label="little cooling", **line_style(1, current.size))
    ax.plot(current, cool, label="good cooling", **line_style(0, current.size))
    threshold(ax, heat.touch_K - ZERO_CELSIUS, f"{heat.touch_K - ZERO_CELSIUS:.0f} °C: the most for a hand", color=FAINT)
    threshold(ax, heat.enamel_K - ZERO_CELSIUS, f"{heat.enamel_K - ZERO_CELSIUS:.0f} °C: the most for its enamel")
    if heat.magnet_K is not None and heat.magnet_K < heat.enamel_K:
        threshold(ax, heat.magnet_K - ZERO_CELSIUS, f"{heat.magnet_K - ZERO_CELSIUS:.0f} °C: the most for its magnets")
    _mark_drive(ax, study)
    dress(ax, x="steady current, mA rms", y="temperature of the coil, °C", title="how warm the coil gets")
    ax.set_xlim(0.0, float(current[-1]))
    ax.set_ylim(0.0, HOTTEST)
    legend_beside(ax)
    return ax


def _mark_drive(ax: Axes, study: HeadStudy) -> None:
    heat = study.heat
    if heat is None or heat.drive_A is None:
        return
    if heat.drive_A > heat.current_A[-1]:
        note(ax, f"its amplifier can send up to {MILLI * heat.drive_A:.0f} mA", y=0.04)
        return
    ax.axvline(MILLI * heat.drive_A, color=WARN, linestyle=":", linewidth=1.2)
    ax.annotate(
        "most its amplifier can send", (MILLI * heat.drive_A, 0.97), xycoords=("data", "axes fraction"), xytext=(-3, 0),
        textcoords="offset points", rotation=90, ha="right", va="top", fontsize=7.5, color=WARN,
    )  # fmt: skip
