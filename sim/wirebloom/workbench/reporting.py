"""A take, or several, as one page to keep and to send."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from wirebloom.take.take import Take
from wirebloom.views.body import Body
from wirebloom.views.report import write_report
from wirebloom.workbench.audio import body_of
from wirebloom.workbench.comparison import Comparison, by_name


def report(takes: Take | Comparison | Mapping[str, Take], path: str | Path, *, body: Body | str | Path | None = None) -> Path:
    """Write one HTML file with verdict, drawings, players, figures, build sheet, limits and cautions; it needs nothing else.

    Parameters
    ----------
    takes : Take, Comparison, or mapping of str to Take
    path : str or Path
        Such as ``report.html``; a file that is there is replaced.
    body : Body, str or Path, optional
        Impulse response of an instrument's body, measured by its maker: the bridge is heard through it as well.

    Returns
    -------
    Path
        Where it is.

    Raises
    ------
    FileError
        If the file cannot be written, or the response cannot be used.

    Examples
    --------
    >>> import tempfile
    >>> import wirebloom as wb
    >>> take = wb.run("first_note", duration="0.5 s", band=False)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     wb.report(take, f"{folder}/report.html").stat().st_size < 8e6
    True
    """
    named = {takes.sheet.title: takes} if isinstance(takes, Take) else by_name(takes)
    return write_report(named, Path(path), body=body_of(body))
