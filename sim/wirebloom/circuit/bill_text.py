"""A bill of materials as a plain text table that fits a terminal and a sheet of paper."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator, Sequence

from wirebloom.circuit.bill import Item

HEADS = ("mark", "no.", "part", "value", "must bear")
WIDTHS = (4, 3, 25, 25, 15)  # characters of a column; more goes on a further line
GAP = "  "
WIDE = sum(WIDTHS) + len(GAP) * (len(WIDTHS) - 1)
INDENT = " " * (WIDTHS[0] + WIDTHS[1] + 2 * len(GAP))


def bill_text(title: str, items: Sequence[Item], notes: Sequence[str] = ()) -> str:
    """The table, with a headline above it and notes below.

    Parameters
    ----------
    title : str
    items : sequence of Item
    notes : sequence of str
        Cautions, and what the table leaves open.

    Returns
    -------
    str
        No line is longer than 80 characters.
    """
    rule = GAP.join("-" * width for width in WIDTHS)
    rows = [line for item in items for line in _lines(item)]
    below = [line for note in notes for line in textwrap.wrap(note, WIDE, initial_indent="- ", subsequent_indent="  ")]
    head = [*textwrap.wrap(f"{title}: bill of materials", WIDE), "", *_row(HEADS), rule]
    return "\n".join([*head, *rows, "", *below]) + "\n"


def _lines(item: Item) -> Iterator[str]:
    """An item's row, and below it what it does."""
    yield from _row((item.marks, str(item.quantity), item.what, _value(item), item.bears))
    yield from _wrapped(item.purpose, WIDE, INDENT)


def _value(item: Item) -> str:
    """The value, and the preferred one where that is another."""
    return f"{item.value}; sold: {item.nearest}" if "%" in item.nearest else item.value


def _row(cells: Sequence[str]) -> Iterator[str]:
    folded = [_wrapped(cell, width) or [""] for cell, width in zip(cells, WIDTHS, strict=True)]
    for k in range(max(len(cell) for cell in folded)):
        parts = [cell[k] if k < len(cell) else "" for cell in folded]
        yield GAP.join(part.ljust(width) for part, width in zip(parts, WIDTHS, strict=True)).rstrip()


def _wrapped(text: str, width: int, indent: str = "") -> list[str]:
    """Lines that never part a number from its unit."""
    bound = re.sub(r"(?<=\d) (?=[A-Za-z%°])", "\N{NO-BREAK SPACE}", text)
    return [
        line.replace("\N{NO-BREAK SPACE}", " ") for line in textwrap.wrap(bound, width, initial_indent=indent, subsequent_indent=indent)
    ]
