"""Coils of driving heads as a reader of a take finds them: which, of what resistance, with which limits."""

from dataclasses import replace

import pytest

from wirebloom.compile.coils import coil_sheets, heat_limits
from wirebloom.physics.cooling import warm_body
from wirebloom.rig import load
from wirebloom.take.sheet import LoopSheet

OHMS = {"sense": 24.0, "drive": 25.0}
LOOP = LoopSheet("main", ("sense",), ("drive",), "normal", 1e4, 9.0, -3.0, 3.0, 4.5, 155.0, 25.0, 0.005, 0.0)


def sheets(*changes):
    return coil_sheets(load("first_note", changes)[0], OHMS)


def test_the_drive_coil_with_its_own_resistance_and_body():
    (found,) = sheets("room.temperature=35 degC")
    body = warm_body(load("first_note")[0].heads[1])
    assert (found.head, found.loop, found.resistance_ohm, found.room_K) == ("drive", "main", 25.0, pytest.approx(308.15))
    assert (found.conductance_low_W_per_K, found.conductance_high_W_per_K) == body.conductance
    assert (found.capacity_low_J_per_K, found.capacity_high_J_per_K) == body.capacity


@pytest.mark.parametrize(
    ("change", "limit"),
    [("magnets.0.grade=N35", 353.15), ("magnets.0.remanence=0.4 T", -1.0), ("magnets=[]", 0.0)],
    ids=["graded", "of no grade", "none"],
)
def test_what_its_magnets_bear(change, limit):
    """The drive head is of the same build as the sense head."""
    assert sheets(f"heads.sense.{change}")[0].magnet_K == pytest.approx(limit)


def test_its_enamel():
    found = sheets("heads.sense.coil.enamel=class 130")[0]
    assert (found.enamel, found.enamel_K) == ("class 130", pytest.approx(403.15))


def test_limits_are_told_where_an_amplifier_can_warm_a_coil():
    """3 V over 155 Ω make 9 mW, less than 2 K; over 30 Ω 0.25 W."""
    assert list(heat_limits(sheets(), [LOOP])) == []
    assert len(list(heat_limits(sheets(), [replace(LOOP, drive_resistance_ohm=30.0)]))) == 1
    assert list(heat_limits((), [replace(LOOP, drive_resistance_ohm=30.0)])) == []
