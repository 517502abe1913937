"""A string in slow motion as a file: GIF, or MP4 where ffmpeg is installed."""

from __future__ import annotations

import shutil
import subprocess
import uuid
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from wirebloom.errors import FileError
from wirebloom.rig.sentences import sentence
from wirebloom.views.film import Film, film
from wirebloom.views.motion_files import Picture, write_gif, write_mp4
from wirebloom.views.orbit import enlargement
from wirebloom.views.stage import Stage, caption, make_stage, move

if TYPE_CHECKING:
    from wirebloom.take.take import Take


class Made(NamedTuple):
    """An animation that was written, and what must be said with it."""

    path: Path
    film: Film
    exaggeration: float
    sideways: float  # how much larger than that sideways motion is drawn
    caption: str


def animate(
    take: Take, path: Path | str, *, at: float | None = None, string: int | str = 0, periods: int = 1, slow: float | None = None
) -> Path:
    """Write a string's motion as an animation: its shape, its orbit at the head, and the drive.

    Parameters
    ----------
    take : Take
    path : Path or str
        Ending in ``.gif``, or in ``.mp4`` where ffmpeg is installed; a file that is there is replaced.
    at : float, optional
        Moment of the take at which to begin, s; the last whole periods by default.
    string : int or str
        Index or name.
    periods : int
        Whole periods to show, 1 to 8.
    slow : float, optional
        How many times slower to play; by default a period takes about two seconds.

    Returns
    -------
    Path
        The file: the same bytes for the same take on the same machine.

    Raises
    ------
    ScenarioError
        If a moment, a string, a number of periods or a slow-down is not one that can be shown.
    FileError
        If the take holds no motion, or the file cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> import wirebloom as wb
    >>> take = wb.run("first_note", duration="0.1 s", band=False)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     wb.animate(take, f"{folder}/pier.gif", at=0.05, slow=200.0).name
    'pier.gif'
    """
    return write_film(take, film(take, at=at, string=string, periods=periods, slow=slow), Path(path)).path


def write_film(take: Take, shown: Film, path: Path) -> Made:
    """Draw a film into a file, beside its final place and then renamed.

    Raises
    ------
    FileError
        If its ending is another one, ffmpeg is missing for an MP4, or it cannot be written.
    """
    write = writer_for(path)
    made = make_stage(take, shown)
    part = path.with_name(f".{uuid.uuid4().hex}{path.suffix}")
    try:
        write(pictures(made, shown), shown, part)
        part.replace(path)
    except (OSError, subprocess.CalledProcessError) as problem:
        why = problem.strerror if isinstance(problem, OSError) else "ffmpeg could not make it"
        raise FileError(sentence(f"{path}", "a file that can be written", f"the answer '{why or 'no reason'}'")) from problem
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)
    return Made(path, shown, made.exaggeration, enlargement(made.path), caption(shown, made.exaggeration))


def writer_for(path: Path) -> Callable[[Iterator[Picture], Film, Path], None]:
    """Return what writes a file of this ending.

    Raises
    ------
    FileError
        If it is another one, or ffmpeg is missing.
    """
    ending = path.suffix.lower()
    if ending == ".mp4" and shutil.which("ffmpeg") is None:
        raise FileError(sentence(f"{path}", "a .gif where ffmpeg is not installed", "a .mp4"))
    if ending not in (".gif", ".mp4"):
        raise FileError(sentence(f"{path}", "a .gif or a .mp4", f"the ending '{path.suffix}'" if ending else "no ending"))
    return write_gif if ending == ".gif" else write_mp4


def pictures(made: Stage, shown: Film) -> Iterator[Picture]:
    """Draw one picture (height, width, 3) after the other: what stands still only once."""
    canvas: Any = made.figure.canvas  # that of the stage, which can keep what it drew
    canvas.draw()
    still = canvas.copy_from_bbox(made.figure.bbox)
    for picture in range(shown.moments.size):
        move(made, shown, picture)
        canvas.restore_region(still)
        for artist in made.moving.values():
            artist.axes.draw_artist(artist)
        yield np.asarray(canvas.buffer_rgba())[..., :3].copy()
