"""The pictures that go with every take, composed from the single-axis drawings of the other modules.

Each drawing is a function ``f(take, ax=None, ...)`` that returns the axis it drew into, for a notebook or a picture of
one's own. :mod:`wirebloom.views.composed` puts them together into pages; here these get their headings, their words and their files.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from wirebloom.views import composed
from wirebloom.views.approach import approach
from wirebloom.views.bloom import bloom, head_bands
from wirebloom.views.electrics import drive_current, drive_voltage, energy_accounts, ledger_residual
from wirebloom.views.findings import finding
from wirebloom.views.motion import clearance, last_periods, string_motion, string_shape
from wirebloom.views.page import Page
from wirebloom.views.partials import partial_lines, partial_map, partial_rows
from wirebloom.views.portrait import portrait
from wirebloom.views.spectrogram import spectrogram
from wirebloom.views.style import save

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from wirebloom.take.measures import Measures
    from wirebloom.take.take import Take

__all__ = [
    "FIGURES", "Page", "approach", "bloom", "clearance", "drive_current", "drive_voltage", "energy_accounts", "finding", "head_bands",
    "last_periods", "ledger_residual", "pages", "partial_lines", "partial_map", "partial_rows", "portrait", "spectrogram", "string_motion",
    "string_shape", "write_figures",
]  # fmt: skip


class Plan(NamedTuple):
    """How a page is made: its heading, its drawing, what a take must be like for it, and the signals that it must not have lost."""

    title: str
    draw: Callable[[Take], Figure]
    possible: Callable[[Take], bool]
    needs: tuple[str, ...] = ()


def _moved(take: Take) -> bool:
    return bool(take.sheet.poles) and len(take.signals.displacement) > 0


def _recorded(take: Take) -> bool:
    return len(take.frames.time) > 1


def _driven(take: Take) -> bool:
    return bool(take.sheet.loops) and len(take.signals.drive_current) > 1


CURRENTS = ("drive_voltage", "drive_current")
MOTIONS = (*CURRENTS, "displacement", "magnetic_force")
PLANS = {
    "motion": Plan("The string over its heads", composed.motion_page, _moved, ("displacement",)),
    "approach": Plan("Motion against the gap", composed.approach_page, lambda take: _recorded(take) and bool(take.sheet.poles)),
    "bloom": Plan("How it comes up over the band", composed.bloom_page, lambda take: _recorded(take) and take.band is not None),
    "partials": Plan("Level of the partials", composed.partials_page, _recorded),
    "spectrogram": Plan(
        "All that sounds at the bridge", composed.spectrogram_page, lambda take: len(take.signals.bridge_force) > 1, ("bridge_force",)
    ),
    "drive": Plan("Drive", composed.drive_page, _driven, CURRENTS),
    "portrait": Plan(
        "Does the current push while the string comes?", composed.portrait_page, lambda take: _driven(take) and _moved(take), MOTIONS
    ),
    "clearance": Plan("Clearance", composed.clearance_page, lambda take: _recorded(take) and bool(take.sheet.poles)),
    "ledger": Plan("Energy ledger", composed.ledger_page, _recorded),
    "shape": Plan(
        "Shape of the string over its last period", composed.shape_page, lambda take: len(take.shape.time) > 0 and take.duration_s > 0.0
    ),
}
FIGURES: dict[str, Callable[[Take], Figure]] = {f"{name}.png": plan.draw for name, plan in PLANS.items()}


def _possible(take: Take) -> list[str]:
    """Return the names of the pages that this take has something for; of a damaged take some."""
    return [name for name, plan in PLANS.items() if plan.possible(take) and not set(plan.needs) & set(take.lost)]


def pages(take: Take, measures: Measures) -> list[Page]:
    """Return every page that this take has something for, in the order in which a maker would look at them.

    Parameters
    ----------
    take : Take
        Complete, interrupted, or what is left of a damaged one.
    measures : Measures
        Of the same take.

    Returns
    -------
    list of Page
        Nothing is drawn before a page's own `draw` is called.
    """
    return [Page(name, PLANS[name].title, partial(PLANS[name].draw, take), finding(name, take, measures)) for name in _possible(take)]


def write_figures(take: Take, folder: Path) -> list[Path]:
    """Draw every page that this take has something for, as PNG.

    Parameters
    ----------
    take : Take
        A complete or interrupted take.
    folder : Path
        An existing folder.

    Returns
    -------
    list of Path
        The files written, in the order in which a maker would look at them.
    """
    return [save(PLANS[name].draw(take), folder / f"{name}.png") for name in _possible(take)]
