"""Figures as SVG to stand in a page: text stays text, the same figure gives the same bytes, several can share one page.

Scalable Vector Graphics 2 (W3C) says of `role`, `title` and `desc` how they speak to a screen reader; from memory.
"""

from __future__ import annotations

import hashlib
import re
import warnings
from io import StringIO
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

from wirebloom.views.ticks import light_ticks

if TYPE_CHECKING:
    from matplotlib.figure import Figure

SETTINGS: dict[Any, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "wirebloom",  # else ids are drawn by lot
    "svg.image_inline": True,
    "font.sans-serif": ["DejaVu Sans"],  # the one whose widths the drawing has measured; a reader's own sans-serif stands in for it
    "path.simplify": True,
    "path.simplify_threshold": 0.15,  # of a point: nobody sees less
}
NOBODY = {"Creator": None, "Date": None, "Format": None, "Type": None}
BASE = "stroke-linejoin:round;stroke-linecap:butt"  # the writer's own sheet would give it to everything else in the page

TAG = re.compile(r"<[^!?>][^>]*>")
OWN_ID = re.compile(r' id="([^"]*)"')
POINTER = re.compile(r'(url\(#|xlink:href="#)([^")]*)')
SHEET = re.compile(r"<defs>\s*<style[^>]*>.*?</style>\s*</defs>\s*", re.DOTALL)
ROOT = re.compile(r'<svg [^>]*?viewBox="([^"]*)"[^>]*>')
FINER = re.compile(r"(?<=\.\d\d)\d+")  # digits beyond a hundredth of a point
PATH = re.compile(r' d="[^"]*"')
UNSPEAKABLE = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # what XML 1.0 has no way to write


def svg(figure: Figure, *, title: str, description: str, prefix: str = "") -> str:
    """Return a figure as an SVG element.

    It has no size of its own, only proportions: it fills the width that it is given.

    Parameters
    ----------
    figure : matplotlib Figure
    title : str
        What it is, spoken first by a screen reader.
    description : str
        What can be seen in it.
    prefix : str
        Begins every id in it. By default made of all that the element holds, so that only twins would share their ids.

    Returns
    -------
    str
        The element, without a head: to be put into a page as it is, or into a file.

    Examples
    --------
    >>> from wirebloom.views.style import panels
    >>> drawn = svg(panels(1, 1, height=1.0)[0], title="Level", description="It grows & stays.")
    >>> drawn.startswith("<svg "), "It grows &amp; stays." in drawn
    (True, True)
    """
    body = _written(figure)
    root = ROOT.search(body)
    inside = SHEET.sub("", body[root.end() :] if root else body)
    box = root.group(1) if root else "0 0 1 1"
    prefix = prefix or "f" + hashlib.sha256("\0".join((title, description, inside)).encode(errors="replace")).hexdigest()[:10]
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="{box}" class="figure" role="img" '
        f'aria-labelledby="{prefix}-title {prefix}-desc" style="{BASE}">\n'
        f'<title id="{prefix}-title">{_text(title)}</title>\n<desc id="{prefix}-desc">{_text(description)}</desc>\n'
    )
    return head + _own_ids(inside, prefix).strip()


def _written(figure: Figure) -> str:
    """Return what matplotlib writes."""
    from matplotlib import rc_context  # noqa: PLC0415 - only where pictures are wanted

    file = StringIO()
    with light_ticks(figure), rc_context(SETTINGS), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from", category=UserWarning)  # the reader's fonts may have it
        figure.savefig(file, format="svg", facecolor="white", metadata=NOBODY)
    return file.getvalue()


def _own_ids(body: str, prefix: str) -> str:
    """Keep the ids that something points to, and give them a prefix; what stands between tags is a user's text, and stays."""
    pointed = {match.group(2) for tag in TAG.findall(body) if "#" in tag for match in POINTER.finditer(tag)}

    def identified(found: re.Match[str]) -> str:
        return f' id="{prefix}-{found.group(1)}"' if found.group(1) in pointed else ""

    def pointing(found: re.Match[str]) -> str:
        return f"{found.group(1)}{prefix}-{found.group(2)}"

    def renamed(match: re.Match[str]) -> str:
        tag = match.group()
        tag = OWN_ID.sub(identified, tag) if " id=" in tag else tag
        tag = POINTER.sub(pointing, tag) if "#" in tag else tag
        return PATH.sub(_coarser, tag) if ' d="' in tag else tag

    return TAG.sub(renamed, body)


def _coarser(path: re.Match[str]) -> str:
    return FINER.sub("", path.group())


def _text(text: str) -> str:
    return escape(UNSPEAKABLE.sub("\ufffd", text))
