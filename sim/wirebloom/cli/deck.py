"""``wirebloom deck``: the rig as a deck for a circuit simulator, and its bill of materials."""

from __future__ import annotations

import argparse
from pathlib import Path

from wirebloom.analysis.bill import bill_notes, bill_of
from wirebloom.analysis.equivalents import deck_of
from wirebloom.circuit.bill_text import bill_text
from wirebloom.cli.answer import print_json, print_text
from wirebloom.cli.folder import claim, fresh
from wirebloom.cli.progress import progress
from wirebloom.compile import Compiled, compile_rig
from wirebloom.errors import RigError
from wirebloom.rig import Rig, load
from wirebloom.workbench.names import short_name

BILL = "bill.txt"


def command(arguments: argparse.Namespace) -> int:
    """Write deck and bill, print the bill and where they are."""
    name = short_name(arguments.scenario)
    rig, plan = load(arguments.scenario, arguments.settings)
    require_loop(rig)
    with progress(name, 0.0):
        compiled = compile_rig(rig, plan)
    folder = arguments.out or Path("outputs") / f"{name}_deck"
    texts = {f"{name}.cir": deck_of(compiled, arguments.partials), BILL: bill_text(rig.title, bill_of(compiled), bill_notes(compiled))}
    claim(folder, texts)
    with fresh(folder, texts) as written:
        for file, text in texts.items():
            (folder / file).write_text(text, encoding="utf-8", newline="\n")
            written.append(file)
    if arguments.json:
        print_json(answer(compiled, folder, written))
    else:
        print_text(texts[BILL], f"In {folder}: {', '.join(written)}")
    return 0


def answer(compiled: Compiled, folder: Path, written: list[str]) -> dict[str, object]:
    """The bill as one JSON object, with what was written."""
    items = [{key: value for key, value in item._asdict().items() if value != ""} for item in bill_of(compiled)]
    return {"title": compiled.rig.title, "items": items, "notes": bill_notes(compiled), "files": [str(folder / one) for one in written]}


def require_loop(rig: Rig) -> None:
    """Refuse a rig without electronics.

    Raises
    ------
    RigError
        If it has no loop.
    """
    if not rig.loops:
        raise RigError("loops must be given, one at least, for there to be a circuit; instead received none.")
