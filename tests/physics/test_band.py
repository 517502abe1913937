"""The band of force factor and pull: against closed forms for an exponential head, the textbook's conditional normals, and a cloud.

The head of these tests is an exponential in the gap, whose slopes are known by hand; its band is made up. Which slip each test
would catch: a lost factor of 2 in a slope, an end taken for the other, pull for force factor, a square forgotten or taken twice.
"""

from dataclasses import replace

import numpy as np
import pytest

from bands import exponential_table
from wirebloom.physics.band import FACTOR, PULL, Reading, Spread, condition, pole_slopes, surprise
from wirebloom.physics.head_table import SOURCES

NAMES = ("one", "ear", "one")
EXACT = Spread(remanence=0.0, turns=0.0, gap=0.0)


@pytest.fixture(scope="module")
def bare():
    """A head without any band."""
    return exponential_table()


@pytest.fixture(scope="module")
def table(bare):
    """With a band that grows with the gap: source q shifts ln K by −0.1 (q + 1) and +0.05 (q + 1) at 1 mm, ln P by twice that."""
    shift = np.array([[-0.1, -0.2], [0.05, 0.1]]) * (1.0 + np.arange(len(SOURCES)))[:, None, None]
    return replace(bare, band_gap=np.array([0.5e-3, 1e-3, 2e-3]), band=shift * np.array([0.5, 1.0, 2.0])[:, None, None, None])


def both(table, gap=1e-3, spread=EXACT):
    return pole_slopes(table, gap, 0.0, NAMES, spread)


def test_a_measured_head_has_no_band(bare):
    known = condition(both(bare))
    np.testing.assert_array_equal(known, np.zeros((3, 2)))


def test_independent_sources_add_as_squares_at_each_end(table):
    """Without magnets' spread: √(1 + 4 + 9 + 16) of the first source's; pull twice as wide."""
    known = condition(both(table))
    whole = np.sqrt(1.0 + 4.0 + 9.0 + 16.0)
    np.testing.assert_allclose(known.low, [-0.1 * whole, -0.2 * whole])
    np.testing.assert_allclose(known.high, [0.05 * whole, 0.1 * whole])
    np.testing.assert_array_equal(known.shift, 0.0)


def test_remanence_counts_by_its_own_spread(table):
    """The table's is for a tenth: 0.05 is half of it."""
    for share, spread in ((1.0, 0.1), (0.5, 0.05)):
        slopes = both(table, spread=Spread(spread, 0.0, 0.0))[FACTOR]["remanence", "ear"]
        assert slopes == pytest.approx((0.5 * share, 0.25 * share))


@pytest.mark.parametrize(("gap", "share"), [(0.2e-3, 0.5), (0.75e-3, 0.75), (1.5e-3, 1.5), (9e-3, 2.0)])
def test_the_band_is_that_of_the_gap(table, gap, share):
    """Straight between its gaps, and held beyond."""
    assert both(table, gap)[FACTOR]["law", "one"] == pytest.approx((0.3 * share, 0.15 * share))


def test_a_gap_is_weighed_by_the_slope_of_the_curve(table):
    """ln K = −g/1.5 mm: 0.1 mm more or less is ∓1/15 for both quantities."""
    for slopes in both(table, spread=Spread(0.0, 0.0, 0.1e-3)):
        assert slopes["gap", "ear", "one"] == pytest.approx((1 / 15, 1 / 15), rel=2e-3)


def test_a_gap_is_never_taken_to_the_face_or_beyond(table):
    slopes = both(table, gap=0.1e-3, spread=Spread(0.0, 0.0, 0.5e-3))[FACTOR]["gap", "ear", "one"]
    assert slopes == pytest.approx((0.5 / 1.5, 0.09 / 1.5), rel=5e-3)


def test_beyond_the_last_gap_of_a_table_a_force_falls_on(table):
    """At 12 mm, where the table ends: 0.1 mm more is ∓1/15 as anywhere, and no logarithm of nothing."""
    for slopes in both(table, gap=12e-3, spread=Spread(0.0, 0.0, 0.1e-3)):
        assert slopes["gap", "ear", "one"] == pytest.approx((1 / 15, 1 / 15), rel=1e-2)


def test_turns_move_the_force_factor_and_not_the_pull(table):
    factor, pull = both(table, spread=Spread(0.0, 0.02, 0.0))
    assert factor["turns", "ear"] == pytest.approx((-np.log(0.98), np.log(1.02)))
    assert pull["turns", "ear"] == (0.0, 0.0)


