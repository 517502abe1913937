"""Where the HDF5 library writes: a file that never fails in its hands."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import Self


class Sink:
    """A new file that keeps its first failure to itself until it is closed, and then raises it.

    The library crashes the whole process if the disk is full when it closes a file. So it is not told; what it writes after
    the failure goes nowhere, and the file has to be thrown away.
    """

    def __init__(self, path: Path) -> None:
        self._file = path.open("x+b")
        self._problem: BaseException | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None) -> None:
        try:
            self._file.close()
        except OSError as late:
            self._problem = self._problem or late
        if self._problem is not None:
            raise self._problem

    def seek(self, place: int, whence: int = 0) -> None:
        """Go to a place."""
        self._attempt(self._file.seek, place, whence)

    def write(self, data: memoryview) -> int:
        """Write all of a buffer, or if something failed before, nothing."""
        self._attempt(self._file.write, data)
        return len(data)

    def truncate(self, size: int) -> None:
        """Set the size of the file."""
        self._attempt(self._file.truncate, size)

    def flush(self) -> None:
        """Write what is still held back."""
        self._attempt(self._file.flush)

    def _attempt(self, act: Callable[..., object], *values: object) -> None:
        if self._problem is not None:
            return
        try:
            act(*values)
        except BaseException as problem:  # Ctrl-C too: it must not surface inside the library
            self._problem = problem

    def read(self, count: int = -1) -> bytes:
        """Read."""
        return self._file.read(count)

    def readinto(self, data: memoryview) -> int:
        """Read into a buffer."""
        return self._file.readinto(data)

    def tell(self) -> int:
        """Return the place."""
        return self._file.tell()
