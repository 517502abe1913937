"""`wb.compare`: what has not been run is run, names tell takes apart, nothing is begun once somebody has stopped a run."""

import pytest

import wirebloom as wb
from synthetic import Tone, synthetic_take
from wirebloom.workbench import comparison

LOUD, SOFT = synthetic_take((Tone(final=0.4e-3),)), synthetic_take((Tone(final=0.1e-3),))


@pytest.fixture
def asked(monkeypatch):
    """Runs that nobody makes, and which were asked for."""
    asked = []

    def made(rig, plan, *, band=False, report=None):
        asked.append((rig.title, band))
        return synthetic_take(status="interrupted" if rig.title == "Too far" else "complete")

    monkeypatch.setattr(comparison, "make_take", made)
    return asked


def test_takes_are_not_run_again(asked, tmp_path):
    path = wb.save(LOUD, tmp_path / "take.h5")
    both = wb.compare(path, soft=SOFT)
    assert asked == []
    assert list(both.takes) == [tmp_path.name, "soft"]
    assert both.takes["soft"] is SOFT
    ratio = both.measures[tmp_path.name].leading.bridge_force_N / both.measures["soft"].leading.bridge_force_N
    assert ratio == pytest.approx(4.0, rel=1e-3)


def test_scenarios_are_run_and_namesakes_are_numbered(asked):
    found = wb.compare("first_note", wb.load("first_note", "heads.sense.gap=2 mm"), LOUD, band=True)
    assert list(found.takes) == ["first_note", "first_note-2", "Synthetic"]
    assert asked == [("First note", True), ("First note", True)]


def test_nothing_is_begun_after_a_stop(asked):
    found = wb.compare("first_note", "too_far", "overtones")
    assert [title for title, _ in asked] == ["First note", "Too far"]
    assert list(found.takes) == ["first_note", "too_far"]


def test_an_interrupted_take_from_a_file_stops_nobody(asked):
    found = wb.compare("first_note", synthetic_take(status="interrupted"), "overtones")
    assert len(found.takes) == 3


def test_nothing_beside_nothing_is_refused():
    with pytest.raises(ValueError, match="sources must be one take or scenario, or more; instead received none"):
        wb.compare()


def test_all_words_are_read_before_anything_is_run(asked):
    with pytest.raises(wb.errors.ScenarioError):
        wb.compare("first_note", "no_such_scenario")
    assert asked == []
