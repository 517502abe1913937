"""The API reference is printed from the docstrings without a warning, and every public name stands in it."""

import re

import pytest

pdoc = pytest.importorskip("pdoc")

import wirebloom as wb  # noqa: E402
from developers.reference import MODULES, write  # noqa: E402


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    """Warnings are errors here as in every test."""
    folder = tmp_path_factory.mktemp("reference")
    return {path.relative_to(folder).as_posix(): path.read_text(encoding="utf-8") for path in write(folder)}


def test_every_module_of_the_list_has_its_page(pages):
    wanted = {f"{name.replace('.', '/')}.html" for name in MODULES if not name.startswith("!")}
    assert wanted <= set(pages)
    assert not [page for page in pages if page.startswith("wirebloom/run")]


def test_every_public_name_is_told_of(pages):
    told = set(re.findall(r'<section id="(\w+)"', pages["wirebloom.html"]))
    modules = {"audio", "errors", "plots"}
    assert set(wb.__all__) - modules <= told
    for module in ("audio", "plots"):
        page = pages[f"wirebloom/workbench/{module}.html"]
        assert {name for name in getattr(wb, module).__all__ if f'<section id="{name}"' not in page} == set()


def test_parameters_stand_in_lists_and_not_as_text(pages):
    """Docstrings of another form would be printed as they are, underlined headings and all."""
    said = {name: re.sub(r"<(style|script).*?</\1>", "", page, flags=re.DOTALL) for name, page in pages.items()}
    assert not [name for name, page in said.items() if re.search(r"-{6,}\s*(?:<|$)", page)]
