"""Every scenario that comes with the package has a page that can be sent by mail."""

import pytest

from pages import page
from wirebloom.rig.shipped import shipped_scenarios
from wirebloom.take.measures import measure
from wirebloom.views.report import report
from wirebloom.views.verdict import headline
from wirebloom.workbench.making import run

MOST = 8_000_000  # bytes


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(shipped_scenarios()))
def test_its_page_is_whole_and_small(name):
    take = run(name, band=False)
    text = report({name: take})
    assert len(text.encode("utf-8")) < MOST
    found = page(text)
    assert found.one("main").all("p")[0].text == headline(take, measure(take))
    assert len(found.all("audio")) == 3
    assert len(found.all("svg")) >= 9
    assert len(found.of("id", "take1-build").text) > 0
