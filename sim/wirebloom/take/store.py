"""The file of a take: HDF5 with dimension scales, `units` and `long_name`, so that xarray opens every group as it is.

Format, version 1
-----------------
Groups ``signals``, ``frames`` and ``shape`` hold the arrays of a take, ``sheet/strings``, ``sheet/poles`` and ``sheet/loops``
one row a string, pole and loop; `wirebloom.take.contents` lists every variable. Dimensions: time, pole, polarisation, loop,
string, partial, frame, phase, x, and sense_head, drive_head for the heads in series in a loop. Strings with fewer partials
than others are filled with 0 beyond the number in ``partials``. A group ``band``, where there is one, has what the run came to at
both ends of what is known of its heads.

Attributes of the root: ``kind`` ("wirebloom take"), ``format_version``, ``title``, ``digest``, ``scenario``, ``overrides``,
``seed``, ``status``, ``duration_s``, ``rate_Hz``, ``audio_rate_Hz``; ``version_…`` of every package, ``wall_…`` for the time it
took. Attributes of ``sheet``: ``limits``, ``cautions``.

Every number in a file is finite; a take with one that is not is refused. The structure of a file carries checksums, its
numbers do not. Arrays are stored as they are, uncompressed: on real signals compression saves two fifths and takes ten times
as long.
"""

from __future__ import annotations

import contextlib
import os
import re
import uuid
from collections.abc import Iterator
from pathlib import Path

import h5py

from wirebloom.errors import FileError
from wirebloom.take.attributes import ContentError, fault, read_text, read_whole, write_attributes
from wirebloom.take.document import read_take, write_take
from wirebloom.take.sink import Sink
from wirebloom.take.take import Take

KIND = "wirebloom take"
FORMAT_VERSION = 1
LAYOUT = ("v110", "v110")  # of the library: the first with checksums on the structure of a file, so that damage is noticed


def save(take: Take, path: str | Path) -> None:
    """Write a take to a file, in place of any that is there.

    It is written beside its final place and renamed, so that no reader ever sees half a file.

    Parameters
    ----------
    take : Take
    path : str or Path
        Its folder must exist.

    Raises
    ------
    FileError
        If the file cannot be written, or a number of the take is not finite.
    """
    target = Path(path)
    part = target.parent / f".{uuid.uuid4().hex}.part"
    try:
        with Sink(part) as sink, h5py.File(sink, "w", libver=LAYOUT) as file:
            write_attributes(file, {"kind": KIND, "format_version": FORMAT_VERSION})
            write_take(file, take)
        part.replace(target)
    except ContentError as problem:
        raise FileError(f"{path}: {problem}") from None
    except (OSError, RuntimeError) as problem:
        raise FileError(f"{path} must be a file that can be written; instead received the answer '{_reason(problem)}'.") from problem
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)


def load(path: str | Path) -> Take:
    """Read a take from a file.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    Take
        Equal to the one that was saved, to the last bit.

    Raises
    ------
    FileError
        If the file is missing, truncated, damaged, of another kind, of no version or of a newer one.
    """
    with _opened(Path(path)) as file:
        check_kind(file)
        return read_take(file)


@contextlib.contextmanager
def _opened(path: Path) -> Iterator[h5py.File]:
    """Open a file to read; whatever goes wrong in it becomes one sentence that names it."""
    if not path.is_file():
        raise FileError(f"{path} must be the file of a take; instead received {'a folder' if path.is_dir() else 'no file'}.")
    try:
        if not h5py.is_hdf5(path):
            path.open("rb").close()  # one that may not be read says so here
            raise FileError(f"{path} must be an HDF5 file; instead received one of another form.")
        with h5py.File(path, "r") as file:
            yield file
    except ContentError as problem:
        raise FileError(f"{path}: {problem}") from None
    except (OSError, RuntimeError, KeyError, ValueError, TypeError, MemoryError) as problem:
        raise FileError(f"{path} must be a whole, readable file; instead received the answer '{_reason(problem)}'.") from problem


def _reason(problem: Exception) -> str:
    """Return why, in the system's or the library's own few words."""
    if isinstance(problem, OSError) and problem.errno:
        return os.strerror(problem.errno)
    if isinstance(problem, MemoryError):
        return "not enough memory"
    inner = re.search(r"error message = '([^']+)'", str(problem)) or re.search(r"\(([a-zA-Z][^():,]+)", str(problem))
    return inner[1].strip() if inner else "damaged"


def check_kind(file: h5py.File) -> None:
    """See that a file is one of a take, of a version that this program knows; ContentError if not."""
    kind = read_text(file, "kind") if "kind" in file.attrs else "no kind"
    if kind != KIND:
        raise fault("kind", f'"{KIND}"', f'"{kind}"')
    version = read_whole(file, "format_version")
    if not 1 <= version <= FORMAT_VERSION:
        raise fault("format_version", f"1 to {FORMAT_VERSION}, as far as this program knows", version)
