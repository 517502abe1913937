"""Phase portrait of the drive: its current against the velocity of the string over it.

A loop that feeds the fundamental runs along a rising diagonal: the current pushes while the string comes. At a quarter of a turn
the figure is as wide as it is high, and the current gives back in one half of the period what it gave in the other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from wirebloom.views.amounts import amount
from wirebloom.views.motion import pole_name
from wirebloom.views.phasors import drive_pole, phasors, string_of, swing
from wirebloom.views.style import FAINT, INK, dress, named, new_axis, note, stroke, threshold

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.take import Take
    from wirebloom.views.phasors import Phasor, Swing

PERIODS = 4  # drawn
MM, MA, MICRO = 1e3, 1e3, 1e6
LEGEND_ABOVE = 1.05  # inches above an axis, for its title and its legend
SMALL = 1e-4  # A: below it the current is drawn in µA


def portrait(take: Take, ax: Axes | None = None, *, loop: int = 0, pole: int | None = None, late: bool = True) -> Axes:
    """Draw the drive current about its mean against the string's velocity at a drive head, and ellipses of single partials over it.

    Parameters
    ----------
    take : Take
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    loop : int
        Index into ``take.sheet.loops``.
    pole : int, optional
        Index into ``take.sheet.poles``; by default the loop's drive head over which the string moves most.
    late : bool
        The last periods of the take, or those before the output reaches half its swing, where the loop is still linear.

    Returns
    -------
    matplotlib Axes
        The axis that was drawn into.
    """
    ax = ax or new_axis(take.sheet.title, above=LEGEND_ABOVE)
    pole = drive_pole(take, loop) if pole is None else pole
    moved = None if pole is None else swing(take, loop, pole, late=late)
    scale, unit = (MA, "mA") if moved is None or np.abs(moved.current).max() > SMALL else (MICRO, "µA")
    if pole is None or moved is None:
        when = (
            "no drive head under a string"
            if pole is None
            else "too short to tell"
            if late
            else "never below half the swing for long enough"
        )
    else:
        _draw(ax, take, moved, scale, string_of(take, pole))
        _ellipses(ax, phasors(take, loop, pole, late=late), scale)
        _reach(ax)
        _limits(ax, take, loop, scale)
        over = named(pole_name(take.sheet.poles[pole], take.sheet.poles))
        when = f"over {over}, " + ("the last periods" if late else f"below half the swing, up to {moved.until:.2f} s")
    dress(ax, x="velocity towards the head, mm/s", y=f"drive current that pulls, {unit}", title=when)
    if moved is None:
        ax.set(xticks=[], yticks=[])
    return ax


def _draw(ax: Axes, take: Take, moved: Swing, scale: float, string: int) -> None:
    """Draw the last periods."""
    count = round(PERIODS * take.audio_rate / take.sheet.strings[string].pitch_Hz)
    ax.axhline(0.0, color=FAINT, linewidth=0.8)
    ax.axvline(0.0, color=FAINT, linewidth=0.8)
    velocity, current = MM * moved.velocity[-count:], scale * moved.current[-count:]
    ax.plot(velocity, current, color=stroke(0).color, linewidth=1.1, alpha=0.75, label="all together")


def _ellipses(ax: Axes, found: list[Phasor], scale: float) -> None:
    """Draw what each of these partials would run through by itself, with a mark where its velocity is greatest."""
    turn = np.linspace(0.0, 2.0 * np.pi, 121)
    for place, one in enumerate(found, start=1):
        velocity, current = MM * one.velocity, scale * one.current
        look: dict[str, Any] = {"color": stroke(place).color, "marker": stroke(place).marker, "markevery": (0, len(turn)), "markersize": 5}
        style = stroke(place).linestyle
        ax.plot(velocity * np.cos(turn), current * np.cos(turn + one.ahead), linestyle=style, linewidth=1.6, label=words(one), **look)
    ax.legend(fontsize=7, loc="lower left", bbox_to_anchor=(-0.03, 1.08), frameon=False, handlelength=3.2, labelcolor=INK)


def _reach(ax: Axes) -> None:
    """Let both axes reach as far to either side, so that a rising diagonal is one."""
    drawn = [line for line in ax.get_lines() if np.size(line.get_xdata()) > 2]
    for bound, part in ((ax.set_xlim, 0), (ax.set_ylim, 1)):
        most = 1.15 * max(1e-9, *(float(np.abs(line.get_data()[part]).max()) for line in drawn))
        bound(-most, most)


def words(one: Phasor) -> str:
    """Return how a partial is fed."""
    degrees = round(np.degrees(one.ahead))
    ahead = "in step" if degrees == 0 else f"{abs(degrees)}° {'ahead' if degrees > 0 else 'behind'}"
    share = f"{100.0 * abs(one.feeds):.0f} % of it {'feeds' if one.feeds >= 0.0 else 'brakes'}"
    return f"partial {one.partial}: current {ahead}, {share}"


def _limits(ax: Axes, take: Take, loop: int, scale: float) -> None:
    """Draw what the swing pushes through the circuit's resistance by itself; far outside, only say where it is."""
    sheet = take.sheet.loops[loop]
    bound = max(abs(sheet.swing_low_V), abs(sheet.swing_high_V)) / sheet.drive_resistance_ohm
    if scale * bound > 3.0 * ax.get_ylim()[1]:
        note(ax, f"swing / resistance ±{amount(bound, 'A')}: far outside", y=0.03)
        return
    reach = max(1.25 * scale * bound, ax.get_ylim()[1])
    ax.set_ylim(-reach, reach)
    threshold(ax, scale * bound, f"swing / resistance {amount(bound, 'A')}", color=FAINT, left=True)
    threshold(ax, -scale * bound, f"−{amount(bound, 'A')}", color=FAINT, below=True)
