"""The pictures that go with a sheet for a head, as pages and as files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from wirebloom.take.head_study import HeadStudy
from wirebloom.views.head_curves import coil_temperature, field_along, force_factor, load_along, static_pull
from wirebloom.views.head_drawing import field_across, field_beside
from wirebloom.views.head_rest import pull_against_string, rest_over_gap, stiffness_sideways, stiffness_taken
from wirebloom.views.style import APART, panels, save

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["HEAD_FIGURES", "planned_head_figures", "write_head_figures"]

MOST = 2  # strings on a page of several rows each


def _title(study: HeadStudy, what: str, shown: int = 1, present: int = 1) -> str:
    left_out = f" ({shown} of {present} strings)" if shown < present else ""
    return f"{study.title} · head {study.head} · {what}{left_out}"


def field_page(study: HeadStudy) -> Figure:
    """Return head and string drawn to scale over the fields of magnets and coil."""
    field = study.field
    shape = 1.0 if field is None else float((field.height_m[-1] - field.height_m[0]) / (2.0 * field.radius_m[-1]))
    figure, axes = panels(1, 2, height=min(max(2.8 * shape, 2.0), 7.0), title=_title(study, "field, to scale"), right=0.94)
    field_across(study, axes[0, 0])
    field_beside(study, axes[0, 1])
    return figure


def force_page(study: HeadStudy) -> Figure:
    """Return force factor and pull over the gap."""
    figure, axes = panels(2, 1, height=2.6, title=_title(study, "force on its strings"), right=0.84, between=APART)
    force_factor(study, axes[0, 0])
    static_pull(study, axes[1, 0])
    return figure


def along_page(study: HeadStudy) -> Figure:
    """Return field and load along each string."""
    known = [string for string in study.strings if string.along is not None]
    shown = known[:MOST]
    title = _title(study, "along the string", len(shown), len(known))
    figure, axes = panels(2 * len(shown), 1, height=1.9, title=title, right=0.8, between=APART)
    for row, string in enumerate(shown):
        if string.along is not None:
            field_along(string.along, axes[2 * row, 0], title=f"{string.name}, gap {1e3 * string.gap_m:.2f} mm")
            load_along(string.along, axes[2 * row + 1, 0])
    return figure


def rest_page(study: HeadStudy) -> Figure:
    """Return where each string rests."""
    shown = study.strings[:MOST]
    title = _title(study, "where the string rests", len(shown), len(study.strings))
    drawings = [pull_against_string, rest_over_gap, stiffness_taken, stiffness_sideways]
    if study.field is None:  # of a measured head nothing sideways is known
        drawings.pop()
    figure, axes = panels(len(drawings) * len(shown), 1, height=1.8, title=title, right=0.76, between=APART)
    for row, string in enumerate(shown):
        for place, draw in enumerate(drawings):
            ax = draw(string, axes[len(drawings) * row + place, 0])
            if len(shown) > 1:
                ax.set_title(f"{string.name}: {ax.get_title(loc='left')}", fontsize=9, loc="left", y=1.0)
    return figure


def heat_page(study: HeadStudy) -> Figure:
    """Return the temperature of the coil over its current."""
    figure, axes = panels(1, 1, height=2.8, title=_title(study, "heat"), right=0.84)
    coil_temperature(study, axes[0, 0])
    return figure


HEAD_FIGURES: dict[str, Callable[[HeadStudy], Figure]] = {
    "field.png": field_page,
    "force.png": force_page,
    "rest.png": rest_page,
    "along.png": along_page,
    "heat.png": heat_page,
}


def planned_head_figures(study: HeadStudy) -> list[str]:
    """Return the names of the pages that this study has something for: a measured head has neither field nor winding."""
    empty = {"field.png", "along.png", "heat.png"} if study.field is None else set()
    return [name for name in HEAD_FIGURES if name not in empty]


def write_head_figures(study: HeadStudy, folder: Path) -> list[Path]:
    """Draw every page that this study has something for, as PNG.

    Parameters
    ----------
    study : HeadStudy
    folder : Path
        An existing folder.

    Returns
    -------
    list of Path
        The files written.
    """
    return [save(HEAD_FIGURES[name](study), folder / name) for name in planned_head_figures(study)]
