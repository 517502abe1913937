"""Every compiled symbol: name, shape, unit and meaning as its comment has them, who makes it and who reads it."""

import ast
import re
from functools import cache
from pathlib import Path
from typing import NamedTuple

PACKAGE = Path(__file__).resolve().parents[2] / "sim" / "wirebloom"

PACK = ("kernels/pack",)
LEDGER = ("kernels/pack", "kernels/ledger")
ACCOUNTS = ("kernels/pack", "run/accounts")
READ_BACK = ("kernels/pack", "kernels/ledger", "run/accounts")

# Class: where its tuple is made; who reads its fields unless told otherwise below.
MADE = {
    "Strings": "compile/strings",
    "Rotation": "compile/propagators",
    "Poles": "compile/poles",
    "Tables": "compile/poles",
    "Contacts": "compile/poles",
    "Dampers": "compile/outside",
    "Drivers": "compile/outside",
    "Coils": "compile/circuits",
    "Cores": "compile/circuits",
    "Network": "circuit/nodal",
    "Stages": "compile/electronics",
    "Model": "compile/model",
    "State": "compile/rest",
    "Inputs": "run/inputs",
    "Record": "run/recorder",
}
USED = {
    "Strings": LEDGER,
    "Rotation": LEDGER,
    "Network": ("kernels/folding",),
    "Model": PACK,
    "State": ACCOUNTS,
    "Inputs": ("kernels/loop",),
    "Record": ("kernels/loop", "run/recorder"),
}
USED_BY_FIELD = {
    "Strings.bridge": PACK,
    "Strings.frequency": ("compile/model", "kernels/ledger", "run/accounts"),
    "Strings.decay": ("compile/model",),
    "Poles.first": LEDGER,
    "Poles.gap": (*PACK, "compile/rest", "run/accounts"),
    "Poles.offset": (*PACK, "compile/rest"),
    "Poles.weight": (*LEDGER, "compile/rest"),
    "Contacts.pole": (*PACK, "run/summed"),
    "Coils.inductance": LEDGER,
    **{f"Network.{field}": ("kernels/folding", "kernels/pack") for field in ("rate", "voltage", "high", "low")},
    "Network.inertia": ("kernels/ledger",),
    "Stages.loop": ("circuit/steady",),
    "Cores.circuit": LEDGER,
    "Cores.inductance": LEDGER,
    "Cores.share": (*LEDGER, "compile/rest"),
    "Model.step": (*PACK, "run/simulate", "run/accounts"),
    "Model.strings": READ_BACK,
    "Model.ahead": ("kernels/loop",),
    "Model.back": ("kernels/ledger", "run/accounts", "run/simulate"),
    "Model.poles": (*READ_BACK, "compile/rest"),
    "Model.contacts": (*PACK, "run/summed"),
    "Model.coils": LEDGER,
    "Model.cores": (*LEDGER, "compile/rest"),
    "Model.network": ("kernels/folding", "kernels/pack", "kernels/ledger", "compile/rest"),
    "Model.stages": ("kernels/folding", "kernels/pack", "compile/rest"),
    "State.q": (*READ_BACK, "kernels/loop", "run/simulate"),
    "State.v": (*READ_BACK, "kernels/loop", "run/simulate"),
    "State.flux": LEDGER,
    "State.eddy": LEDGER,
    "State.x": LEDGER,
    "State.output": PACK,
    "State.envelope": PACK,
    "State.draw": PACK,
    "State.drawn": ACCOUNTS,
    "State.core_heat": PACK,
    "State.products": PACK,
    "State.recent": PACK,
    "State.contact": LEDGER,
    "State.clock": (*ACCOUNTS, "run/simulate"),
    "Record.displacement": ("kernels/loop", "run/recorder", "run/accounts"),
    "Record.force": ("kernels/loop", "run/recorder", "run/accounts"),
    "Record.contact": ("kernels/loop", "run/recorder", "run/accounts"),
}


class Symbol(NamedTuple):
    owner: str
    name: str
    note: str  # shape, unit, meaning
    producer: str
    consumers: tuple[str, ...]


@cache
def tree(module: str) -> ast.Module:
    """Syntax of a module named as rooms are, ``kernels/pack``."""
    return ast.parse((PACKAGE / f"{module}.py").read_text(encoding="utf-8"))


def fields(module: str) -> dict[str, list[tuple[str, str]]]:
    """Fields of every named tuple of a module, each with its comment or, without one, its type."""
    lines = (PACKAGE / f"{module}.py").read_text(encoding="utf-8").splitlines()
    found: dict[str, list[tuple[str, str]]] = {}
    for node in tree(module).body:
        if isinstance(node, ast.ClassDef) and any(ast.unparse(base) == "NamedTuple" for base in node.bases):
            entries = [entry for entry in node.body if isinstance(entry, ast.AnnAssign)]
            found[node.name] = [(ast.unparse(entry.target), _note(entry, lines)) for entry in entries]
    return found


def _note(entry: ast.AnnAssign, lines: list[str]) -> str:
    comment = re.search(r"  # (.*)$", lines[entry.lineno - 1])
    return comment[1] if comment else ast.unparse(entry.annotation)


def symbols() -> list[Symbol]:
    """All of `kernels/layout.py`, in its order."""
    found = []
    for owner, entries in fields("kernels/layout").items():
        for name, note in entries:
            consumers = USED_BY_FIELD.get(f"{owner}.{name}", USED.get(owner, PACK))
            found.append(Symbol(owner, name, note, MADE[owner], consumers))
    return found


def symbol_table() -> str:
    rows = [f"| `{s.owner}.{s.name}` | {s.note} | {s.producer} | {', '.join(s.consumers)} |" for s in symbols()]
    return "\n".join(["| name | shape, unit and meaning | made in | read in |", "|---|---|---|---|", *rows])


def packed_table() -> str:
    rows = [f"| `{owner}.{name}` | {note} |" for owner, entries in fields("kernels/pack").items() for name, note in entries]
    return "\n".join(["| name | shape, unit and meaning |", "|---|---|", *rows])
