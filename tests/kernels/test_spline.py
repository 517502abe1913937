"""The look-up of a head table against scipy's B-splines on the same knots: values, both slopes, and what lies beyond the ends.

A shifted knot, a swapped axis, a slope per cell instead of per metre or a force beyond the table's end shows at once.
"""

import numpy as np
import pytest
from scipy.interpolate import BSpline

from wirebloom.kernels.spline import look_up

GAPS, OFFSETS = 13, 9  # coefficients along each axis
GAP_START, GAP_STEP, OFFSET_START, OFFSET_STEP = -2e-4, 1e-4, -3e-3, 7.5e-4  # m
AXES = np.array([GAP_START, 1 / GAP_STEP, OFFSET_START, 1 / OFFSET_STEP])
GAP_END, OFFSET_END = GAP_START + (GAPS - 3) * GAP_STEP, OFFSET_START + (OFFSETS - 3) * OFFSET_STEP
RANDOM = np.random.default_rng(4)
TABLE = RANDOM.standard_normal((GAPS, OFFSETS, 4)) * [1e-6, 1e-5, 1e-5, 0.0]


def found(gap, offset):
    """(3, 4): values, slopes by gap, slopes by offset, of W₀, Λ, L₁ and the pad."""
    out = np.full(12, np.nan)
    look_up(TABLE, AXES, gap, offset, out)
    return out.reshape(3, 4)


def design(place, start, step, count, order=0):
    """All `count` B-splines of an axis at a place (or their derivatives), by scipy, on the unlimited uniform knots."""
    knots = start + step * np.arange(-3, count + 1)
    spline = BSpline(knots, np.eye(count), 3)
    return (spline.derivative(order) if order else spline)(place)


def wanted(gap, offset):
    rows = {order: design(gap, GAP_START, GAP_STEP, GAPS, order) for order in (0, 1)}
    columns = {order: design(offset, OFFSET_START, OFFSET_STEP, OFFSETS, order) for order in (0, 1)}
    return np.array([np.einsum("g,gyf,y->f", rows[a], TABLE, columns[b]) for a, b in ((0, 0), (1, 0), (0, 1))])


def assert_agree(one, other, share=1e-12):
    scale = np.abs(TABLE).max(axis=(0, 1)) * np.array([[1.0], [1 / GAP_STEP], [1 / OFFSET_STEP]]) + 1e-30
    np.testing.assert_allclose(one / scale, other / scale, rtol=0, atol=share)


def test_inside_it_is_scipys():
    for gap, offset in zip(RANDOM.uniform(GAP_START, GAP_END, 200), RANDOM.uniform(OFFSET_START, OFFSET_END, 200), strict=True):
        assert_agree(found(gap, offset), wanted(gap, offset))


def test_on_the_knots_it_is_scipys():
    """Value and first slopes have no corner at a knot, from whichever cell they are read."""
    for g in range(1, GAPS - 3):
        gap = GAP_START + g * GAP_STEP
        assert_agree(found(gap, 1e-4), wanted(gap, 1e-4), 1e-11)


@pytest.mark.parametrize(("gap", "offset"), [(-1.0, 1e-4), (GAP_START - 1e-12, 1e-4), (GAP_END + 1e-12, 1e-4), (1.0, 1e-4)])
def test_beyond_the_gaps_ends_nothing_pulls(gap, offset):
    edge = min(max(gap, GAP_START), GAP_END)
    inside = wanted(edge + (1e-15 if gap < edge else -1e-15), offset)
    inside[1] = 0.0
    assert_agree(found(gap, offset), inside, 1e-9)
    assert np.all(found(gap, offset)[1] == 0.0)


@pytest.mark.parametrize("offset", [-1.0, OFFSET_START - 1e-12, OFFSET_END + 1e-12, 1.0])
def test_beyond_the_sides_nothing_pulls_back(offset):
    edge = min(max(offset, OFFSET_START), OFFSET_END)
    inside = wanted(4e-4, edge + (1e-15 if offset < edge else -1e-15))
    inside[2] = 0.0
    assert_agree(found(4e-4, offset), inside, 1e-9)
    assert np.all(found(4e-4, offset)[2] == 0.0)


def test_a_place_that_is_no_number_is_no_crash():
    """It is held at the start of the table; the loop's own check stops the run."""
    assert np.all(np.isfinite(found(np.nan, 0.0)))


def test_slopes_are_slopes():
    """Central differences, error of the second order: no reference to any spline."""
    small = 1e-9
    here = found(3.3e-4, 2e-4)
    by_gap = (found(3.3e-4 + small, 2e-4)[0] - found(3.3e-4 - small, 2e-4)[0]) / (2 * small)
    by_offset = (found(3.3e-4, 2e-4 + small)[0] - found(3.3e-4, 2e-4 - small)[0]) / (2 * small)
    assert_agree(here, np.array([here[0], by_gap, by_offset]), 1e-6)
