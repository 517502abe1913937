"""The prototype's table: a regression for the prototype's own formulas, not evidence for the physics.

Values retyped from the project's early measurements: steel string 0.38 mm, core 5 x 10 mm, 420 turns of 0.10 mm, ferrite disc.
The column at 0.3 mm is not among them: its formulas give 24.9 mN/A, 5.15 mN and -50.9 mN/A^2 there against a tabled
27.0, 5.5 and -56. They give the tabled values at 0.21 mm (27.0, 5.58, -54.1), so that the column seems to be of another gap
than it says.
"""

import numpy as np
import pytest

from heads import prototype_blocks, prototype_table, solved
from heads.prototype import prototype_entries

# Gap (mm): force factor (mN/A), pull (mN), L1' (mN/A^2).
TABLE = {0.5: (20.8, 4.3, -45.0), 1.0: (14.4, 2.95, -32.0), 2.0: (6.9, 1.46, -16.0), 3.0: (3.5, 0.77, -8.0)}
# Field on the axis at the wire, of magnet (mT) and coil (mT/A), whole numbers.
FIELDS = {0.3: (27, 66), 0.5: (26, 64), 1.0: (23, 57), 2.0: (17, 41), 3.0: (13, 29)}


@pytest.mark.parametrize("gap", TABLE)
def test_forces_by_its_own_formulas(gap):
    factor, pull, square = prototype_entries(solved(*prototype_blocks())[1], gap * 1e-3)
    assert (-factor * 1e3, -pull * 1e3, square * 1e3) == pytest.approx(TABLE[gap], rel=0.03)


@pytest.mark.parametrize("gap", FIELDS)
def test_fields(gap):
    field = solved(*prototype_blocks())[1]
    axis = np.zeros(1)
    found = np.array([source.at(gap * 1e-3 + 0.19e-3, axis).upwards[0] for source in (field.magnet, field.coil)]) * 1e3
    assert np.all(found > 0.97 * np.array(FIELDS[gap]))
    assert np.all(found < 1.03 * (np.array(FIELDS[gap]) + 1))  # the table drops what follows the point


def test_resistance_and_inductance():
    assert prototype_table().resistance == pytest.approx(24.0, rel=0.03)
    assert prototype_table().inductance == pytest.approx(2.63e-3, rel=0.03)


# The core's answer to the wire: what it adds to force factor and pull at each gap, by Fourier-mode finite elements (`heads.fourier`).
ANSWER = {0.5: (1.189, 1.209), 1.0: (1.081, 1.086), 2.0: (1.027, 1.027)}


@pytest.mark.parametrize("gap", ANSWER)
def test_what_the_package_does_otherwise(gap):
    """Charges on the wire's surface, not on full discs, and the core's answer.

    The former is + 4 to 7 %; two opposed coils around a rod say which is right.
    """
    table = prototype_table()
    factor, pull, _ = prototype_entries(solved(*prototype_blocks())[1], gap * 1e-3)
    assert 1.04 < table.force_factor(gap * 1e-3) / -factor / ANSWER[gap][0] < 1.07
    assert 1.03 < table.pull(gap * 1e-3) / -pull / ANSWER[gap][1] < 1.07
