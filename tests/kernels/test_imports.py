"""What a kernel file may import: numpy, numba, math, typing and other kernel files. Its package's head alone may find its cache."""

import ast
from pathlib import Path

import pytest

import wirebloom.kernels

ALLOWED = {"numpy", "numba", "math", "typing", "wirebloom.kernels"}
FILES = sorted(path for path in Path(wirebloom.kernels.__file__).parent.glob("*.py") if path.name != "__init__.py")


def imported(tree):
    """Modules named by every import of a file, wherever it stands."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield ("." * node.level) + (node.module or "")


def allowed(module):
    return any(module == name or module.startswith(f"{name}.") for name in ALLOWED)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_kernel_imports_nothing_else(path):
    assert [module for module in imported(ast.parse(path.read_text(encoding="utf-8"))) if not allowed(module)] == []


def test_the_check_would_notice():
    lines = ("import scipy.linalg", "def f():", "    from wirebloom.rig import load", "    from . import loop", "    from numpy import pi")
    tree = ast.parse("\n".join(lines))
    assert [module for module in imported(tree) if not allowed(module)] == ["scipy.linalg", "wirebloom.rig", "."]


def test_there_are_kernels():
    assert {"loop", "circuit", "contact", "modes", "spline", "pack"} <= {path.stem for path in FILES}
