"""Heads known by measurement: the table gives back what was measured."""

import numpy as np
import pytest

from heads import WIRE, measured_head, steel
from wirebloom.physics.head_table import head_table

POINTS = ((0.3e-3, 0.0270, 0.0055), (0.5e-3, 0.0208, 0.0043), (1e-3, 0.0144, 0.00295), (2e-3, 0.0069, 0.00146), (3e-3, 0.0035, 0.00077))


def test_points_come_back():
    table = head_table(measured_head(points=POINTS), WIRE, steel())
    for gap, factor, pull in POINTS:
        assert table.force_factor(gap) == pytest.approx(factor, rel=5e-3)
        assert table.pull(gap) == pytest.approx(pull, rel=5e-3)


def test_it_falls_between_and_beyond_the_points():
    table = head_table(measured_head(points=POINTS), WIRE, steel())
    factors = [table.force_factor(gap) for gap in np.linspace(0.0, 11.5e-3, 200)]
    assert np.all(np.diff(factors) < 0)
    assert factors[-1] > 0


def test_law_is_an_exponential():
    law = {"gap": 1e-3, "factor": 0.0144, "pull": 0.003, "decay_length": 1.4e-3}
    table = head_table(measured_head(law=law), WIRE, steel())
    for gap in (0.0, 0.3e-3, 1e-3, 4e-3, 9e-3):
        fall = np.exp(-(gap - 1e-3) / 1.4e-3)
        assert table.force_factor(gap) == pytest.approx(0.0144 * fall, rel=1e-3)
        assert table.pull(gap) == pytest.approx(0.003 * fall, rel=1e-3)
    assert table.flux[22, 0] == pytest.approx(1.4e-3 * 0.0144, rel=1e-3)  # at 1 mm, all that is left to infinity


def test_nothing_sideways_and_no_inductance_of_the_wire():
    table = head_table(measured_head(points=POINTS), WIRE, steel())
    assert table.sideways_force(1e-3, 1e-3) == pytest.approx(0.0, abs=1e-12)
    assert not table.inductance_change.any()
    assert (table.resistance, table.inductance, table.dipole) == (10.0, 1e-3, 0.0)
    assert table.face_field is None
    assert table.copper_mass is None


def test_a_measured_pull_of_zero():
    table = head_table(measured_head(points=tuple((g, k, 0.0) for g, k, _ in POINTS)), WIRE, steel())
    assert table.pull(1e-3) == 0.0
    assert table.force_factor(1e-3) == pytest.approx(0.0144, rel=5e-3)


def test_aperture_is_the_width_at_half_height():
    table = head_table(measured_head(points=POINTS), WIRE, steel())
    spacing = table.load_x[1] - table.load_x[0]
    assert table.load.shape[:2] == (3, table.gap.size)
    load = table.load[1, 0]
    assert load.sum() * spacing == pytest.approx(1.0)
    wide = table.load_x[load > load.max() / 2]
    assert wide[-1] - wide[0] == pytest.approx(5e-3, abs=2 * spacing)
