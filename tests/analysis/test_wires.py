"""Slopes and bends of the co-energy over heads: those of the tables, read one by one, and their differences.

A sign of the gap (it shrinks as the string nears), a factor of a step, axes exchanged, a table of another pole would each show.
"""

import numpy as np
import pytest

from wirebloom.analysis.wires import wires
from wirebloom.compile import compile_rig
from wirebloom.physics.bspline import evaluate
from wirebloom.rig import load

MOVED = np.array([[1e-4, 2e-5], [-3e-5, 4e-5], [2e-4, -1e-5], [5e-5, 0.0]])  # m


@pytest.fixture(scope="module")
def model():
    return compile_rig(*load("two_strings_one_loop")).model


def read(model, j, u, **order):
    tables = model.tables
    axes = (tables.gap_start[j], tables.gap_step[j]), (tables.offset_start[j], tables.offset_step[j])
    gap, offset = model.poles.gap[j] - u[0], model.poles.offset[j] + u[1]
    return evaluate(tables.coefficient[j], axes, np.array([gap]), np.array([offset]), **order)[0, :3]


def test_values_and_slopes_are_the_tables(model):
    found = wires(model, MOVED)
    for j, u in enumerate(MOVED):
        assert found.value[j] == pytest.approx(read(model, j, u), rel=1e-12)
        assert found.slope[j, 0] == pytest.approx(-read(model, j, u, dx=1), rel=1e-11)
        assert found.slope[j, 1] == pytest.approx(read(model, j, u, dy=1), rel=1e-9)


@pytest.mark.parametrize("side", [0, 1])
def test_bends_are_differences_of_slopes(model, side):
    step = np.zeros_like(MOVED)
    step[:, side] = 1e-7
    ahead, behind = wires(model, MOVED + step), wires(model, MOVED - step)
    wanted = (ahead.slope - behind.slope) / 2e-7
    assert wires(model, MOVED).bend[:, :, side] == pytest.approx(wanted, rel=1e-4, abs=1e-6 * np.abs(wanted).max())


def test_beyond_its_ends_a_table_gives_no_force(model):
    far = wires(model, np.full((4, 2), -0.1))
    assert np.all(far.slope == 0.0)
    assert np.all(far.bend == 0.0)
