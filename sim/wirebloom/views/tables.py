"""A table in words, for whoever sets it: a page, a terminal, a sheet of paper."""

from __future__ import annotations

from typing import NamedTuple

NOTHING = "–"  # stands in a cell for what a take does not say


class Table(NamedTuple):
    """A table of texts.

    Attributes
    ----------
    title : str
    columns : tuple of str
        Heads of the columns, units with them.
    rows : tuple of tuple of str
        Each as long as `columns`; the first cell names its row.
    note : str
        What holds for the whole table; empty for none.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""
