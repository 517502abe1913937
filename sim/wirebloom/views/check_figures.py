"""The pictures that go with a check, as pages and as files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from wirebloom.views.check_gaps import factor_over_gap
from wirebloom.views.check_growth import gain_plane, growth_bars
from wirebloom.views.check_places import places
from wirebloom.views.style import APART, panels, save

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from wirebloom.take.check import Check

__all__ = ["CHECK_FIGURES", "planned_check_figures", "write_check_figures"]

MOST, FEW = 4, 2  # rows of a page, and of one whose rows are high


def _title(check: Check, what: str, shown: int, present: int, of: str) -> str:
    left_out = f" ({shown} of {present} {of})" if shown < present else ""
    return f"{check.title} · {what}{left_out}"


def places_page(check: Check) -> Figure:
    """Return the sign table along the string, for each loop and string."""
    present = len(check.signs.loops)
    shown = min(FEW, present)
    title = _title(check, "which partials the places feed", shown, present, "pairs")
    figure, axes = panels(shown, 1, height=4.2, title=title, right=0.84, between=APART)
    for pair in range(shown):
        places(check, axes[pair, 0], pair=pair)
    return figure


def growth_page(check: Check) -> Figure:
    """Return growth of every partial as bars."""
    present = len(check.strings)
    shown = min(MOST, present)
    title = _title(check, "growth", shown, present, "strings")
    figure, axes = panels(shown, 1, height=2.4, title=title, right=0.79, between=APART)
    for string in range(shown):
        growth_bars(check, axes[string, 0], string=string)
    return figure


def gain_page(check: Check) -> Figure:
    """Return the loop's gain in the complex plane."""
    driven = [k for k, name in enumerate(check.strings) if check.signs_of(name)]
    shown = driven[:FEW]
    title = _title(check, "loop gain", len(shown), len(driven), "strings")
    figure, axes = panels(len(shown), 1, height=3.8, title=title, right=0.8, between=APART)
    for row, string in enumerate(shown):
        ax = gain_plane(check, axes[row, 0], string=string)
        if len(shown) > 1:
            ax.set_title(f"{check.strings[string]}: {ax.get_title(loc='left')}", fontsize=9, loc="left", y=1.0)
    return figure


def gap_page(check: Check) -> Figure:
    """Return force factors over the gap with the motion's range."""
    present = len(check.curves)
    shown = min(MOST, present)
    title = _title(check, "force factor over the motion", shown, present, "heads")
    figure, axes = panels(shown, 1, height=1.9, title=title, right=0.79, between=APART)
    for pole in range(shown):
        factor_over_gap(check, axes[pole, 0], pole=pole)
    return figure


CHECK_FIGURES: dict[str, Callable[[Check], Figure]] = {
    "places.png": places_page,
    "growth.png": growth_page,
    "gain.png": gain_page,
    "factor.png": gap_page,
}


def planned_check_figures(check: Check) -> list[str]:
    """Return the names of the pages that this check has something for: without loops nothing is fed, without heads there is no factor."""
    empty = set() if check.signs.loops else {"places.png", "gain.png"}
    empty |= set() if check.curves else {"factor.png"}
    return [name for name in CHECK_FIGURES if name not in empty]


def write_check_figures(check: Check, folder: Path) -> list[Path]:
    """Draw every page that this check has something for, as PNG.

    Parameters
    ----------
    check : Check
    folder : Path
        An existing folder.

    Returns
    -------
    list of Path
        The files written.
    """
    return [save(CHECK_FIGURES[name](check), folder / name) for name in planned_check_figures(check)]
