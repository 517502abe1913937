"""The page as a whole: what stands in it and in which order, what a screen reader gets, and that it needs nothing but itself."""

import re
from dataclasses import replace
from itertools import pairwise

import pytest

from bands import banded
from pages import page
from synthetic import Tone, synthetic_take
from wirebloom.errors import FileError
from wirebloom.take.measures import measure
from wirebloom.take.store import load, save
from wirebloom.views.report import report, write_report
from wirebloom.views.verdict import headline

STORY = 'format = 1\ntitle = "Pier"\nstory = """\nWhat is asked.\n"""\n'
MOST = 8_000_000  # bytes
IN_ORDER = [
    "Verdict", "The rig, drawn to scale", "Listen", "Figures", "Tables", "Build sheet", "What the model leaves out here", "Take care",
    "Scenario", "Where it comes from",
]  # fmt: skip


@pytest.fixture(scope="module")
def take():
    return replace(banded(synthetic_take(touch=1.2)), scenario=STORY, overrides=("heads.sense.gap=1.2 mm",))


@pytest.fixture(scope="module")
def takes(take):
    return {"near": take, "far": synthetic_take((Tone(final=0.1e-3),), strings=2, duration=1.0), "mute": synthetic_take((), duration=0.5)}


@pytest.fixture(scope="module")
def written(take):
    return report({"near": take})


@pytest.fixture(scope="module")
def single(written):
    return page(written)


@pytest.fixture(scope="module")
def several(takes):
    return page(report(takes))


@pytest.fixture(params=["single", "several"])
def either(request):
    return request.getfixturevalue(request.param)


def test_the_verdict_comes_first_and_the_rest_in_order(single, take):
    main = single.one("main")
    assert [heading.text for heading in main.all("h2")] == IN_ORDER
    assert main.all("p")[0].text == headline(take, measure(take))
    assert single.one("h1").text == take.sheet.title
    assert "What is asked." in single.one("header").text


def test_several_takes_are_compared_before_each_is_told_of(several, takes):
    headings = [heading.text for heading in several.one("main").all("h2")]
    assert headings == ["Side by side", "Listen", "Figures side by side", *takes]
    assert several.one("h1").text == "near beside far beside mute"
    assert [term.text for term in several.all("dt")] == list(takes)
    assert [said.text for said in several.all("dd")] == [headline(take, measure(take)) for take in takes.values()]
    for article in several.all("article"):
        assert [heading.text for heading in article.all("h3")] == [name for name in IN_ORDER if name != "Listen"]


