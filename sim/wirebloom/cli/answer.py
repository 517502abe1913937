"""Printing the answer on stdout: text for people, one JSON object for machines."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import RenderableType


def print_json(answer: object) -> None:
    """Print one JSON object; a number that is not finite is an error here, not in the reader's program."""
    sys.stdout.write(json.dumps(answer, indent=2, ensure_ascii=False, allow_nan=False) + "\n")


def print_text(*parts: RenderableType) -> None:
    """Print paragraphs and tables: in colour on a terminal, plain text without trailing blanks into a pipe."""
    from rich.console import Console  # noqa: PLC0415 - not needed for JSON

    console = Console(highlight=False, markup=False)
    with console.capture() as captured:
        for part in parts:
            console.print(part)
    lines = captured.get().splitlines()
    sys.stdout.write("\n".join(lines if console.is_terminal else [line.rstrip() for line in lines]) + "\n")
