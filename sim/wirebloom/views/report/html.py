"""The page itself: templates filled in, everything a user wrote escaped, style and sounds and figures inside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from wirebloom.errors import FileError
from wirebloom.views.report.sections import page_of
from wirebloom.views.report.shown import visible

if TYPE_CHECKING:
    from wirebloom.take.take import Take
    from wirebloom.views.body import Body

HERE = Path(__file__).parent


def report(takes: Mapping[str, Take], *, notices: Mapping[str, Sequence[str]] | None = None, body: Body | None = None) -> str:
    """Return a page on one take, or on several beside one another.

    The same takes give the same page, wherever they come from.

    Parameters
    ----------
    takes : mapping of str to Take
        What each is called, and the take.
    notices : mapping of str to sequence of str, optional
        What is to be said first of a take that is not whole.
    body : Body, optional
        Through which the bridge is heard as well.

    Returns
    -------
    str
        HTML that needs no network, no script and no other file.

    Raises
    ------
    ValueError
        If there is no take.
    """
    if not takes:
        raise ValueError("takes must be one take or more; instead received none.")
    page = page_of(takes, notices or {}, body)
    style = Markup((HERE / "style.css").read_text(encoding="utf-8"))  # the package's own file
    return templates().get_template("report.html.j2").render(page=page, style=style, version=version("wirebloom"))


def write_report(
    takes: Mapping[str, Take], path: Path, *, notices: Mapping[str, Sequence[str]] | None = None, body: Body | None = None
) -> Path:
    """Write the page that :func:`report` returns, and return where; FileError if that cannot be written."""
    page = report(takes, notices=notices, body=body)
    try:
        path.write_text(page, encoding="utf-8", newline="\n")
    except OSError as problem:
        raise FileError(f"{path} must be a file that can be written; instead received: {problem.strerror or problem}.") from problem
    return path


@cache
def templates() -> Environment:
    """Return the templates, which escape all that is filled in."""
    return Environment(
        loader=FileSystemLoader(HERE / "templates"), autoescape=True, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True,
        undefined=StrictUndefined, finalize=_shown,
    )  # fmt: skip


def _shown(value: Any) -> Any:
    """Make visible what a user wrote; markup is the page's own."""
    return visible(value) if type(value) is str else value
