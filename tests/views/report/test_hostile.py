"""What a user writes is shown as text, whatever it is: the page keeps its elements, and a reader sees what was written."""

from dataclasses import replace

import pytest
from markupsafe import Markup

from pages import page, shape
from synthetic import synthetic_take
from wirebloom.views.report import report, sections
from wirebloom.views.report.parts import Drawing
from wirebloom.views.report.shown import ACTING, visible

HOSTILE = {
    "script": "<script>alert('x')</script>",
    "attribute": "\" onload=alert(1) x='",
    "image": "'><img src=x onerror=alert(1)>",
    "ends": "</title></style></pre></svg></text></desc>",
    "comment": "--><!-- ]]> <![CDATA[ <?x",
    "entities": "&lt;b&gt; &amp;amp; &#60;i&#62;",
    "template": "{{ 7 * 7 }} {% raw %} {# x #}",
    "formula": r"$\frac{1}{0}$ $unclosed \alpha",
    "hebrew": "מיתר הרציף",
    "arabic": "وتر الرصيف 12",
    "turned": "pier\u202eknab\u202c",
    "controls": "bell\x07 null\x00 line\u2028end",
    "lone": "half \ud800 pair",
    "long": "rope" * 75,
    "wide": "索" * 300,
    "percent": "%s %(name)d \\u003cb\\u003e",
}
PICTURE = {
    "g", "path", "text", "tspan", "use", "defs", "clippath", "rect", "image", "title", "desc", "pattern", "lineargradient", "stop",
}  # fmt: skip


def named(text):
    """A take of which everything that a user names is named so."""
    take = synthetic_take(strings=2, duration=0.1)
    sheet = take.sheet
    renamed = {name: f"{text}{number}" for number, name in enumerate([string.name for string in sheet.strings])}
    heads = {pole.head: f"{text}{number}" for number, pole in enumerate(sheet.poles, 2)}
    loops = {loop.name: f"{text}{number}" for number, loop in enumerate(sheet.loops, 6)}
    return replace(
        take,
        scenario=f"# {text}\n",
        overrides=(f"title={text}",),
        versions={text: text},
        sheet=replace(
            sheet,
            title=text,
            strings=tuple(replace(string, name=renamed[string.name], material=text) for string in sheet.strings),
            poles=tuple(
                replace(pole, head=heads[pole.head], string=renamed[pole.string], loop=loops[pole.loop], band_note=text)
                for pole in sheet.poles
            ),
            loops=tuple(
                replace(
                    loop,
                    name=loops[loop.name],
                    sense=tuple(heads[one] for one in loop.sense),
                    drive=tuple(heads[one] for one in loop.drive),
                )
                for loop in sheet.loops
            ),
            coils=tuple(replace(coil, head=heads[coil.head], loop=loops[coil.loop]) for coil in sheet.coils),
            limits=(text,),
            cautions=(text,),
        ),
    )


@pytest.fixture
def words_only(monkeypatch):
    """Pages without drawings and sounds, which take their time."""
    monkeypatch.setattr(sections, "figure_drawings", lambda *_: [])
    monkeypatch.setattr(sections, "rig_drawings", lambda *_: [])
    monkeypatch.setattr(sections, "overlay_drawing", lambda *_: Drawing("Overlay", "It is left out.", Markup("")))
    monkeypatch.setattr(sections, "clips", lambda *_, **__: [])


def words_of(text):
    return page(report({text: named(text), f"{text} 2": named(text)}, notices={text: (text,)}))


@pytest.mark.usefixtures("words_only")
@pytest.mark.parametrize("kind", HOSTILE)
def test_it_shows_as_text_and_changes_no_element(kind):
    found, shown = words_of(HOSTILE[kind]), " ".join(visible(HOSTILE[kind]).split())
    articles = found.all("article")
    assert shown in found.one("h1").text
    assert articles[0].one("h2").text == shown
    assert articles[0].all("p")[1].text == f"Not whole. {shown}"
    for article in articles:
        assert [line.text for listing in article.all("ul") for line in listing.all("li")] == [shown, shown]
        assert "".join(article.one("pre").pieces) == f"# {visible(HOSTILE[kind])}\n"
        assert {shown, f"title={shown}"} <= {cell.text for cell in article.all("td")}
    assert not [one for one in found.all() for key in one.attributes if key.startswith("on")]
    assert shape(found) == shape(words_of("pier"))


@pytest.mark.parametrize(
    "kinds", [("script", "ends", "image", "comment"), ("formula", "entities", "controls", "lone"), ("hebrew", "turned", "wide")]
)
def test_drawings_and_players_hold_no_more_than_they_should(kinds):
    text = " ".join(HOSTILE[kind] for kind in kinds)
    found = page(report({text: named(text)}))
    assert len(found.all("svg")) > 8
    for drawing in found.all("svg"):
        assert {element.name for element in drawing.all()} <= PICTURE
        assert not ACTING.search("".join(element.text for element in (drawing, *drawing.all())).replace("\n", ""))
    assert not [one for one in found.all() for key in one.attributes if key.startswith("on")]
    assert len(found.all("audio")) == 3


@pytest.mark.usefixtures("words_only")
def test_names_stand_apart_from_what_is_beside_them():
    found = words_of(HOSTILE["hebrew"])
    for heading in (found.one("h1"), *found.all("h2")[-2:], *found.all("dt")):
        assert [one.name for one in heading.inside] == ["bdi"]


@pytest.mark.usefixtures("words_only")
def test_a_story_that_is_no_text_and_a_scenario_that_is_none_are_left_out():
    for scenario in ("story = 3\n", "story = [", "title = 'x'\n", ""):
        found = page(report({"pier": replace(synthetic_take(duration=0.1), scenario=scenario)}))
        assert [one.text for one in found.one("header").all("p")] == ["Wirebloom report"]
