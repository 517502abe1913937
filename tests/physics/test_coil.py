"""Coils as electrical parts, and what two heads induce in each other."""

from dataclasses import replace

import magpylib
import numpy as np
import pytest

from heads import prototype_head, prototype_table
from wirebloom.physics.coil import mutual_inductance, winding


def test_copper_of_a_coil():
    # By hand: 420 turns of pi * 8.4 mm = 11.084 m; 1/(58.5 pi d^2/4) = 2.1765 ohm/m (IEC 60317-0-1, from memory); 24.12 ohm.
    copper = winding(prototype_head().coil)
    assert copper.length == pytest.approx(11.0835, rel=1e-4)
    assert copper.resistance == pytest.approx(24.12, rel=1e-3)
    assert copper.mass == pytest.approx(0.774e-3, rel=1e-3)


def test_a_measured_resistance_wins():
    assert winding(prototype_head().coil.model_copy(update={"resistance": 30.0})).resistance == 30.0


def test_mutual_inductance_of_two_loops_side_by_side():
    """One turn of 3 mm radius beside another: flux of magpylib's loop (general-purpose library) through the second."""
    radius, distance = 3e-3, 40e-3
    area = np.pi * radius**2
    one_turn = replace(prototype_table(), dipole=area)
    r = (np.arange(40) + 0.5) / 40 * radius
    angle = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    at = np.stack(np.broadcast_arrays(distance + r[:, None] * np.cos(angle), r[:, None] * np.sin(angle), 0.0), axis=-1)
    b = magpylib.current.Circle(current=1.0, diameter=2 * radius).getB(at.reshape(-1, 3))[:, 2].reshape(40, 60).mean(axis=1)
    flux = np.sum(b * r) * (radius / 40) * 2 * np.pi
    assert mutual_inductance(one_turn, 0.0, one_turn, distance) == pytest.approx(flux, rel=0.02)


def test_it_falls_with_the_cube_and_knows_the_plane():
    table = prototype_table()
    near = mutual_inductance(table, 0.1, table, 0.16)
    assert near < 0
    assert mutual_inductance(table, 0.1, table, 0.22) == pytest.approx(near / 8)
    assert mutual_inductance(table, (0.1, 0.0), table, (0.136, 0.048)) == pytest.approx(near)


def test_two_heads_in_one_place():
    with pytest.raises(ValueError, match=r"pos_b must be another place than pos_a; instead received the same\."):
        mutual_inductance(prototype_table(), 0.1, prototype_table(), 0.1)
