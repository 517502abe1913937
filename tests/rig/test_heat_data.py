"""Thermal classes, fuses, and the key that names a class.

Classes: IEC 60085 (105 A, 120 E, 130 B, 155 F, 180 H, 200 N, 220 R). Fuses: R 10 series of ISO 3 (1 1.25 1.6 2 2.5 3.15 4 5 6.3 8),
as IEC 60127-2 has it. All from memory.
"""

import numpy as np
import pytest

from wirebloom.errors import ScenarioError
from wirebloom.rig import load
from wirebloom.rig.enamels import ENAMELS, USUAL
from wirebloom.rig.fuses import BLOWS, RATED, ROOM, fuse_for


def test_classes_are_those_of_the_standard():
    assert [round(limit - 273.15) for limit in ENAMELS.values()] == [105, 120, 130, 155, 180, 200, 220]
    assert USUAL in ENAMELS


def test_fuses_are_rounded_powers_of_the_tenth_root_of_ten():
    exact = 10.0 ** (np.arange(-15, 11) / 10.0)
    assert pytest.approx(exact, rel=0.02) == RATED
    assert sorted(RATED) == list(RATED)


@pytest.mark.parametrize("current", np.geomspace(0.026, 7.9, 40))
def test_a_fuse_has_room_and_not_much(current):
    assert ROOM * current <= fuse_for(current) * (1 + 1e-9) < 2.0 * current
    assert fuse_for(current) * BLOWS > 2.0 * current


def test_none_beyond_the_largest_and_the_smallest_for_next_to_nothing():
    assert fuse_for(8.01) is None
    assert (fuse_for(8.0), fuse_for(0.0)) == (10.0, 0.032)


def coil(*changes):
    return load("first_note", [f"heads.sense.coil.{change}" for change in changes])[0].heads[0].coil


def test_the_key_and_its_default():
    assert coil().enamel == "class 155"
    assert coil("enamel=class 200").enamel == "class 200"


def test_a_class_that_there_is_none_of_is_answered_with_the_list():
    with pytest.raises(ScenarioError, match=r"enamel must be the name of a thermal class \('class 105', .* or 'class 220'\); instead"):
        coil("enamel=class 150")


def test_no_field_depends_on_the_enamel():
    assert "enamel" not in coil().model_dump()
