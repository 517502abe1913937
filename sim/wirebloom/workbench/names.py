"""What results are called: after their scenario, and told apart where two are called the same."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

TAKE = "take.h5"


def short_name(source: str | Path) -> str:
    """Return what results of this scenario or take are called: the file's stem, or its folder's name for a ``take.h5``.

    Examples
    --------
    >>> short_name("rigs/mine.toml"), short_name("outputs/first_note/take.h5")
    ('mine', 'first_note')
    """
    path = Path(source)
    return path.resolve().parent.name if path.name == TAKE else path.stem


def told_apart(names: Iterable[str]) -> list[str]:
    """Return the names; a second one of the same name gets a number.

    Examples
    --------
    >>> told_apart(["pier", "pier", "bench"])
    ['pier', 'pier-2', 'bench']
    """
    found: list[str] = []
    for wanted in names:
        name, number = wanted, 2
        while name in found:
            name, number = f"{wanted}-{number}", number + 1
        found.append(name)
    return found
