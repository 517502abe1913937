"""Takes from and to their files."""

from __future__ import annotations

from pathlib import Path

from wirebloom.take import store
from wirebloom.take.take import Take
from wirebloom.workbench.names import TAKE

ENDING = ".h5"


def open(path: str | Path) -> Take:
    """Read a take from its file.

    Parameters
    ----------
    path : str or Path
        ``outputs/first_note/take.h5``, or the folder that ``wirebloom run`` wrote it into.

    Returns
    -------
    Take
        Equal to the one that was saved, to the last bit.

    Raises
    ------
    FileError
        If the file is missing, truncated, damaged, of another kind, of no version or of a newer one.

    Examples
    --------
    >>> import tempfile
    >>> import wirebloom as wb
    >>> take = wb.run("first_note", duration="0.1 s", band=False)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = wb.save(take, f"{folder}/take.h5")
    ...     (wb.open(folder).signals.drive_current == take.signals.drive_current).all()
    np.True_
    """
    place = Path(path)
    return store.load(place / TAKE if place.is_dir() else place)


def save(take: Take, path: str | Path) -> Path:
    """Write a take to a file, in place of any that is there, and return where it is.

    Parameters
    ----------
    take : Take
    path : str or Path
        Its folder must exist.

    Raises
    ------
    FileError
        If the file cannot be written, or a number of the take is not finite.

    Examples
    --------
    See :func:`open`.
    """
    store.save(take, path)
    return Path(path)
