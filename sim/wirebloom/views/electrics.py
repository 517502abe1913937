"""Pictures of the drive and of where the energy goes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.take.balance import residual_share, stored_energy
from wirebloom.views.amounts import amount
from wirebloom.views.style import BESIDE, FAINT, Array, dress, legend_beside, line_style, named, new_axis, stroke, thinned, threshold

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from wirebloom.take.take import Frames, Take

MA = 1e3
MICRO = 1e6
EARLY = 0.04  # s shown at the start: the supply's ramp and the first periods
PERIODS = 4  # shown at the end
SMALLEST = 1e-8  # share of the largest account below which an account is not drawn
RESIDUAL_LIMIT = 2e-3  # of the energy stored: what the ledger promises


def _window(take: Take, late: bool) -> slice:
    """Return the samples of the early or the late close look."""
    total = len(take.signals.drive_voltage)
    lowest = min(string.pitch_Hz for string in take.sheet.strings)
    seconds = PERIODS / lowest if late else max(EARLY, PERIODS / lowest)
    count = min(max(round(seconds * take.audio_rate), 2), total)
    return slice(total - count, total) if late else slice(0, count)


def _milliseconds(take: Take, window: slice, late: bool) -> Array:
    """Return the time axis (t,) of a close look: from the start, or back from the end."""
    first = 1 + window.start - window.stop if late else 0
    times: Array = np.arange(first, first + window.stop - window.start) / take.audio_rate * 1e3
    return times


def _axis_name(late: bool) -> str:
    return "time from the end, ms" if late else "time from the start, ms"


def drive_voltage(take: Take, ax: Axes | None = None, *, loop: int = 0, late: bool = True) -> Axes:
    """Draw the amplifier's output voltage between its swing limits.

    Parameters
    ----------
    take : Take
    ax : matplotlib Axes, optional
        Where to draw; a new figure by default.
    loop : int
        Index into ``take.sheet.loops``.
    late : bool
        The last periods of the take, or its very beginning.

    Returns
    -------
    matplotlib Axes
        The axis that was drawn into.
    """
    ax = ax or new_axis(take.sheet.title)
    sheet, window = take.sheet.loops[loop], _window(take, late)
    volts = take.signals.drive_voltage[window, loop].astype(float)
    ax.plot(_milliseconds(take, window, late), volts, color=stroke(0).color, linewidth=1.2)
    high, low = sheet.bias_V + sheet.swing_high_V, sheet.bias_V + sheet.swing_low_V
    threshold(ax, high, f"upper swing limit {high:.3g} V")
    threshold(ax, low, f"lower swing limit {low:.3g} V", below=True)
    for rail, name in ((sheet.supply_V, "supply"), (0.0 if sheet.bias_V > 0.0 else -sheet.supply_V, "lower rail")):
        threshold(ax, rail, f"{name} {rail:.3g} V", color=FAINT, below=rail <= low)
    high, low = max(high, sheet.supply_V), min(low, 0.0 if sheet.bias_V > 0.0 else -sheet.supply_V)
    room = 0.18 * (high - low)
    ax.set_ylim(min(low, float(volts.min())) - room, max(high, float(volts.max())) + room)
    said = f"late: rms {amount(float(volts.std()), 'V')} about {amount(float(volts.mean()), 'V')}" if late else "early: from the start on"
    dress(ax, x=_axis_name(late), y="amplifier output, V", title=f"{named(sheet.name)}, {said}")
    return ax


def drive_current(take: Take, ax: Axes | None = None, *, loop: int = 0, late: bool = True) -> Axes:
    """Draw the current in the drive coil, and what the swing would push through the circuit's resistance by itself.

    Parameters and result as for :func:`drive_voltage`.
    """
    ax = ax or new_axis(take.sheet.title)
    sheet, window = take.sheet.loops[loop], _window(take, late)
    amperes = take.signals.drive_current[window, loop].astype(float)
    ax.plot(_milliseconds(take, window, late), amperes * MA, color=stroke(1).color, linewidth=1.2)
    bound = MA * max(abs(sheet.swing_low_V), abs(sheet.swing_high_V)) / sheet.drive_resistance_ohm
    threshold(ax, bound, f"swing / resistance {bound:.3g} mA", color=FAINT)
    threshold(ax, -bound, f"−{bound:.3g} mA", color=FAINT, below=True)
    peak = max(bound, float(np.abs(amperes).max()) * MA)
    ax.set_ylim(-1.3 * peak, 1.3 * peak)
    dress(ax, x=_axis_name(late), y="drive current, mA", title=f"rms {amount(float(np.sqrt((amperes**2).mean())), 'A')}")
    return ax


def accounts(frames: Frames) -> dict[str, Array]:
    """Return what came in, where it went and what is stored, each (f,) in J; empty accounts are left out."""
    stored = frames.string_energy.sum(axis=1) + frames.tension_energy.sum(axis=1)
    joules = {
        "from the amplifier": frames.supplied.sum(axis=1),
        "heat in drive circuit": frames.drive_heat.sum(axis=1),
        "work on the strings": frames.drive_work.sum(axis=1),
        "string damping": frames.string_loss.sum(axis=1),
        "stored in strings": stored,
        "stored elsewhere": stored_energy(frames) - stored,
        "heat in sense circuit": frames.sense_heat.sum(axis=1),
        "contact and dampers": frames.contact_loss + frames.damper_loss,
        "pluck, tap": frames.external,
    }
    return {name: joule for name, joule in joules.items() if np.abs(joule).max(initial=0.0) > 0.0}


def energy_accounts(take: Take, ax: Axes | None = None) -> Axes:
    """Draw every account of the energy ledger since the start, on a logarithmic scale.

    Parameters and result as for :func:`drive_voltage`.
    """
    ax = ax or new_axis(take.sheet.title, right=BESIDE)
    sizes = {name: np.abs(joule) * MICRO for name, joule in accounts(take.frames).items()}
    top = max((float(joule.max()) for joule in sizes.values()), default=1.0)  # µJ
    sizes = {name: joule for name, joule in sizes.items() if joule.max() > top * SMALLEST}
    for place, (name, joule) in enumerate(sizes.items()):
        seconds, shown = thinned(take.frames.time, np.maximum(joule, 1e-12))
        ax.semilogy(seconds, shown, label=name, **line_style(place, len(seconds)))
    ax.set_ylim(top * SMALLEST, top * 3.0)
    ax.set_xlim(0.0, take.duration_s)
    dress(ax, x="time, s", y="energy since the start, µJ", title="where the energy went")
    legend_beside(ax)
    return ax


def ledger_residual(take: Take, ax: Axes | None = None) -> Axes:
    """Draw the energy that the ledger cannot account for, as a share of the most stored so far, with the limit it keeps to.

    Parameters and result as for :func:`drive_voltage`.
    """
    ax = ax or new_axis(take.sheet.title)
    share = np.maximum(residual_share(take.frames), 1e-12)
    ax.semilogy(*thinned(take.frames.time, share), color=stroke(0).color, linewidth=1.2)
    threshold(ax, RESIDUAL_LIMIT, f"limit {RESIDUAL_LIMIT:g}")
    ax.set_ylim(1e-10, max(float(share.max()), RESIDUAL_LIMIT) * 8.0)
    ax.set_xlim(0.0, take.duration_s)
    dress(ax, x="time, s", y="unaccounted / stored, 1", title="what the ledger cannot account for")
    return ax
