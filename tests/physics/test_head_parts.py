"""Heads of other builds than core and magnet: plates, rings, stacks, rods as poles."""

from dataclasses import replace

import numpy as np
import pytest

from heads import MU0, prototype_head, solved
from wirebloom.physics.geometry import Block, blocks_of

AXIS = np.zeros(1)
MAGNET = Block(0.0, 4e-3, -3e-3, 0.0, remanence=0.4)
COIL = Block(2.8e-3, 5.6e-3, -8.5e-3, -0.5e-3, turns=420)
CORE = Block(0.0, 2.5e-3, -10e-3, 0.0, 1000.0)


def on_axis(*blocks, height=1e-3, source="magnet"):
    return float(getattr(solved(*blocks)[1], source).at(height, AXIS).upwards[0])


def disc(**changes):
    return {"shape": "disc", "diameter": 8e-3, "thickness": 3e-3, **changes}


@pytest.mark.parametrize("height", [0.5e-3, 1e-3, 3e-3])
def test_magnet_on_a_wide_plate_is_twice_as_long(height):
    """Image in infinitely soft iron (textbook; the trade knows it as twice the effective length). The plate is 15 magnets wide."""
    plate = Block(0.0, 60e-3, -13e-3, -3e-3, 1e5)
    assert on_axis(MAGNET, plate, height=height) == pytest.approx(on_axis(replace(MAGNET, bottom=-6e-3), height=height), rel=0.01)


@pytest.mark.parametrize("height", [0.5e-3, 1e-3, 3e-3])
def test_coil_on_a_wide_plate_is_twice_as_long(height):
    """The same image of a coil: as many turns again, below it."""
    plate, coil = Block(0.0, 60e-3, -18.5e-3, -8.5e-3, 1e5), replace(COIL, top=0.0)
    double = replace(coil, bottom=-17e-3, turns=840)
    assert on_axis(coil, plate, height=height, source="coil") == pytest.approx(on_axis(double, height=height, source="coil"), rel=0.01)


def test_plate_behind_a_head_closes_its_way_back():
    """A steel plate behind the magnet strengthens both fields; a joint of 0.1 mm of glue costs some of it."""
    magnet = replace(MAGNET, bottom=-13e-3, top=-10e-3)
    plate = Block(0.0, 7e-3, -15e-3, -13e-3, 1000.0)
    glued = replace(plate, bottom=-15.1e-3, top=-13.1e-3)
    for source in ("magnet", "coil"):
        without, joint, close = (on_axis(CORE, COIL, magnet, *more, source=source) for more in ((), (glued,), (plate,)))
        assert without < joint < close < 2.0 * without


def test_ring_around_a_head_takes_flux_from_the_string():
    """A pot around the coil shortens the way back: more inductance, less field far above the face."""
    ring = Block(5.7e-3, 7e-3, -10e-3, 0.0, 1000.0)
    assert solved(CORE, COIL, ring)[0].inductance() > 1.1 * solved(CORE, COIL)[0].inductance()
    assert on_axis(CORE, COIL, ring, height=5e-3, source="coil") < on_axis(CORE, COIL, height=5e-3, source="coil")


def test_stack_of_discs_is_one_long_magnet():
    stacked, long = (blocks_of(prototype_head(magnets=[disc(remanence=0.38, **one)])) for one in ({"count": 3}, {"thickness": 9e-3}))
    assert stacked == long


def test_opposite_magnets_far_apart_work_against_each_other():
    helping, fighting = (
        prototype_head(magnets=[disc(remanence=0.38, direction="up"), disc(remanence=0.38, top=14e-3, direction=way)])
        for way in ("up", "down")
    )
    one = on_axis(*blocks_of(prototype_head(magnets=[disc(remanence=0.38)])))
    assert on_axis(*blocks_of(fighting)) < one < on_axis(*blocks_of(helping))


def test_rod_magnet_as_pole():
    """Without a core the rod's face is the head's; its field is that of the bare rod (B on the axis by the textbook formula)."""
    rod = {"shape": "rod", "diameter": 4.8e-3, "thickness": 17e-3, "top": 0.0, "remanence": 1.25, "recoil_permeability": 1.0}
    head = prototype_head(core=None, magnets=[rod])
    assert head.face_radius == pytest.approx(2.4e-3)
    z, length, radius = 1e-3, 17e-3, 2.4e-3
    bare = 1.25 / 2 * ((length + z) / np.hypot(length + z, radius) - z / np.hypot(z, radius))
    assert on_axis(*blocks_of(head)) == pytest.approx(bare, rel=5e-3)


def test_what_conducts():
    head = prototype_head(plates=[{"diameter": 14e-3, "thickness": 2e-3, "solid": False}], magnets=[disc(grade="N42")])
    found = {block.part: block.conductivity for block in blocks_of(head)}
    assert found["core"] == pytest.approx(1 / 1.4e-7)
    assert found["magnet"] == pytest.approx(1 / 1.5e-6)
    assert found["plate"] == found["coil"] == 0.0
    assert [block.part for block in blocks_of(head)] == ["core", "coil", "magnet", "plate"]


def test_straight_line_that_ends_in_a_knee_is_told():
    """A wide thin disc of a soft ferrite grade cannot bear its own field, 0.38 T (1 - 3/20 or so)/mu0 > 140 kA/m; a thick one can."""
    thin, thick = (
        solved(*blocks_of(prototype_head(magnets=[disc(grade="Y25", diameter=20e-3, thickness=t)])))[0].working_points()[0]
        for t in (2e-3, 20e-3)
    )
    assert [thin.left, thick.left] == pytest.approx([1.0, 1.0])
    assert thin.beyond > 0.8
    assert thick.beyond < 0.2


def test_working_point_of_a_linear_magnet():
    """Mean of H over a bare cylinder is -N M: N = 0.311577 at l = d (Chen, Brug & Goldfarb 1991)."""
    point = solved(Block(0.0, 2.5e-3, -5e-3, 0.0, remanence=1.0))[0].working_points()[0]
    assert point.field == pytest.approx(-0.311577 / MU0, rel=5e-3)
    assert point.permeance == pytest.approx((1 - 0.311577) / 0.311577, rel=0.01)
