"""Pages composed from the single-axis drawings: one figure a page, as many rows as there are heads, strings or loops, up to six."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirebloom.views.approach import approach
from wirebloom.views.bloom import bloom, head_bands
from wirebloom.views.electrics import drive_current, drive_voltage, energy_accounts, ledger_residual
from wirebloom.views.motion import clearance, last_periods, string_motion, string_shape
from wirebloom.views.partials import partial_lines, partial_rows
from wirebloom.views.portrait import LEGEND_ABOVE, portrait
from wirebloom.views.spectrogram import SCALE_BESIDE, spectrogram
from wirebloom.views.style import APART, panels, share_x

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from wirebloom.take.take import Take

MOST = 6  # rows of a page: more would be neither readable nor quick


def _title(take: Take, what: str, shown: int = 1, present: int = 1, of: str = "") -> str:
    """Return the page's title, which says so when not everything fits on it."""
    left_out = f" ({shown} of {present} {of})" if shown < present else ""
    return f"{take.sheet.title} · {what}{left_out}"


def _nearest_poles(take: Take) -> list[int]:
    """Return the poles that fit on a page, those with the least clearance, in the order of the rig."""
    least = take.frames.least_gap.min(axis=0, initial=float("inf"))
    return sorted(sorted(range(len(least)), key=lambda pole: float(least[pole]))[:MOST])


def motion_page(take: Take) -> Figure:
    """Return the string's motion over each head, with the face drawn in: the whole take and its last periods."""
    poles = _nearest_poles(take)
    title = _title(take, "the string over its heads", len(poles), len(take.sheet.poles), "heads, the nearest")
    figure, axes = panels(len(poles), 2, height=1.75, widths=(1.9, 1.0), title=title)
    for row, pole in zip(axes, poles, strict=True):
        string_motion(take, row[0], pole=pole)
        last_periods(take, row[1], pole=pole)
    share_x(axes)
    return figure


def approach_page(take: Take) -> Figure:
    """Return how the motion over each head uses up its gap."""
    poles = _nearest_poles(take)
    title = _title(take, "motion against the gap", len(poles), len(take.sheet.poles), "heads, the nearest")
    figure, axes = panels(len(poles), 1, height=1.75, title=title, right=0.8)
    for row, pole in zip(axes, poles, strict=True):
        approach(take, row[0], pole=pole)
    share_x(axes)
    return figure


def partials_page(take: Take) -> Figure:
    """Return the level of the partials of each string over time."""
    present = len(take.sheet.strings)
    shown = min(present, MOST // 2)
    title = _title(take, "level of the partials", shown, present, "strings")
    figure, axes = panels(2 * shown, 1, height=2.9, title=title, right=0.79)
    for string in range(shown):
        partial_lines(take, axes[2 * string, 0], string=string)
        partial_rows(take, axes[2 * string + 1, 0], string=string)
    share_x(axes)
    return figure


def spectrogram_page(take: Take) -> Figure:
    """Return the spectrogram of each string with the run of its partials."""
    present = len(take.sheet.strings)
    shown = min(present, MOST // 2)
    title = _title(take, "all that sounds at the bridge", shown, present, "strings")
    figure, axes = panels(shown, 1, height=2.9, title=title, right=SCALE_BESIDE)
    for string in range(shown):
        spectrogram(take, axes[string, 0], string=string)
    share_x(axes)
    return figure


def portrait_page(take: Take) -> Figure:
    """Return drive current against string velocity for each loop, while it is linear and late."""
    present = len(take.sheet.loops)
    shown = min(present, MOST // 2)
    title = _title(take, "does the current push while the string comes?", shown, present, "loops")
    figure, axes = panels(shown, 2, height=2.4, title=title, between=1.25, above=LEGEND_ABOVE)
    for loop in range(shown):
        for column, late in enumerate((False, True)):
            portrait(take, axes[loop, column], loop=loop, late=late)
    return figure


def drive_page(take: Take) -> Figure:
    """Return drive voltage and current of each loop, early and late."""
    present = len(take.sheet.loops)
    shown = min(present, MOST // 2)
    figure, axes = panels(2 * shown, 2, height=1.55, title=_title(take, "drive", shown, present, "loops"))
    for loop in range(shown):
        for column, late in enumerate((False, True)):
            drive_voltage(take, axes[2 * loop, column], loop=loop, late=late)
            drive_current(take, axes[2 * loop + 1, column], loop=loop, late=late)
    share_x(axes)
    return figure


def clearance_page(take: Take) -> Figure:
    """Return the least gap over time at every head."""
    figure, axes = panels(1, 1, height=2.8, title=_title(take, "clearance"))
    clearance(take, axes[0, 0])
    return figure


def ledger_page(take: Take) -> Figure:
    """Return the energy ledger and its residual."""
    figure, axes = panels(2, 1, height=1.9, title=_title(take, "energy ledger"), right=0.75)
    energy_accounts(take, axes[0, 0])
    ledger_residual(take, axes[1, 0])
    share_x(axes)
    return figure


def shape_page(take: Take) -> Figure:
    """Return the shape of each string over one period, towards the heads and sideways."""
    present = len(take.sheet.strings)
    shown = min(present, MOST)
    title = _title(take, "shape of the string over its last period", shown, present, "strings")
    figure, axes = panels(shown, 2, height=1.9, widths=(1.6, 1.0), title=title)
    for string, row in enumerate(axes):
        string_shape(take, row[0], string=string)
        string_shape(take, row[1], string=string, polarisation=1)
    share_x(axes)
    return figure


def bloom_page(take: Take) -> Figure:
    """Return how each string comes up between the weak and the strong end of the band, and how wide that of each head is."""
    present = len(take.sheet.strings)
    shown = min(present, MOST // 2)
    title = _title(take, "how it comes up over the band", shown, present, "strings")
    figure, axes = panels(shown + 1, 1, height=2.0, title=title, right=0.79, between=APART)
    for string in range(shown):
        bloom(take, axes[string, 0], string=string)
    head_bands(take, axes[shown, 0])
    return figure
