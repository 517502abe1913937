"""Which moments an animation shows, and what stands in each: from takes of known content."""

from dataclasses import replace

import numpy as np
import pytest

from synthetic import FACTOR, LENGTH, POSITIONS, RESISTANCE, SWING, Tone, frequency, synthetic_take
from wirebloom.errors import FileError, ScenarioError
from wirebloom.views.film import FEWEST, MOST, SHORTEST, film

STEADY = Tone(growth=0.0)
CENTS = Tone(growth=0.0, cents=-20.0)


def older(take):
    """The same take from before phases were recorded."""
    return replace(take, frames=replace(take.frames, phase=np.full_like(take.frames.phase, -1.0)))


def test_it_begins_when_asked_and_lasts_whole_sounding_periods():
    """So that its end joins its beginning: 20 cents off the free pitch would be a jump of 1 % of a turn."""
    take = synthetic_take((CENTS,))
    shown = film(take, at=0.7, periods=3)
    assert shown.start_s == 0.7
    assert shown.span_s == pytest.approx(3.0 / frequency(take.sheet, CENTS), rel=1e-6)
    step = shown.span_s / shown.moments.size
    np.testing.assert_allclose(np.diff(shown.moments), step, rtol=1e-9)
    assert shown.moments[-1] + step == pytest.approx(shown.span_s)


def test_by_default_it_is_the_last_period_and_one_takes_two_seconds():
    shown = film(synthetic_take((STEADY,)))
    assert shown.start_s + shown.span_s == pytest.approx(2.0)
    assert shown.plays_s == pytest.approx(2.0, rel=0.03)
    assert shown.slow == 390.0  # two figures: 2 s · 196 Hz = 392
    assert film(synthetic_take((STEADY,)), at=1.9999).start_s == shown.start_s, "what would go beyond the end begins earlier"


def test_shapes_are_those_of_its_moments():
    take = synthetic_take((STEADY, Tone(partial=2, final=0.1e-3, growth=0.0, side=1)))
    shown = film(take, at=0.5, slow=200.0)
    when = 0.5 + shown.moments
    for side, tone, partial in ((0, 0.4e-3, 1), (1, 0.1e-3, 2)):
        swing = tone * np.cos(2.0 * np.pi * take.sheet.strings[0].frequency_Hz[side, partial - 1] * when)
        due = np.outer(swing, np.sin(partial * np.pi * shown.places / LENGTH))
        np.testing.assert_allclose(shown.shapes[:, side], due, atol=2e-6)


def test_the_orbit_is_at_the_drive_head_with_its_sense():
    """Down the string's path a quarter of a period after the top: sideways is a quarter ahead of it here."""
    take = synthetic_take((STEADY,))
    weight = take.sheet.poles[1].weight[0]
    shown = film(take, at=1.0)
    assert (shown.pole, shown.loop) == (1, 0)
    assert shown.where_m == pytest.approx(POSITIONS["drive"] * LENGTH)
    turn = 2.0 * np.pi * 196.0 * (1.0 + shown.moments)
    np.testing.assert_allclose(shown.orbit[:, 0], 0.4e-3 * weight * np.cos(turn), atol=1e-6)
    np.testing.assert_allclose(shown.path[0], shown.orbit[0], atol=1e-9)
    np.testing.assert_allclose(shown.path[-1], shown.orbit[0], atol=2e-6)


def test_the_drive_is_that_of_its_moments():
    take = synthetic_take((STEADY,), gain=1e3)
    shown = film(take, at=1.0)
    speed = -0.4e-3 * take.sheet.poles[0].weight[0] * 2.0 * np.pi * 196.0 * np.sin(2.0 * np.pi * 196.0 * (1.0 + shown.trace_s))
    due = np.clip(1e3 * FACTOR * speed, -SWING, SWING) / RESISTANCE
    np.testing.assert_allclose(shown.trace, due, atol=0.01 * np.abs(due).max())


def test_the_string_that_is_asked_for():
    tones = (STEADY, Tone(growth=0.0, string=1, final=0.2e-3))
    take = synthetic_take(tones, strings=2)
    by_name, by_number = film(take, string="pier 2"), film(take, string=1)
    assert by_name.string == by_number.string == 1
    assert (by_name.pole, by_name.loop) == (3, 1)
    assert np.abs(by_name.shapes).max() == pytest.approx(0.2e-3, rel=0.01)
    assert by_name.span_s == pytest.approx(1.0 / 294.0, rel=1e-5)