def test_headings_descend_one_by_one(either):
    levels = [int(heading.name[1]) for heading in either.all("h1", "h2", "h3", "h4", "h5", "h6")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_landmarks_and_the_way_past_them(either):
    assert either.one("html").attributes["lang"] == "en"
    for landmark in ("header", "nav", "main", "footer"):
        either.one(landmark)
    first = either.one("body").all("a")[0]
    assert first.attributes["href"] == f"#{either.one('main').attributes['id']}"


def test_every_anchor_leads_somewhere_and_no_id_stands_twice(either):
    ids = [element.attributes["id"] for element in either.all() if "id" in element.attributes]
    assert len(ids) == len(set(ids))
    for element in either.all():
        for key in ("href", "xlink:href"):
            if element.attributes.get(key, "").startswith("#"):
                assert element.attributes[key][1:] in ids
        for key in ("aria-labelledby", "aria-describedby"):
            assert set(element.attributes.get(key, "").split()) <= set(ids)
        for pointed in re.findall(r"url\(#([^)]*)\)", " ".join(element.attributes.values())):
            assert pointed in ids


def test_nothing_is_fetched(written, either):
    for element in either.all():
        for key in ("src", "href", "xlink:href", "action", "data", "poster", "srcset"):
            assert re.match(r"(#|data:|$)", element.attributes.get(key, "")), (element.name, element.attributes[key][:80])
    assert either.all("script", "link", "iframe", "object", "embed", "form", "base") == []
    assert "@import" not in written
    assert not re.search(r"url\((?!#|data:)", written)
    policy = either.of("http-equiv", "Content-Security-Policy").attributes["content"]
    assert policy.startswith("default-src 'none';")


def test_every_drawing_says_what_it_shows(either):
    drawings = either.all("svg")
    assert len(drawings) >= 8
    for drawing in drawings:
        assert drawing.attributes["role"] == "img"
        title, finding = drawing.all("title")[0].text, drawing.all("desc")[0].text
        assert title
        assert finding.endswith(".")
        assert len(finding.split()) > 4
    captions = [figure.one("figcaption").text for figure in either.all("figure") if figure.attributes.get("class") == "drawing"]
    assert all(drawing.all("desc")[0].text in caption for drawing, caption in zip(drawings, captions, strict=True))


def test_text_of_figures_stays_text(single):
    words = {text.text for drawing in single.all("svg") for text in drawing.all("text")}
    assert {"time, s", "face"} <= words


def test_tables_have_captions_scopes_and_full_rows(either):
    for table in either.all("table"):
        assert table.one("caption").text
        heads = table.one("thead").all("th", "td")
        assert all(head.attributes.get("scope") == "col" for head in heads if head.name == "th")
        for row in table.one("tbody").all("tr"):
            assert row.inside[0].attributes["scope"] == "row"
            assert len(row.inside) == len(heads)


def test_what_scrolls_can_be_reached_by_keys_and_has_a_name(either):
    for element in either.all():
        if {"paper", "wide", "scenario"} & set(element.attributes.get("class", "").split()):
            assert element.attributes["tabindex"] == "0"
            assert element.attributes["aria-label"]


def test_players_have_names_and_controls(single, several, takes):
    for audio in (*single.all("audio"), *several.all("audio")):
        assert "controls" in audio.attributes
        assert "autoplay" not in audio.attributes
        assert audio.attributes["aria-label"]
    assert len(single.all("audio")) == 3
    said = [audio.attributes["aria-label"] for audio in several.all("audio")]
    assert len(set(said)) == len(said) == 3 * len(takes)
    assert "Start at low volume" in single.one("main").text


def test_limits_cautions_scenario_and_origin_are_there(single, take):
    text = single.one("main").text
    for said in (*take.sheet.limits, *take.sheet.cautions, take.sheet.digest, *take.overrides):
        assert said in text
    assert "".join(single.one("pre").pieces) == take.scenario


def test_a_take_without_cautions_gets_general_ones(take):
    bare = page(report({"near": replace(take, sheet=replace(take.sheet, cautions=()))}))
    assert "Local codes come first" in bare.of("class", "cautions").text


def test_the_same_take_gives_the_same_bytes_from_memory_and_from_disk(take, written, tmp_path):
    save(take, tmp_path / "take.h5")
    path = write_report({"another name": load(tmp_path / "take.h5")}, tmp_path / "report.html")
    assert path.read_bytes() == written.encode("utf-8")
    assert len(written.encode("utf-8")) < MOST


def test_print_opens_what_is_folded_and_the_dark_is_for_screens(single):
    style = single.one("style").text
    printed = style[style.index("@media print") :]
    assert "details::details-content" in printed
    assert "@media screen and (prefers-color-scheme: dark)" in style
    assert "prefers-reduced-motion" in style


@pytest.mark.parametrize("kind", [{"duration": 0.0}, {"duration": 0.01}, {"strings": 8, "duration": 0.1}, {"status": "interrupted"}])
def test_every_take_has_a_page(kind):
    found = page(report({"": synthetic_take(**kind)}))
    assert found.one("main").all("p")[0].text


def test_there_must_be_a_take():
    with pytest.raises(ValueError, match="takes must be one take or more"):
        report({})


def test_a_page_that_cannot_be_written_is_one_sentence(take, tmp_path):
    with pytest.raises(FileError, match=r"report.html must be a file that can be written; instead received: .*\."):
        write_report({"near": take}, tmp_path / "nowhere" / "report.html")
