"""The sign table as a picture along the string: each partial's shape, the heads under it, and whether the loop feeds it there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.take.check_signs import NODE
from wirebloom.views.style import FAINT, INK, STROKES, dress, new_axis, note, plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.check import Check
    from wirebloom.take.check_signs import LoopSigns, SignHead

SHOWN = 12  # partials
HEIGHT = 0.38  # of a row's height that a shape takes to either side
COLORS = {1: STROKES[1].color, -1: STROKES[2].color, 0: FAINT}
LINES = {1: "-", -1: (0, (5, 2)), 0: (0, (1, 1.5))}
MARKS = {"sense": "^", "drive": "s"}


def places(check: Check, ax: Axes | None = None, *, pair: int = 0) -> Axes:
    """Draw the shapes of the first partials, one a row, with the heads of a loop: full where these places feed, dashed where they damp.

    Parameters
    ----------
    check : Check
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    pair : int
        Index into ``check.signs.loops``.

    Returns
    -------
    matplotlib Axes
        The axis that was drawn into.
    """
    ax = ax or new_axis(check.title)
    signs = check.signs.loops[pair]
    x = np.linspace(0.0, 1.0, 400)
    count = min(SHOWN, signs.frequency_Hz.size)
    for n in range(count):
        sign = int(signs.sign[n]) * (1 if signs.polarity == "normal" else -1)
        shape = np.sin((n + 1) * np.pi * x)
        ax.plot(x, n + 1 + HEIGHT * shape, color=COLORS[sign], linestyle=LINES[sign], linewidth=1.3)
        for head in signs.heads:
            _meet(ax, signs, head, n, COLORS[sign])
        word = {1: "fed", -1: "damped", 0: "neither"}[sign]
        ax.annotate(
            f"{word}, {_signed(signs.share[0, n])}", (1.015, n + 1), xycoords=("axes fraction", "data"), fontsize=8,
            va="center", color=COLORS[sign], annotation_clip=False,
        )  # fmt: skip
    _heads(ax, signs)
    title = f"{plain(signs.loop)} on {plain(signs.string)}: what its places do as wired ({signs.polarity} polarity); right: φs φd"
    dress(ax, x="along the string from the bridge end, share of its length", y="partial (number)", title=title)
    ax.grid(visible=False)
    ax.set_xlim(0.0, 1.0)
    ax.set_ylim(0.4, count + 2.0)
    ax.set_yticks(range(1, count + 1))
    return ax


def _signed(share: float) -> str:
    return f"{share:+.2f}".replace("-", "−") if abs(share) >= 0.005 else "0.00"


def _meet(ax: Axes, signs: LoopSigns, head: SignHead, n: int, color: str) -> None:
    """Mark where a head meets a partial: filled where it moves one way, open where the other, a dot at a node."""
    at, weight = head.position_m / signs.length_m, float(head.weight[n]) * (1.0 if head.factor_N_per_A >= 0.0 else -1.0)
    own = float(head.weight[n])
    if abs(own) < NODE:
        ax.plot([at], [n + 1], ".", color=INK, markersize=4, zorder=5)
        return
    face = color if weight > 0.0 else "white"
    ax.plot([at], [n + 1 + HEIGHT * own], MARKS[head.role], color=color, markerfacecolor=face, markersize=6, zorder=5)


def _heads(ax: Axes, signs: LoopSigns) -> None:
    """Name the heads at the top, along their lines."""
    if not signs.heads:
        note(ax, "no head of this loop")
    for head in signs.heads:
        at = head.position_m / signs.length_m
        ax.axvline(at, color="#c9ced6", linewidth=0.9, zorder=0)
        ax.annotate(
            plain(head.head), (at, 1.0), xycoords=("data", "axes fraction"), xytext=(3, -1), textcoords="offset points",
            fontsize=7.5, color=INK, va="top", rotation=90,
        )  # fmt: skip
