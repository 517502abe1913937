"""Force factor over the gap, with the range that the string's motion covers once it has settled."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.views.style import BESIDE, STROKES, WARN, dress, legend_beside, line_style, new_axis, note, plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.check import Check

MM, MILLI = 1e3, 1e3


def factor_over_gap(check: Check, ax: Axes | None = None, *, pole: int = 0) -> Axes:
    """Draw a head's force factor over the gap, its band, the gap at rest, and the range of the motion.

    Parameters
    ----------
    check : Check
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    pole : int
        Index into ``check.curves``.

    Returns
    -------
    matplotlib Axes
        The axis that was drawn into.
    """
    ax = ax or new_axis(check.title, right=BESIDE)
    curve = check.curves[pole]
    gap, factor = MM * curve.gap_m, MILLI * curve.factor_N_per_A
    if curve.reach_m is not None:
        low, high = MM * curve.reach_m[0], MM * curve.reach_m[1]
        inside = np.linspace(max(low, gap[0]), min(max(high, gap[0]), gap[-1]), 60)
        ax.axvspan(low, high, color=STROKES[1].color, alpha=0.12, linewidth=0.0, label="range of its motion")
        ax.plot(inside, np.interp(inside, gap, factor), color=STROKES[1].color, linewidth=4.5, alpha=0.7, solid_capstyle="butt")
    least, most = MILLI * curve.low_N_per_A, MILLI * curve.high_N_per_A
    ax.fill_between(gap, least, most, color=STROKES[0].color, alpha=0.15, linewidth=0.0, label="what may be")
    ax.plot(gap, factor, label="as computed", **line_style(0, gap.size))
    rest = MM * max(0.0, curve.rest_gap_m)
    ax.axvline(rest, color=WARN, linestyle=":", linewidth=1.2, label=f"at rest, {rest:.2f} mm")
    role = "" if curve.role in curve.head else f" ({curve.role})"
    title = f"{plain(curve.head)}{role} under {plain(curve.string)}"
    dress(ax, x="gap, mm", y="force factor, mN/A", title=title if curve.reach_m else f"{title}; it settles at no motion that is known")
    furthest = max(2.0, 1.6 * rest, 1.15 * MM * (curve.reach_m[1] if curve.reach_m else 0.0))
    ax.set_xlim(0.0, min(furthest, gap[-1]))
    ax.set_ylim(0.0, 1.08 * max(float(most.max()), 1e-3))
    if not factor.any():
        note(ax, "no magnets: none at any gap")
    legend_beside(ax)
    return ax
