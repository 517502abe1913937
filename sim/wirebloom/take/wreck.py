"""An HDF5 file of which parts may be missing: opened all the same, and read as far as it goes.

A file that was cut off is laid out to its full length with zeros, so that the library opens it; whatever lies beyond its true end
then counts as lost, and so does what the library cannot read.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

import h5py
import numpy as np
from numpy.typing import NDArray

from wirebloom.errors import FileError
from wirebloom.take.attributes import ContentError, fault
from wirebloom.take.columns import Arrays
from wirebloom.take.contents import Table, Variable
from wirebloom.take.scales import read_group

T = TypeVar("T")
BROKEN = (ContentError, OSError, RuntimeError, KeyError, ValueError, TypeError, AttributeError, MemoryError)  # what damage comes as
# Superblock of the HDF5 file format specification, versions 2 and 3: signature, version at byte 8, end of the file at byte 28.
SIGNATURE, VERSION_AT, VERSIONS, END_AT = b"\x89HDF\r\n\x1a\n", 8, (2, 3), 28
LONGEST = 1 << 40  # bytes: a length beyond that is damage itself


class Wreck:
    """What is left of a file.

    Parameters
    ----------
    file : h5py.File
    size, due : int
        Bytes that are truly there, and that should be.
    """

    def __init__(self, file: h5py.File, size: int, due: int) -> None:
        self.file, self.size, self.due = file, size, due
        self.notices: list[str] = []

    def attempt(self, read: Callable[[], T], instead: T, notice: str) -> T:
        """Return what can be read, or something instead, with a notice (none if it is empty)."""
        try:
            return read()
        except BROKEN:
            if notice:
                self.notices.append(notice)
            return instead

    def has(self, path: str) -> bool:
        """Whether there is anything of this name, readable or not."""
        return self.attempt(lambda: path in self.file, True, "")

    def whole(self, group: str, table: Table) -> Arrays:
        """Return the variables of a group; ContentError and whatever the library raises unless all of them are there to their ends."""
        found = self.file[group]
        for name in table:
            dataset = found.get(name)
            if isinstance(dataset, h5py.Dataset) and self.rows(dataset) < (dataset.shape[0] if dataset.shape else 1):
                raise fault(f"/{group}/{name}", "in the file to its end", "a part of it")
        return read_group(found, table)

    def part(self, group: str, name: str, variable: Variable, sizes: dict[str, int]) -> NDArray[Any]:
        """Return the first rows of a variable, as many as there are; a number that is not finite reads as 0.

        Raises
        ------
        ContentError and whatever the library raises
            If nothing of it can be read, or a size is less than that of its dimension.
        """
        dataset = self.file[group][name]
        due = [sizes[dim] for dim in variable.dims[1:]]
        if len(dataset.shape) != len(due) + 1 or any(there < size for there, size in zip(dataset.shape[1:], due, strict=True)):
            raise fault(f"/{group}/{name}", f"of the sizes {due}", dataset.shape)
        rows = np.asarray(dataset[(slice(self.rows(dataset)), *map(slice, due))])
        wrong = ~np.isfinite(rows)
        if wrong.any():
            self.notices.append(f"{int(wrong.sum())} numbers of {name} are damaged and read as 0.")
            rows[wrong] = 0.0
        return rows

    def rows(self, dataset: h5py.Dataset) -> int:
        """Return how many rows of a variable lie before the true end of the file."""
        count, start = int(dataset.shape[0]) if dataset.shape else 1, dataset.id.get_offset()
        if start is None or count == 0:
            return count
        return int(np.clip((self.size - start) * count // max(dataset.id.get_storage_size(), 1), 0, count))


@contextmanager
def opened(path: Path) -> Iterator[Wreck]:
    """Open a damaged file.

    Raises
    ------
    FileError
        If there is nothing that the library could read.
    """
    with tempfile.TemporaryFile() as copy:
        try:
            size, due = _lay_out(path, copy)
            file = h5py.File(copy, "r")
        except BROKEN as problem:
            raise FileError(f"{path} must be the file of a take, whole or in part; instead received one that cannot be read.") from problem
        with file:
            yield Wreck(file, size, due)


def _lay_out(path: Path, copy: Any) -> tuple[int, int]:
    """Copy a file, filled with zeros up to the length that it should have; return its true length and that one."""
    with path.open("rb") as source:
        shutil.copyfileobj(source, copy)
    size = copy.tell()
    copy.seek(0)
    start = copy.read(END_AT + 8)
    due = int.from_bytes(start[END_AT:], "little")
    if start[: len(SIGNATURE)] != SIGNATURE or start[VERSION_AT] not in VERSIONS or due > LONGEST:
        raise OSError("no such file format")
    copy.truncate(max(size, due))
    copy.seek(0)
    return int(size), due
