"""What a notebook shows: verdict, player and picture instead of a dump of arrays; hostile words stay words; others' figures stay theirs."""

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from IPython.core.formatters import DisplayFormatter

import wirebloom as wb
from synthetic import synthetic_take
from wirebloom.views.verdict import headline
from wirebloom.workbench import notebook

TAKE = synthetic_take()
HOSTILE = "<script>alert(1)</script>\"'&\u202e$x$" + "w" * 300
EMPTY = {"meta", "br", "img", "hr", "input", "path", "use", "link"}


class Shell:
    """As much of a running IPython as matters."""

    def __init__(self):
        self.display_formatter = DisplayFormatter()
        self.display_formatter.active_types = ["text/plain", "text/html"]


@pytest.fixture(scope="module")
def shown():
    """What a notebook would show of a thing, by kind of text."""
    shell = Shell()
    assert notebook.register(shell)
    return lambda thing: shell.display_formatter.format(thing)[0]


class Tags(HTMLParser):
    """Counts tags and sees to it that each is closed in its turn."""

    def __init__(self, page):
        super().__init__()
        self.found, self.open = [], []
        self.feed(page)
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.found.append(tag)
        if tag not in EMPTY:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.found.append(tag)

    def handle_endtag(self, tag):
        if tag not in EMPTY:
            assert self.open.pop() == tag


def words(page):
    return re.sub(r"<[^>]+>", "", page)


def test_a_take_shows_its_verdict_a_player_and_a_figure(shown):
    page = shown(TAKE)["text/html"]
    tags = Tags(page).found
    assert (tags.count("audio"), tags.count("svg"), tags.count("details")) == (1, 1, 1)
    assert headline(TAKE, wb.measure(TAKE)) in words(page)
    assert "Start at low volume" in page
    assert all(line in page for line in (*TAKE.sheet.limits, *TAKE.sheet.cautions))
    assert shown(TAKE)["text/plain"] == f"Synthetic, 2 s: {headline(TAKE, wb.measure(TAKE))}"


@pytest.mark.parametrize("duration", [0.0, 0.01])
def test_a_take_of_nothing_shows_what_there_is(shown, duration):
    page = shown(synthetic_take(duration=duration))["text/html"]
    assert "too short a time to tell" in words(page)
    Tags(page)


def test_a_comparison_shows_every_take_side_by_side(shown):
    both = wb.compare(near=TAKE, far=synthetic_take(touch=1.0))
    tags, page = Tags(shown(both)["text/html"]).found, shown(both)["text/html"]
    assert tags.count("audio") == 2
    assert tags.count("svg") == 1
    assert {"near", "far", "clearance", "first touch"} <= set(re.findall(r">([^<>]+)<", page))
    assert [line.partition(":")[0] for line in shown(both)["text/plain"].splitlines()] == ["near", "far"]


def test_a_check_a_setup_and_a_clip_show_themselves(shown):
    setup = wb.load("first_note", "heads.sense.gap=1.2 mm")
    page = shown(setup)["text/html"]
    assert "gap 1.20 mm" in page
    assert "Changed: heads.sense.gap=1.2 mm" in page
    check = shown(wb.check(setup))
    assert Tags(check["text/html"]).found.count("svg") == 1
    assert check["text/plain"].startswith("First note: It starts")
    clip = wb.audio.clip(TAKE, "drive")
    assert Tags(shown(clip)["text/html"]).found.count("audio") == 1
    assert shown(clip)["text/plain"].endswith("s, audio/flac")


def test_hostile_words_are_shown_and_do_nothing(shown):
    sheet = replace(TAKE.sheet, title=HOSTILE, limits=(HOSTILE,))
    hostile = replace(TAKE, sheet=sheet)
    for thing in (hostile, wb.compare(**{HOSTILE: hostile}), wb.load("first_note", f"title={HOSTILE}")):
        page = shown(thing)["text/html"]
        assert "script" not in Tags(page).found
        assert "\u202e" not in page
        assert "alert(1)" in page


def test_an_axis_of_ours_is_shown_with_its_labels_and_its_legend_inside(shown):
    ax = wb.plots.growth_bars(wb.check("first_note"))
    page = shown(ax)["text/html"]
    assert "growth rate, 1/s, over partial (number)." in words(page)
    assert ax.figure.get_tightbbox().x1 <= ax.figure.get_figwidth()
    assert "loop open" in words(page)


def test_an_axis_of_pyplot_is_left_to_pyplot(shown):
    import matplotlib.pyplot as plt

    plt.switch_backend("agg")
    figure, ax = plt.subplots()
    assert "text/html" not in shown(ax)
    plt.close(figure)


def test_without_a_notebook_nothing_is_registered():
    assert notebook.register() is False