def test_a_source_that_only_weakens_has_no_strong_end(table):
    """And one that weakens at its other end acts the other way round: more of it, less force."""
    changed = table.band.copy()
    changed[:, 0] = [[-0.3, -0.3], [0.0, 0.0]]
    changed[:, 1] = [[0.2, 0.0], [-0.1, 0.0]]
    slopes = both(replace(table, band=changed))[FACTOR]
    assert slopes[SOURCES[0], "one"] == pytest.approx((0.3, 0.0))
    assert slopes[SOURCES[1], "one"] == pytest.approx((-0.1, -0.2))


def test_two_normals_of_one_quantity():
    """Textbook: 1/σ² = 1/0.3² + 1/0.1², and the mean weighed by these."""
    wire = {("w",): (0.3, 0.3)}
    known = condition([wire], [Reading(wire, 0.2, 0.1)])
    assert known.shift[0] == pytest.approx(0.2 * 0.3**2 / (0.3**2 + 0.1**2))
    assert known.high[0] == pytest.approx((0.3**-2 + 0.1**-2) ** -0.5)
    assert known.low[0] == -known.high[0]


def test_against_a_cloud_of_rigs():
    """Three sources shared by three quantities, two of them read: weights of 400 000 random rigs by how well they fit the readings."""
    slopes = np.array([[0.3, 0.2, 0.0], [0.1, 0.4, 0.1], [0.2, 0.0, 0.3]])
    error, residual = np.array([0.1, 0.2]), np.array([0.25, 0.15])
    rigs = np.random.default_rng(1).standard_normal((400_000, 3)) @ slopes.T
    weight = np.exp(-0.5 * (((rigs[:, 1:] - residual) / error) ** 2).sum(axis=1))
    mean = np.average(rigs, axis=0, weights=weight)
    wide = np.sqrt(np.average((rigs - mean) ** 2, axis=0, weights=weight))
    rows = [{(f"{q}",): (s, s) for q, s in enumerate(row)} for row in slopes]
    known = condition(rows, [Reading(row, r, e) for row, r, e in zip(rows[1:], residual, error, strict=True)])
    np.testing.assert_allclose(known.shift, mean, atol=3e-3)
    np.testing.assert_allclose(known.high, wide, rtol=1e-2)


def test_a_pull_tells_of_the_force_factor_what_they_share(table):
    """All of this head's sources move K by half of what they move P: a sure pull leaves nothing of either, and moves K by the root."""
    factor, pull = both(table)
    known = condition([factor, pull], [Reading(pull, np.log(0.5), 1e-6)])
    np.testing.assert_allclose(np.exp(known.shift), [np.sqrt(0.5), 0.5], rtol=1e-6)
    np.testing.assert_allclose([known.low, known.high], 0.0, atol=1e-5)


def test_a_reading_tells_of_another_head_over_the_same_string_only(table):
    other = pole_slopes(table, 1e-3, 0.0, ("one", "hand", "one"), Spread(0.1, 0.02, 1e-4))
    apart = pole_slopes(table, 1e-3, 0.0, ("two", "hand", "two"), Spread(0.1, 0.02, 1e-4))
    reading = Reading(both(table)[PULL], 0.3, 0.05)
    before, after = condition([*other, *apart]), condition([*other, *apart], [reading])
    assert (after.high[:2] < 0.9 * before.high[:2]).all()
    assert (after.shift[:2] > 0.05).all()
    np.testing.assert_array_equal(after.high[2:], before.high[2:])
    np.testing.assert_array_equal(after.shift[2:], 0.0)


def test_a_reading_as_expected_moves_nothing_and_narrows_both_ends(table):
    factor, pull = both(table)
    before, after = condition([factor]), condition([factor], [Reading(pull, 0.0, 0.05)])
    assert after.shift[0] == 0.0
    assert before.low[0] < 3 * after.low[0] < 0.0 < 3 * after.high[0] < before.high[0]


def test_a_useless_reading_changes_nothing(table):
    factor, pull = both(table)
    np.testing.assert_allclose(condition([factor], [Reading(pull, 0.5, 1e6)]), condition([factor]), atol=1e-9)


def test_surprise_counts_in_what_was_expected():
    wire = {("w",): (0.4, 0.3)}
    assert surprise(Reading(wire, 1.0, 0.4)) == pytest.approx(2.0)
    assert surprise(Reading(wire, -1.0, 0.3)) == pytest.approx(2.0)
