"""Attributes of a file or group, written and read with their type."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any

import h5py
import numpy as np
from h5py import h5a, h5s, h5t

IN_FILE, IN_MEMORY = h5t.py_create(h5py.string_dtype(), logical=True), h5t.py_create(h5py.string_dtype())  # of a text
SCALAR = h5s.create(h5s.SCALAR)
LONGEST = 60


class ContentError(ValueError):
    """What a file holds, or is to hold, is not what it should be; the sentence does not yet name the file."""


def fault(key: str, what: str, received: object) -> ContentError:
    """Return the error with the house sentence."""
    said = " ".join(str(received).split())
    return ContentError(f"{key} must be {what}; instead received {said if len(said) <= LONGEST else f'{said[: LONGEST - 1]}…'}.")


def storable(key: str, text: str) -> str:
    """Return the text if a file can hold it: no zero character, nothing that UTF-8 lacks.

    Raises
    ------
    ContentError
        If it cannot.
    """
    try:
        text.encode()
    except UnicodeEncodeError:
        raise fault(key, "text in UTF-8", repr(text)) from None
    if "\0" in text:
        raise fault(key, "text without a zero character", repr(text))
    return text


def describe(dataset: h5py.Dataset, texts: Mapping[str, str]) -> None:
    """Write texts as attributes of a dataset that has none of them yet.

    By the library's lower level, in a fifth of the time: a take has hundreds of these.
    """
    for name, text in texts.items():
        h5a.create(dataset.id, name.encode(), IN_FILE, SCALAR).write(np.array(text, dtype=h5py.string_dtype()), IN_MEMORY)


def write_attributes(group: h5py.Group, values: Mapping[str, str | float | int | Sequence[str]]) -> None:
    """Write texts, lists of texts, whole numbers and finite numbers.

    Raises
    ------
    ContentError
        If a value cannot be stored.
    """
    for name, value in values.items():
        if isinstance(value, str):
            group.attrs[name] = storable(name, value)
        elif isinstance(value, int):
            group.attrs[name] = np.int64(value)
        elif isinstance(value, float):
            if not isfinite(value):
                raise fault(name, "finite", value)
            group.attrs[name] = value
        else:
            texts = np.array([storable(name, text) for text in value], dtype=object)
            group.attrs.create(name, texts, dtype=h5py.string_dtype())


def read_text(group: h5py.Group, name: str) -> str:
    """Return an attribute that is a text; ContentError if it is not."""
    value = group.attrs.get(name)
    if not isinstance(value, str):
        raise fault(name, "a text", "nothing" if value is None else value)
    return value


def read_texts(group: h5py.Group, name: str) -> tuple[str, ...]:
    """Return an attribute that is a list of texts; ContentError if it is not."""
    value = group.attrs.get(name)
    if not isinstance(value, np.ndarray) or not all(isinstance(text, str) for text in value.flat):
        raise fault(name, "a list of texts", "nothing" if value is None else value)
    return tuple(value.flat)


def read_whole(group: h5py.Group, name: str) -> int:
    """Return an attribute that is a whole number; ContentError if it is not."""
    value = group.attrs.get(name)
    if not isinstance(value, np.integer):
        raise fault(name, "a whole number", "nothing" if value is None else value)
    return int(value)


def read_number(group: h5py.Group, name: str) -> float:
    """Return an attribute that is a finite number; ContentError if it is not."""
    value = group.attrs.get(name)
    if not isinstance(value, np.floating) or not isfinite(value):
        raise fault(name, "a finite number", "nothing" if value is None else value)
    return float(value)


def read_family(group: h5py.Group, prefix: str, read: Any) -> dict[str, Any]:
    """Return all attributes whose names begin with a prefix, by the rest of their names."""
    return {name.removeprefix(prefix): read(group, name) for name in group.attrs if name.startswith(prefix)}
