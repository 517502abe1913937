"""A damaged or partial take: a page of what is there, and first of all what is not."""

import h5py
import pytest

from pages import page
from synthetic import Tone, synthetic_take
from wirebloom.take.salvage import salvage
from wirebloom.take.store import save
from wirebloom.views.report import report


@pytest.fixture(scope="module")
def stored(tmp_path_factory):
    path = tmp_path_factory.mktemp("takes") / "take.h5"
    save(synthetic_take((Tone(growth=0.0), Tone(partial=2, final=1e-4, growth=0.0)), duration=0.5), path)
    return path.read_bytes()


@pytest.fixture
def path(stored, tmp_path):
    (tmp_path / "take.h5").write_bytes(stored)
    return tmp_path / "take.h5"


def page_of(path):
    """The page, and what was said of the file."""
    take, notices = salvage(path)
    found = page(report({"pier": take}, notices={"pier": notices}))
    assert notices
    said = [paragraph.text for paragraph in found.one("main").all("p")[: len(notices)]]
    assert said == [f"Not whole. {notice}" for notice in notices]
    return found, notices


def without(path, *names):
    with h5py.File(path, "r+") as file:
        for name in names:
            del file[name]
    return page_of(path)


PARTS = (
    "signals", "signals/displacement", "signals/drive_voltage", "signals/bridge_force", "frames", "frames/amplitude", "shape",
    "sheet/poles", "sheet/loops",
)  # fmt: skip


@pytest.mark.parametrize("lost", PARTS)
def test_a_part_lost_leaves_the_rest(path, lost):
    found, _ = without(path, lost)
    headings = [heading.text for heading in found.one("main").all("h2")]
    assert {"Verdict", "The rig, drawn to scale", "Build sheet", "Take care", "Scenario"} <= set(headings)
    assert found.of("class", "verdict").text


def test_a_signal_lost_is_not_played_as_silence(path):
    found, _ = without(path, "signals/bridge_force")
    assert [audio.attributes["aria-label"].split(",")[0] for audio in found.all("audio")] == ["Build-up", "Drive"]


def test_a_take_that_was_saved_again_still_says_what_it_has_lost(path, tmp_path):
    with h5py.File(path, "r+") as file:
        del file["signals/bridge_force"]
    save(salvage(path)[0], tmp_path / "again.h5")
    take, notices = salvage(tmp_path / "again.h5")
    assert notices == ()
    first = page(report({"pier": take})).one("main").all("p")[0].text
    assert first.startswith("Not whole. It comes from a damaged file.")
    assert "force of the string on the bridge" in first


def test_all_records_lost_leaves_what_was_known_before(path):
    found, notices = without(path, "signals", "frames", "shape")
    assert found.all("audio") == []
    assert len(notices) >= 2
    assert "Listen" not in [heading.text for heading in found.one("main").all("h2")]


@pytest.mark.parametrize("share", [0.98, 0.6, 0.4])
def test_a_file_cut_off(path, share):
    there = path.read_bytes()
    path.write_bytes(there[: int(share * len(there))])
    found, _ = page_of(path)
    assert found.of("class", "verdict").text
