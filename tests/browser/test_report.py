"""The report in a headless Chromium: quiet console, players that play, nothing that spills, no barrier, print and keys.

The accessibility scanner is axe-core, a general open-source one for the Web Content Accessibility Guidelines (W3C); its path stands
in WIREBLOOM_AXE, and the scan is skipped without.
"""

import os
from dataclasses import replace
from pathlib import Path

import pytest

from bands import banded
from browser.chromium import barriers, chromium, complaints, look, playing, present, spilling
from synthetic import Tone, synthetic_take
from wirebloom.views.report import write_report

pytestmark = [pytest.mark.debian, pytest.mark.skipif(not present(), reason="needs chromium and chromium-driver")]

SCANNER = os.environ.get("WIREBLOOM_AXE", "")
LOOKS = [(360, False), (360, True), (1280, False), (1280, True)]
LONG = "Ω<script>" + "rope" * 75
PAGES = {
    "one": {"pier": banded(synthetic_take(touch=1.2))},
    "several": {"near": synthetic_take(strings=2, duration=1.0), "far": synthetic_take((Tone(final=0.1e-3),), duration=1.0)},
    "hostile": {LONG: synthetic_take(duration=0.5), "שיר <b>": synthetic_take((), duration=0.5)},
}


def renamed(take, title):
    return replace(take, scenario=f"# {title}\n", sheet=replace(take.sheet, title=title, limits=(title,), cautions=(title,)))


@pytest.fixture(scope="module")
def places(tmp_path_factory):
    """Where each page lies."""
    folder = tmp_path_factory.mktemp("reports")
    pages = PAGES | {"hostile": {title: renamed(take, title) for title, take in PAGES["hostile"].items()}}
    return {name: write_report(takes, folder / f"{name}.html", notices={LONG: (LONG,)}).as_uri() for name, takes in pages.items()}


@pytest.fixture(scope="module")
def driver():
    with chromium() as opened:
        yield opened


@pytest.fixture(params=PAGES)
def opened(request, driver, places):
    """Each page in turn, wide and light."""
    look(driver)
    complaints(driver)
    driver.get(places[request.param])
    return driver


def test_the_console_is_quiet_and_nothing_is_fetched(opened):
    fetched = opened.execute_script("return performance.getEntriesByType('resource').map((one) => one.name.slice(0, 60))")
    assert [name for name in fetched if not name.startswith("data:")] == []
    assert complaints(opened) == []


def test_every_player_plays(opened):
    said = playing(opened)
    assert len(said) >= 3
    assert [one for one in said if one] == []
    assert complaints(opened) == []


@pytest.mark.parametrize(("width", "dark"), LOOKS)
def test_nothing_spills(opened, width, dark):
    look(opened, width=width, dark=dark)
    opened.execute_script("for (const one of document.querySelectorAll('details')) { one.open = true; }")
    assert spilling(opened) == []


@pytest.mark.skipif(not Path(SCANNER).is_file(), reason="needs axe.min.js, its path in WIREBLOOM_AXE")
@pytest.mark.parametrize(("width", "dark"), LOOKS)
def test_no_serious_barrier(opened, width, dark):
    look(opened, width=width, dark=dark)
    opened.execute_script("for (const one of document.querySelectorAll('details')) { one.open = true; }")
    assert barriers(opened, Path(SCANNER).read_text(encoding="utf-8")) == []


def test_the_checks_see_faults(driver, tmp_path):
    """What a wrong page would look like to them."""
    (tmp_path / "wrong.html").write_text(WRONG, encoding="utf-8")
    look(driver, width=360)
    driver.get((tmp_path / "wrong.html").as_uri())
    assert len(spilling(driver)) == 2
    assert "NotSupportedError" in playing(driver)[0] or "ready 0" in playing(driver)[0]
    assert any("wrong.png" in one for one in complaints(driver))
    if Path(SCANNER).is_file():
        assert "image-alt" in " ".join(barriers(driver, Path(SCANNER).read_text(encoding="utf-8")))


WRONG = """<!DOCTYPE html><meta name="viewport" content="width=device-width"><title>wrong</title>
<audio controls src="data:audio/flac;base64,AAAA"></audio><img src="wrong.png"><div style="width: 500px">wide</div>"""
COLORS = """
const of = (one) => getComputedStyle(one);
const paper = of(document.querySelector('.paper'));
return [of(document.body).backgroundColor, of(document.body).color, paper.backgroundColor];
"""


def lightness(color):
    """Mean of red, green and blue, 0 to 1."""
    return sum(int(part) for part in color[4:-1].split(",")) / 3.0 / 255.0


def test_dark_turns_the_page_and_leaves_figures_their_paper(driver, places):
    seen = {}
    for dark in (False, True):
        look(driver, dark=dark)
        driver.get(places["one"])
        seen[dark] = [lightness(color) for color in driver.execute_script(COLORS)]
    (ground, ink, _), (dark_ground, dark_ink, _) = seen[False], seen[True]
    assert min(ground, dark_ink) > 0.8
    assert max(ink, dark_ground) < 0.2
    assert seen[False][2] == seen[True][2] == 1.0


SEEN = "return document.querySelector(arguments[0]).checkVisibility({contentVisibilityAuto: true, visibilityProperty: true})"


def test_print_shows_what_is_folded_in_dark_ink(driver, places):
    look(driver, dark=True)
    driver.get(places["one"])
    assert not driver.execute_script(SEEN, "pre.scenario")
    look(driver, dark=True, media="print")
    assert driver.execute_script(SEEN, "pre.scenario")
    assert driver.execute_script("return document.querySelector('pre.scenario').getBoundingClientRect().height") > 20
    assert not driver.execute_script(SEEN, "nav")
    assert not driver.execute_script(SEEN, "audio")
    assert lightness(driver.execute_script(COLORS)[1]) < 0.2


def test_keys_reach_everything_and_show_where_they_are(driver, places):
    from selenium.webdriver.common.keys import Keys

    look(driver)
    driver.get(places["one"])
    body = driver.find_element("tag name", "body")
    body.send_keys(Keys.TAB)
    first = driver.switch_to.active_element
    assert first.get_attribute("class") == "skip"
    assert first.location["x"] >= 0
    assert driver.execute_script("return getComputedStyle(document.activeElement).outlineStyle") == "solid"
    first.send_keys(Keys.ENTER)
    assert driver.switch_to.active_element.get_attribute("id") == "main"
    reached = set()
    for _ in range(200):
        driver.switch_to.active_element.send_keys(Keys.TAB)
        active = driver.switch_to.active_element
        if active.tag_name == "body":
            break
        reached.add(active.tag_name)
    assert {"a", "audio", "summary", "div"} <= reached


@pytest.mark.parametrize(("still", "behaviour"), [(True, "auto"), (False, "smooth")])
def test_motion_is_for_those_who_want_it(driver, places, still, behaviour):
    look(driver, still=still)
    driver.get(places["one"])
    assert driver.execute_script("return getComputedStyle(document.documentElement).scrollBehavior") == behaviour


def test_tables_stay_tables_where_their_rows_stand_apart(driver, places):
    look(driver, width=360)
    driver.get(places["one"])
    roles = driver.execute_script("return [...document.querySelectorAll('.records table, .records td')].slice(0, 2).map((one) => one.role)")
    assert roles == ["table", "cell"]
