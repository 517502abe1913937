"""Where results go: a folder that remembers what Wirebloom wrote there, and nothing of anybody else's is touched.

A later run into the same folder first removes the files of the earlier one, so that no stale picture stays beside new
data. Which files those are stands in a small list in the folder. A file that is not on the list is never replaced.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from wirebloom.errors import FileError

LIST = ".wirebloom-files"


def _earlier(folder: Path) -> list[str]:
    """Names of files that an earlier run wrote here; anything that is not a file right in this folder is passed over."""
    try:
        names = (folder / LIST).read_text(encoding="utf-8").splitlines()
    except (FileNotFoundError, UnicodeDecodeError):
        return []
    return [name for name in names if name and Path(name).name == name and (folder / name).is_file()]


@contextmanager
def _sentence(folder: Path) -> Iterator[None]:
    """Turn the operating system's refusal into one sentence."""
    try:
        yield
    except (FileExistsError, NotADirectoryError) as problem:
        raise FileError(f"--out must be a folder; instead received '{folder}', which is a file.") from problem
    except OSError as problem:
        why = problem.strerror or str(problem)
        raise FileError(f"--out must be a folder that can be written; instead received '{folder}' ({why}).") from problem


def claim(folder: Path, names: Iterable[str]) -> Path:
    """Make the folder and see, before any long work, that nothing of anybody else's stands in the way.

    Parameters
    ----------
    folder : Path
        Where the results are to go; made if missing.
    names : iterable of str
        Names of the files that will be written.

    Raises
    ------
    FileError
        If the folder cannot be written, or holds a file of one of these names that Wirebloom did not write.
    """
    with _sentence(folder):
        folder.mkdir(parents=True, exist_ok=True)
        ours = _earlier(folder)
        foreign = sorted(name for name in names if (folder / name).exists() and name not in ours)
        if foreign:
            raise FileError(
                f"--out must be a folder without other people's files of the names to be written; instead received "
                f"'{folder}', where wirebloom did not write {', '.join(foreign)}."
            )
        (folder / LIST).touch()
    return folder


@contextmanager
def fresh(folder: Path, planned: Iterable[str]) -> Iterator[list[str]]:
    """Remove what an earlier run wrote, yield a list to add the new names to, and keep that list in the folder.

    The list is kept even when the writing is cut short, so that a half-written result is replaced by the next run.

    Parameters
    ----------
    folder : Path
        A folder that :func:`claim` has passed.
    planned : iterable of str
        Names that will be written, for the list in case the writing is cut short.
    """
    written: list[str] = []
    with _sentence(folder):
        for name in _earlier(folder):
            (folder / name).unlink(missing_ok=True)
        _keep_list(folder, planned)
        try:
            yield written
        finally:
            _keep_list(folder, [*written, *(name for name in planned if (folder / name).exists())])


@contextmanager
def beside(folder: Path, names: Sequence[str]) -> Iterator[None]:
    """Write files beside what earlier commands wrote, and put them on the list: the next run into this folder takes them away.

    Parameters
    ----------
    folder : Path
        Made if missing.
    names : sequence of str
        Names that will be written.

    Raises
    ------
    FileError
        As for :func:`claim`.
    """
    claim(folder, names)
    with _sentence(folder):
        _keep_list(folder, [*_earlier(folder), *names])  # before: writing may be cut short
        yield


def _keep_list(folder: Path, names: Iterable[str]) -> None:
    (folder / LIST).write_text("".join(f"{name}\n" for name in dict.fromkeys(names)), encoding="utf-8")
