"""Sheets ↔ columns: one array for each field of all strings, poles or loops."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from wirebloom.take.contents import Table, Variable

Arrays = dict[str, NDArray[Any]]
Row = TypeVar("Row")


def to_columns(rows: Sequence[object], table: Table) -> Arrays:
    """Return the fields of all rows as arrays; rows of different length are filled up.

    Parameters
    ----------
    rows : sequence of StringSheet, PoleSheet or LoopSheet
    table : dict
        Of their fields.
    """
    return {name: _filled([getattr(row, name) for row in rows], variable) for name, variable in table.items()}


def _filled(values: Sequence[Any], variable: Variable) -> NDArray[Any]:
    kind: Any = object if variable.text else np.float64
    cells = [np.asarray(value, dtype=kind) for value in values]
    sizes = [max((cell.shape[axis] for cell in cells), default=0) for axis in range(len(variable.dims) - 1)]
    column: NDArray[Any] = np.full((len(cells), *sizes), "" if variable.text else 0.0, dtype=kind)
    for row, cell in enumerate(cells):
        place: Any = (row, *(slice(size) for size in cell.shape))
        column[place] = cell[()]
    return column


def to_rows(kind: type[Row], columns: Arrays, table: Table, partials: Sequence[int] | NDArray[Any] | None = None) -> tuple[Row, ...]:
    """Return the rows that `to_columns` was given.

    Parameters
    ----------
    kind : type
        StringSheet, PoleSheet or LoopSheet.
    columns : dict
    table : dict
        Of its fields.
    partials : sequence of int, optional
        Number of partials of every row, if any field goes along the partials.
    """
    count = next(iter(columns.values())).shape[0]
    ends = [0] * count if partials is None else [int(end) for end in partials]
    return tuple(kind(**{name: _cell(columns[name][row], table[name], ends[row]) for name in table}) for row in range(count))


def _cell(value: Any, variable: Variable, end: int) -> Any:
    along = len(variable.dims) > 1
    if variable.text:
        return tuple(word for word in value if word) if along else value
    return value[..., :end].copy() if along else float(value)
