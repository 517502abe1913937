"""The sheet of a rig out of a damaged file: as stored, worked out anew from the scenario, or as far as there is any of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from wirebloom.errors import WirebloomError
from wirebloom.take import contents
from wirebloom.take.attributes import fault, read_text, read_texts
from wirebloom.take.columns import to_rows
from wirebloom.take.contents import Table
from wirebloom.take.sheet import CoilSheet, LoopSheet, PoleSheet, Sheet, StringSheet, SupplySheet
from wirebloom.take.wreck import Wreck

Rebuild = Callable[[str, tuple[str, ...]], Sheet]
ANEW = "What the file said of its rig is damaged: it is worked out anew from the scenario."
PARTS: dict[str, tuple[str, type, Table, str]] = {
    "strings": ("sheet/strings", StringSheet, contents.with_partials(contents.STRINGS, "string"), ""),
    "poles": (
        "sheet/poles",
        PoleSheet,
        contents.with_partials(contents.POLES, "pole"),
        "What is known of the heads is lost, and their records with it.",
    ),
    "loops": ("sheet/loops", LoopSheet, contents.LOOPS, "What is known of the loops is lost, and their records with it."),
    "supplies": ("sheet/supplies", SupplySheet, contents.SUPPLIES, "What is known of the supplies is lost."),
    "coils": ("sheet/coils", CoilSheet, contents.COILS, "How the coils keep cool is lost."),
}
OPTIONAL = ("supplies", "coils")  # files of rigs without any have no such group


def sheet_of(wreck: Wreck, scenario: str, overrides: tuple[str, ...], rebuild: Rebuild | None) -> Sheet:
    """Return what is known of the rig of a damaged take.

    Parameters
    ----------
    wreck : Wreck
    scenario, overrides : str, tuple of str
    rebuild : callable or None
        Makes a sheet of these.

    Raises
    ------
    ContentError
        If there is nothing of the strings.
    """
    found = {name: _rows(wreck, name) for name in PARTS}
    lost = [name for name, rows in found.items() if rows is None]
    if lost and rebuild is not None:
        anew = _anew(rebuild, scenario, overrides)
        if anew is not None:
            wreck.notices.append(ANEW)
            return anew
    if found["strings"] is None or not found["strings"]:
        raise fault("sheet/strings", "there, or the scenario to work it out from", "nothing that can be read")
    wreck.notices += [PARTS[name][-1] for name in lost]
    about = wreck.file.get("sheet")
    return Sheet(
        title=wreck.attempt(lambda: read_text(wreck.file, "title"), "Untitled", "The title is lost."),
        digest=wreck.attempt(lambda: read_text(wreck.file, "digest"), "", ""),
        limits=wreck.attempt(lambda: read_texts(about, "limits"), (), "The list of the model's limits is lost."),
        cautions=wreck.attempt(lambda: read_texts(about, "cautions"), (), "The list of cautions is lost: take the usual care."),
        **{name: rows or () for name, rows in found.items()},
    )


def _rows(wreck: Wreck, name: str) -> tuple[Any, ...] | None:
    """Return the rows of one part of a sheet; None if it is lost."""
    path, kind, table, _ = PARTS[name]
    if name in OPTIONAL and not wreck.has(path):
        return ()
    columns = wreck.attempt(lambda: wreck.whole(path, table), None, "")
    own = {key: variable for key, variable in table.items() if key != contents.PARTIALS}
    return None if columns is None else wreck.attempt(lambda: to_rows(kind, columns, own, columns.get(contents.PARTIALS)), None, "")


def _anew(rebuild: Rebuild, scenario: str, overrides: tuple[str, ...]) -> Sheet | None:
    try:
        return rebuild(scenario, overrides) if scenario else None
    except WirebloomError:
        return None
