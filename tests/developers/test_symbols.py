"""The table of compiled symbols against the code: who is said to make a symbol makes it, who is said to read it reads it."""

import ast

import pytest

from developers.sections import DEVELOPERS, section
from developers.symbols import MADE, PACKAGE, Symbol, fields, symbols, tree


def cells(row):
    return [cell.strip() for cell in row.strip().strip("|").split(" | ")]


def rows(name):
    """Rows of a printed table of the document, by their first cell."""
    body = section(DEVELOPERS.read_text(encoding="utf-8"), name).splitlines()[2:]
    return {cells(row)[0].strip("`"): cells(row)[1:] for row in body}


@pytest.mark.parametrize(("name", "module"), [("symbols", "kernels/layout"), ("packed", "kernels/pack")])
def test_every_field_stands_there_with_its_comment(name, module):
    """A field that was added, renamed or given another shape or unit, and not written down."""
    written = rows(name)
    due = {f"{owner}.{field}": note for owner, entries in fields(module).items() for field, note in entries}
    assert list(written) == list(due)
    assert {key: row[0] for key, row in written.items()} == due


def test_every_field_says_what_it_is():
    """A comment without a shape or a unit: only those that hold other tuples may do without."""
    owners = set(fields("kernels/layout"))
    bare = [s for s in symbols() if not s.note.startswith("(") and s.note not in owners and not s.note.startswith(("h, s", "over "))]
    assert not bare


def gives(call: ast.Call, symbol: Symbol) -> bool:
    """Whether a call of the tuple's constructor gives the field: by keyword, by position or with all others."""
    place = [name for name, _ in fields("kernels/layout")[symbol.owner]].index(symbol.name)
    words = [keyword.arg for keyword in call.keywords]
    starred = any(isinstance(one, ast.Starred) for one in call.args)
    return symbol.name in words or None in words or starred or place < len(call.args)


@pytest.mark.parametrize("symbol", symbols(), ids=lambda s: f"{s.owner}.{s.name}")
def test_made_and_read_where_it_says(symbol):
    calls = [node for node in ast.walk(tree(symbol.producer)) if isinstance(node, ast.Call) and ast.unparse(node.func) == symbol.owner]
    assert any(gives(call, symbol) for call in calls), f"{symbol.producer} makes no {symbol.owner}.{symbol.name}"
    for consumer in symbol.consumers:
        assert {symbol.name, f"{symbol.name}s"} & mentioned(consumer), f"{consumer} does not read {symbol.owner}.{symbol.name}"


def mentioned(module):
    """Names, attributes and texts in a module's code; comments and docstrings do not count."""
    found = set()
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.Attribute):
            found.add(node.attr)
        elif isinstance(node, ast.Name):
            found.add(node.id)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            found.add(node.value)
    return found


def test_all_makers_are_there():
    assert set(MADE) == set(fields("kernels/layout"))
    assert all((PACKAGE / f"{module}.py").is_file() for s in symbols() for module in (s.producer, *s.consumers))
