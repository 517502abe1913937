"""Point dampers and outside forces against dense linear algebra.

The damper: m v̇ = −R w wᵀ v for a span h by the implicit midpoint rule, (1 + hR/2m wwᵀ) v̄ = v. An explicit kick would blow
up beyond hR Σw²/m = 2; a heat that counts the speed before or after instead of the mean does not balance.
"""

import numpy as np
import pytest

from wirebloom.kernels.outside import any_damper, any_force, damp, push_outside

SIZE, STEP, MASS = 12, 1 / 96e3, 2.9e-4
RANDOM = np.random.default_rng(9)
WEIGHT = RANDOM.standard_normal((2, SIZE))
NEVER = 2**62


def bodies(resistances):
    """As packed: R, h·R·Σw²/(2m), h/m, m/2."""
    ratio = 0.5 * STEP * np.array(resistances) * np.sum(WEIGHT**2, axis=1) / MASS
    return np.array([[r, x, STEP / MASS, MASS / 2] for r, x in zip(resistances, ratio, strict=True)])


@pytest.mark.parametrize("resistance", [1e-6, 1e-2, 1.0, 1e3])
def test_damper_is_the_midpoint_rule(resistance):
    v = RANDOM.standard_normal((2, SIZE))
    wanted, energy = v.copy(), 0.5 * MASS * np.sum(v**2)
    for w in WEIGHT:  # the first damper, then the second
        matrix = np.eye(SIZE) + 0.5 * STEP * resistance / MASS * np.outer(w, w)
        wanted = np.array([2 * np.linalg.solve(matrix, row) - row for row in wanted])
    loss = np.zeros(2)
    damper = np.array([[0, 0, NEVER], [0, 0, NEVER]])
    total = damp(v, damper, bodies([resistance, resistance]), WEIGHT, 0, 5, loss)
    np.testing.assert_allclose(v, wanted, rtol=0, atol=1e-11)
    assert loss.sum() == pytest.approx(total, rel=1e-14)
    assert total == pytest.approx(energy - 0.5 * MASS * np.sum(v**2), rel=1e-9, abs=1e-12 * energy)
    assert np.all(loss >= 0.0)


def test_immovable_damper_turns_the_speed_round():
    """R → ∞: the mean speed at the point vanishes, so that the speed there changes its sign and nothing is lost."""
    v, loss, w = RANDOM.standard_normal((2, SIZE)), np.zeros(1), WEIGHT[0]
    wanted = v - 2 * np.outer(v @ w, w) / (w @ w)
    damp(v, np.array([[0, 0, NEVER]]), bodies([1e12, 1.0])[:1], WEIGHT[:1], 0, 0, loss)
    np.testing.assert_allclose(v, wanted, rtol=0, atol=1e-9)
    assert 0.0 <= loss[0] < 1e-9


@pytest.mark.parametrize(("s", "clock", "works"), [(0, 9, False), (0, 10, True), (0, 19, True), (0, 20, False), (1, 15, False)])
def test_damper_keeps_its_hours_and_its_string(s, clock, works):
    damper, v, loss = np.array([[0, 10, 20]]), RANDOM.standard_normal((2, SIZE)), np.zeros(1)
    before = v.copy()
    assert bool(any_damper(damper, s, clock)) is works
    damp(v, damper, bodies([1.0, 1.0])[:1], WEIGHT[:1], s, clock, loss)
    assert bool(loss[0] > 0.0) is works
    assert bool(np.any(v != before)) is works


def test_force_pushes_its_string_and_does_its_work():
    """m Δv = F w h in the polarisation named; work F·w·v̄·h."""
    outside, force = np.array([[0, 0], [1, 1], [0, 1]]), np.array([0.3, 2.0, 0.0])
    v, work, weight = RANDOM.standard_normal((2, SIZE)), np.zeros(3), RANDOM.standard_normal((3, SIZE))
    before = v.copy()
    total = push_outside(v, outside, weight, force, 0, (STEP / MASS, MASS / 2), work)
    np.testing.assert_allclose(v[0] - before[0], STEP / MASS * 0.3 * weight[0], rtol=1e-10)
    np.testing.assert_array_equal(v[1], before[1])
    assert work == pytest.approx([0.3 * STEP * 0.5 * (v[0] + before[0]) @ weight[0], 0.0, 0.0], rel=1e-12)
    assert total == pytest.approx(0.5 * MASS * (np.sum(v**2) - np.sum(before**2)), rel=1e-9)
    assert any_force(outside, force, 0)
    assert not any_force(outside, np.array([0.0, 1.0, 0.0]), 0)
