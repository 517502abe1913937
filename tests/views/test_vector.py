"""Figures as SVG: well-formed, spoken, text as text, the same bytes every time, several in one page.

Derived from XML 1.0 (W3C): an id is unique in its document; what points to one by `#` must find it.
"""

import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import matplotlib as mpl
import numpy as np
import pytest

from bands import banded
from synthetic import synthetic_take
from wirebloom.take.measures import measure
from wirebloom.views.figures import PLANS, pages
from wirebloom.views.style import dress, panels
from wirebloom.views.vector import svg

SVG, HREF = "{http://www.w3.org/2000/svg}", "{http://www.w3.org/1999/xlink}href"
HOSTILE = '<script>alert(\'x\')</script> & "q" id="figure_1" url(#a) \\frac{$ \u05d0\u05d1\u202e ' + "w" * 300


def figure(title="", points=50):
    """A line with markers, clipped to its axis."""
    drawn, axes = panels(1, 1, height=1.5, title=title)
    axes[0, 0].plot(np.linspace(0.0, 1.0, points), np.sin(np.arange(points)), marker="o")
    dress(axes[0, 0], x="time, s", y="level, dB")
    return drawn


def ids(element):
    """Every id within."""
    return [one.get("id") for one in element.iter() if one.get("id")]


def pointed(element):
    """Every id that something within points to."""
    found = set()
    for one in element.iter():
        found |= {value.removeprefix("#") for value in (one.get(HREF), one.get("href")) if value and value.startswith("#")}
        found |= {name for value in one.attrib.values() for name in re.findall(r"url\(#([^)]*)\)", value)}
        found |= set((one.get("aria-labelledby") or "").split())
    return found


def words(element):
    """All text that is drawn."""
    return [one.text for one in element.iter(f"{SVG}text")]


@pytest.fixture(scope="module")
def all_pages():
    take = banded(synthetic_take(strings=2, touch=0.5, duration=1.0))
    return {
        page.name: (page, ElementTree.fromstring(svg(page.draw(), title=page.title, description=page.finding)))
        for page in pages(take, measure(take))
    }


def test_every_page_can_be_read_aloud(all_pages):
    assert list(all_pages) == list(PLANS)
    for page, element in all_pages.values():
        assert element.tag == f"{SVG}svg"
        assert element.get("role") == "img"
        title, description = list(element)[:2]
        assert (title.tag, title.text) == (f"{SVG}title", page.title)
        assert (description.tag, description.text) == (f"{SVG}desc", page.finding)
        assert element.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"


def test_several_stand_in_one_page_and_everything_pointed_to_is_there(all_pages):
    together = [name for _, element in all_pages.values() for name in ids(element)]
    assert len(together) == len(set(together))
    for _, element in all_pages.values():
        assert pointed(element) == set(ids(element))


def test_nothing_reaches_out_of_the_element(all_pages):
    """A style sheet within would dress everything else in the page; an address would be looked up."""
    for _, element in all_pages.values():
        assert not list(element.iter(f"{SVG}style"))
        assert not list(element.iter(f"{SVG}metadata"))
        links = [one.get(HREF) or "" for one in element.iter()]
        assert all(link == "" or link.startswith(("#", "data:image/png;base64,")) for link in links)


def test_text_stays_text(all_pages):
    _, element = all_pages["drive"]
    assert {"amplifier output, V", "drive current, mA", "time from the end, ms", "supply 9 V"} <= set(words(element))
    assert "10⁻⁸" in words(all_pages["ledger"][1])  # a formula would fall apart into its letters


def test_it_has_the_figures_proportions_and_no_size():
    drawn = figure()
    element = ElementTree.fromstring(svg(drawn, title="a", description="b"))
    width, height = drawn.get_size_inches()
    box = [float(number) for number in element.get("viewBox").split()]
    assert box == pytest.approx([0.0, 0.0, 72.0 * width, 72.0 * height])
    assert element.get("width") is element.get("height") is None


def test_hostile_text_shows_as_text_and_breaks_nothing():
    drawn = figure(HOSTILE)
    element = ElementTree.fromstring(svg(drawn, title=HOSTILE, description=HOSTILE + "\x00\x1b\ud800"))
    assert next(element.iter(f"{SVG}title")).text == HOSTILE
    assert next(element.iter(f"{SVG}desc")).text == HOSTILE + "\ufffd" * 3
    shown = next(text for text in words(element) if text.startswith("<script>"))
    assert shown.startswith('<script>alert(\'x\')</script> & "q" id="figure_1" url(#a) \\frac{$ \u05d0\u05d1 ')
    assert len(shown) == 90
    assert pointed(element) <= set(ids(element))


def test_the_same_figure_gives_the_same_bytes_also_after_others_and_elsewhere():
    first = svg(figure("a"), title="a", description="b")
    figure("another")
    assert svg(figure("a"), title="a", description="b") == first
    here = Path(__file__).parent
    code = (
        f"import sys; sys.path[:0] = [{str(here)!r}, {str(here.parent)!r}]\n"
        "from test_vector import figure, svg\n"
        "sys.stdout.write(svg(figure('a'), title='a', description='b'))"
    )
    elsewhere = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, encoding="utf-8")
    assert elsewhere.stdout == first


def test_other_words_give_other_ids_and_a_prefix_is_kept():
    prefixes = {svg(figure(), title=title, description="b").split('aria-labelledby="')[1].split("-")[0] for title in ("a", "c")}
    assert len(prefixes) == 2
    own = ElementTree.fromstring(svg(figure(), title="a", description="b", prefix="take-2"))
    assert all(name.startswith("take-2-") for name in ids(own))


def test_the_settings_of_whoever_calls_stay():
    before = dict(mpl.rcParams)
    svg(figure(), title="a", description="b")
    assert dict(mpl.rcParams) == before


def test_paths_are_written_to_a_hundredth_of_a_point():
    element = ElementTree.fromstring(svg(figure(), title="a", description="b"))
    assert not any(re.search(r"\.\d{3}", path.get("d")) for path in element.iter(f"{SVG}path"))


def test_pages_of_a_long_take_stay_small():
    """Twenty seconds of noise in every partial and a touch: nothing in it is smooth."""
    take = synthetic_take(duration=20.0, touch=0.5)
    rng = np.random.default_rng(8)
    take.frames.amplitude[...] = 1e-5 * rng.random(take.frames.amplitude.shape)
    take.signals.bridge_force[...] += rng.normal(size=take.signals.bridge_force.shape).astype(np.float32)
    take.signals.displacement[...] += 1e-4 * rng.normal(size=take.signals.displacement.shape).astype(np.float32)
    sizes = {page.name: len(svg(page.draw(), title=page.title, description=page.finding)) for page in pages(take, measure(take))}
    assert max(sizes.values()) < 700_000, sizes
    assert sum(sizes.values()) < 2_500_000, sizes
