"""Arrays that took seconds to compute, kept on disk under a digest of everything they depend on."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Arrays = dict[str, NDArray[Any]]

VERSION = 1  # of the file's form; what is in it is guarded by the digest
# What a table is computed by; a test compares it with what is imported.
CODE = (
    "alone", "axisymmetric", "boundary", "bspline", "coil", "demagnetising", "eddies", "exposure", "fem", "fem_eddy", "field", "geometry",
    "grading", "head_mesh", "head_table", "image_terms", "interfaces", "laws", "newton", "nodes", "nonlinear", "reaction", "rings",
    "round_head", "steel", "sweep", "variants", "wire", "working",
)  # fmt: skip
DAMAGE = (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile, zlib.error)


def digest(inputs: Mapping[str, Any]) -> str:
    """Digest of inputs (anything JSON can write) and of the source code that turns them into a table.

    Parameters
    ----------
    inputs : mapping

    Returns
    -------
    str
        64 hexadecimal digits.
    """
    text = json.dumps(inputs, sort_keys=True, allow_nan=False)
    return hashlib.sha256((_code_digest() + text).encode()).hexdigest()


@lru_cache(maxsize=1)
def _code_digest() -> str:
    sources = (Path(__file__).with_name(f"{name}.py").read_bytes() for name in CODE)
    return hashlib.sha256(b"".join(sources)).hexdigest()


def remember(folder: Path | None, key: str, compute: Callable[[], Arrays]) -> Arrays:
    """Arrays from the cache, or computed and put there.

    A file that is damaged, of another version or of another key is computed again and replaced. A folder that cannot be
    written costs time only.

    Parameters
    ----------
    folder : Path or None
        None: compute, keep nothing.
    key : str
        From `digest`.
    compute : callable
        Returns the arrays.

    Returns
    -------
    dict of str to ndarray
    """
    if folder is None:
        return compute()
    path = folder / f"{key[:32]}.npz"
    try:
        return _read(path, key)
    except DAMAGE:
        arrays = compute()
    with contextlib.suppress(OSError):
        _write(path, key, arrays)
    return arrays


def _read(path: Path, key: str) -> Arrays:
    with path.open("rb") as stream, np.load(stream, allow_pickle=False) as file:
        if int(file["version"]) != VERSION or str(file["digest"]) != key:
            raise ValueError(f"{path.name} must be of version {VERSION} and its own digest")
        return {name: file[name] for name in file.files if name not in {"version", "digest"}}


def _write(path: Path, key: str, arrays: Arrays) -> None:
    """Write beside the final place and rename, so that no reader ever sees half a file."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=path.stem, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            np.savez(file, version=np.int64(VERSION), digest=np.str_(key), **arrays)  # type: ignore[arg-type]
        Path(temporary).replace(path)
    except OSError:
        Path(temporary).unlink(missing_ok=True)
        raise
