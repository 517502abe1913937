"""The drawings of a page: the rig to scale, the figures of a take, several takes overlaid; each as SVG with what it shows in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from markupsafe import Markup

from wirebloom.views.amounts import figures
from wirebloom.views.comparison import buildup_page, whole_level
from wirebloom.views.figures import pages
from wirebloom.views.head_section import head_section, section_alt
from wirebloom.views.motion import pole_name
from wirebloom.views.report.parts import Drawing
from wirebloom.views.report.shown import visible
from wirebloom.views.rig_drawing import side_alt, side_view
from wirebloom.views.vector import svg

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from wirebloom.take.measures import Measures
    from wirebloom.take.take import Take

MOST = 6  # strings, and heads, that are drawn


def drawing(figure: Figure, title: str, finding: str, prefix: str) -> Drawing:
    """Return a figure as a drawing; prefix: of all that is named in it."""
    title, finding = visible(title), visible(finding)
    return Drawing(title, finding, Markup(svg(figure, title=title, description=finding, prefix=prefix)))  # svg escapes its texts


def rig_drawings(take: Take, key: str) -> Iterator[Drawing]:
    """Yield every string from the side and a cut through every head; of many, the first strings and the heads that are nearest.

    Parameters
    ----------
    take : Take
    key : str
        In front of all that is named in a drawing.
    """
    for s, string in enumerate(take.sheet.strings[:MOST]):
        yield drawing(whole(side_view(take, string=s)), f"{string.name} from the side", side_alt(take, s), f"{key}-side{s}")
    for j in nearest(take):
        name = pole_name(take.sheet.poles[j], take.sheet.poles)
        yield drawing(whole(head_section(take, pole=j)), f"{name}, cut across the string", section_alt(take, j), f"{key}-cut{j}")


def nearest(take: Take) -> list[int]:
    """Return the heads with the least gaps, as many as are drawn, in the order of the rig."""
    least = take.frames.least_gap.min(axis=0, initial=float("inf"))
    return sorted(sorted(range(len(take.sheet.poles)), key=lambda j: float(least[j]))[:MOST])


def whole(ax: Axes) -> Figure:
    """Return the figure that an axis stands in."""
    figure = ax.get_figure(root=True)
    if figure is None:
        raise ValueError("ax must stand in a figure; instead received one that was taken out of it.")
    return figure


def figure_drawings(take: Take, measures: Measures, key: str) -> list[Drawing]:
    """Return every page of figures that this take has something for."""
    return [drawing(page.draw(), page.title, page.finding, f"{key}-{page.name}") for page in pages(take, measures)]


def overlay_drawing(takes: Mapping[str, Take], measures: Mapping[str, Measures]) -> Drawing:
    """Return the build-up and the clearance of several takes, overlaid."""
    return drawing(buildup_page(takes), "Build-up and clearance, overlaid", overlay_finding(takes, measures), "overlay")


def overlay_finding(takes: Mapping[str, Take], measures: Mapping[str, Measures]) -> str:
    """Return how the takes stand to one another at the end, and which comes nearest to a face."""
    levels = {name: float(whole_level(take)[-1]) for name, take in takes.items() if take.frames.time.size}
    if not levels:
        return "None of the takes holds a record."
    order = sorted(levels, key=lambda name: -levels[name])
    told = [f"At the end {order[0]} is the loudest at the bridge"]
    told += [f"{name} {figures(levels[order[0]] - levels[name])} dB below it" for name in order[1:]]
    gaps = {name: one.near.clearance_mm for name, one in measures.items()}
    known = {name: gap for name, gap in gaps.items() if gap is not None}
    near = f" {min(known, key=lambda name: known[name])} comes nearest to a face." if known else ""
    return f"{', '.join(told)}.{near}"
