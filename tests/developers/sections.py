"""Sections of DEVELOPERS.md that are printed: what stands between `<!-- name -->` and `<!-- /name -->`."""

import re
from collections.abc import Callable
from pathlib import Path

from developers.scenario_keys import scenario_tables
from developers.summary_words import summary_table
from developers.symbols import packed_table, symbol_table
from developers.take_variables import attribute_table, variable_table

ROOT = Path(__file__).resolve().parents[2]
DEVELOPERS, README = ROOT / "DEVELOPERS.md", ROOT / "README.md"

PRINTED: dict[str, Callable[[], str]] = {
    "symbols": symbol_table,
    "packed": packed_table,
    "scenario": scenario_tables,
    "attributes": attribute_table,
    "variables": variable_table,
    "summary": summary_table,
}


def section(text: str, name: str) -> str:
    """What stands between the markers of a section."""
    found = re.search(rf"<!-- {name} -->\n(.*?)\n?<!-- /{name} -->", text, re.DOTALL)
    if found is None:
        raise ValueError(f"DEVELOPERS.md must hold the section {name}; instead received none.")
    return found[1]


def rewritten(text: str) -> str:
    """The document with every printed section as the code has it now."""
    for name, made in PRINTED.items():
        section(text, name)
        before, _, rest = text.partition(f"<!-- {name} -->\n")
        _, _, behind = rest.partition(f"<!-- /{name} -->")
        text = f"{before}<!-- {name} -->\n{made()}\n<!-- /{name} -->{behind}"
    return text
