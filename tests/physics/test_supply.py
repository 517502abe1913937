"""Supplies against published figures.

| id | what                                   | source                                                                              |
|----|----------------------------------------|-------------------------------------------------------------------------------------|
| A8 | Peukert, T = C/Iⁿ with C at 1 A        | 100 Ah, 10 A, n 1.2: 6.31 h (ajdesigner.com, seen)                                  |
| A8 | 9 V alkaline block                     | some 500 mAh at 15 mA, 33 h (techbuddha.in, seen)                                   |
| A4 | class B: Pi = 2 Vcc Vp/(π R), two rails | Boylestad & Nashelsky, ex. 12.8 (seen): 30 V, 16 Ω at full swing: 35.81 W           |
"""

from math import inf

import numpy as np
import pytest
from scipy.integrate import quad

from wirebloom.physics.supply import class_b_current, discharge_time, share_until, short_circuit, under_load
from wirebloom.rig.cells import CELLS

HOUR = 3600.0


def test_peukert_worked_example():
    assert discharge_time(100.0 * HOUR, 1.0, 1.2, 10.0) / HOUR == pytest.approx(6.31, rel=1e-3)


def test_peukert_with_a_twenty_hour_rating():
    """t = H (C/(I H))ⁿ, the other usual form (textbook, from memory), H hours at the rated current."""
    for current in (0.5, 1.0, 7.0):
        wanted = 20.0 * (7.0 / (current * 20.0)) ** 1.2
        assert discharge_time(7.0 * HOUR, 0.35, 1.2, current) / HOUR == pytest.approx(wanted, rel=1e-12)


def test_a_9_volt_block_at_15_milliamperes():
    block = CELLS["alkaline 9 V block"]
    assert discharge_time(block.charge, block.rated, block.peukert, 0.015) / HOUR == pytest.approx(33.3, rel=0.2)


def test_little_current_takes_the_rated_capacity_and_none_takes_for_ever():
    assert discharge_time(1800.0, 0.015, 1.2, 0.001) == pytest.approx(1.8e6)
    assert discharge_time(1800.0, 0.015, 1.2, 0.0) == inf


def test_class_b_current_of_the_worked_example():
    """30 V on either rail, 16 Ω, driven up to the rails: 35.81 W from both."""
    assert 2.0 * 30.0 * class_b_current(30.0, 16.0) == pytest.approx(35.81, rel=1e-3)


def test_class_b_current_is_the_mean_of_a_half_wave():
    half, _ = quad(lambda phase: 6.0 / 8.0 * np.sin(phase), 0.0, np.pi)
    assert class_b_current(6.0, 8.0) == pytest.approx(half / (2.0 * np.pi), rel=1e-12)


def test_sag_and_short_circuit():
    """9.5 V behind 1.7 Ω: 9.16 V at 0.2 A; 5.59 A into a short, where nothing is left."""
    assert under_load(9.5, 1.7, 0.2) == pytest.approx(9.16)
    assert short_circuit(9.5, 1.7) == pytest.approx(5.588, rel=1e-3)
    assert under_load(9.5, 1.7, short_circuit(9.5, 1.7)) == pytest.approx(0.0, abs=1e-12)
    assert short_circuit(9.0, 0.0) == inf


def test_a_regulator_drops_out_before_its_battery_is_empty():
    """12.6 V falling to 9.6 V; 9 V out with 2 V drop-out need 11 V: after 1.6/3 of the charge. A load that takes 0.4 V: 1.2/3."""
    assert share_until(11.0, 12.6, 9.6) == pytest.approx(1.6 / 3.0)
    assert share_until(11.0, 12.6 - 0.4, 9.6 - 0.4) == pytest.approx(1.2 / 3.0)


def test_what_is_never_reached_and_what_is_never_lost():
    assert share_until(13.0, 12.6, 9.6) == 0.0
    assert share_until(9.0, 12.6, 9.6) == 1.0
    assert share_until(9.0, 8.0, 8.0) == 0.0