def test_a_string_without_heads_is_seen_in_its_middle_with_its_bridge_force():
    take = synthetic_take((STEADY,))
    alone = replace(take, sheet=replace(take.sheet, poles=(), loops=()))
    shown = film(alone, at=0.5)
    assert (shown.pole, shown.loop, shown.where_m) == (-1, -1, 0.5 * LENGTH)
    np.testing.assert_allclose(shown.orbit[:, 0], 0.4e-3 * np.cos(2.0 * np.pi * 196.0 * (0.5 + shown.moments)), atol=2e-6)
    assert np.ptp(shown.trace) == pytest.approx(0.8e-3 * take.sheet.strings[0].bridge_N_per_m[0], rel=0.01)


def test_an_older_take_shows_the_period_after_its_end_and_says_so():
    take = older(synthetic_take((STEADY,), gain=1e2))
    shown = film(take)
    assert "not recorded" in shown.note
    assert (shown.start_s, shown.periods) == (2.0, 1)
    np.testing.assert_array_equal(shown.shapes, take.shape.displacement[:-1, 0])
    weight = np.interp(shown.where_m, take.shape.x[0], take.shape.displacement[0, 0, 0])
    assert shown.orbit[0, 0] == pytest.approx(weight)
    before = take.signals.drive_current[round((2.0 - shown.span_s) * take.audio_rate), 0]
    assert shown.trace[0] == pytest.approx(before, abs=0.02 * np.abs(shown.trace).max())
    with pytest.raises(ScenarioError, match="at must be left out for a take without phases of its partials; instead received 1 s"):
        film(take, at=1.0)


def test_a_take_that_ended_before_its_first_frame():
    assert "before its first frame" in film(synthetic_take((STEADY,), duration=0.0)).note


def test_signals_that_a_damaged_file_lost_are_not_taken_for_silence():
    take = replace(synthetic_take((STEADY,)), lost=("drive_current", "displacement"))
    nothing = replace(take, signals=replace(take.signals, displacement=0.0 * take.signals.displacement))
    shown = film(nothing, at=0.5)
    assert np.isnan(shown.trace).all()
    assert np.abs(shown.orbit[:, 0]).max() == pytest.approx(0.4e-3 * take.sheet.poles[1].weight[0], rel=0.01)


def test_a_take_with_nothing_to_show_is_refused():
    take = older(synthetic_take((STEADY,), duration=0.1))
    with pytest.raises(FileError, match="must be made of a take that holds phases or shapes of its strings"):
        film(replace(take, shape=replace(take.shape, time=take.shape.time[:0], displacement=take.shape.displacement[:0])))


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"at": -0.1}, "at must be between 0 s and the take's end at 2 s; instead received -0.1 s."),
        ({"at": 2.1}, "at must be between 0 s"),
        ({"at": float("nan")}, "at must be between 0 s"),
        ({"string": "pier"}, "string must be the name of a string ('pier 1'); instead received 'pier'. Perhaps you meant 'pier 1'."),
        ({"string": 1}, "string must be a number from 0 to 0"),
        ({"string": -1}, "string must be a number from 0 to 0"),
        ({"periods": 0}, "periods must be a whole number from 1 to 8"),
        ({"periods": 9}, "periods must be a whole number from 1 to 8"),
        ({"slow": 20.0}, "slow must be between 63 (16 pictures of a period, 50 a second) and 100 000; instead received 20."),
        ({"slow": 1e6}, "slow must be between 63"),
        ({"slow": float("nan")}, "slow must be between 63"),
    ],
)
def test_what_cannot_be_shown_is_one_sentence(asked, said):
    with pytest.raises(ScenarioError) as problem:
        film(synthetic_take((STEADY,)), **asked)
    assert str(problem.value).startswith(said)


@pytest.mark.parametrize(("slow", "periods"), [(63.0, 1), (63.0, 8), (390.0, 8), (1e5, 1), (1e5, 8)])
def test_pictures_are_enough_and_not_too_many_and_never_too_quick(slow, periods):
    shown = film(synthetic_take((STEADY,)), slow=slow, periods=periods)
    assert FEWEST * periods <= shown.moments.size <= MOST
    assert shown.plays_s / shown.moments.size >= 0.99 * SHORTEST
    assert shown.slow == slow


def test_a_take_shorter_than_a_period_is_shown_whole():
    take = synthetic_take((STEADY,), duration=0.02)
    shown = film(take, periods=8)
    assert (shown.start_s, shown.span_s) == (0.0, pytest.approx(0.02))
