"""Loops that share a battery. Common practice, no source: with a weak one they motor-boat, and a large capacitor across it stops that.

What one loop draws takes voltage off the other's supply, hears of it through the little its preamplifier lets pass, and so draws more or
less: a loop gain of its own, of which every loop that is added takes its share. Two that motor-boat are each steady alone.
"""

from functools import cache

import numpy as np
import pytest

from trade.shared import loops_on_one_battery
from wirebloom.compile import compile_rig
from wirebloom.rig import loads
from wirebloom.run import simulate
from wirebloom.take.measures import measure
from wirebloom.views.verdict_rows import verdict_rows

LOW, FAIR = 54, 68  # dB of supply rejection
DECOUPLED = 'decoupling = "1000 uF"\n'


@cache
def ended(count, **settings):
    take = simulate(compile_rig(*loads(loops_on_one_battery(count, **settings), file="shared.toml")))
    return take, measure(take)


def motor_boats(take):
    """Whether the supply still moves at the end: by how much of it, from peak to peak."""
    late = take.signals.supply_voltage[-round(0.5 * take.audio_rate) :, 0].astype(float)
    return float(np.ptp(late)) > 0.05 * take.sheet.supplies[0].open_V


def test_two_loops_on_a_weak_battery_motor_boat():
    take, _ = ended(2, rejection=LOW)
    assert motor_boats(take)


def test_a_large_capacitor_across_it_stops_that():
    take, _ = ended(2, rejection=LOW, more=DECOUPLED)
    assert not motor_boats(take)


def test_so_does_a_fresh_battery_of_low_resistance():
    take, _ = ended(2, rejection=LOW, cells="alkaline 9 V block", used=0.0)
    assert not motor_boats(take)


def test_each_alone_is_steady_where_two_are_not():
    assert not motor_boats(ended(1, rejection=FAIR)[0])
    assert motor_boats(ended(2, rejection=FAIR)[0])


def test_a_quiet_bench_takes_the_quiescent_currents_of_all_its_stages():
    """Two loops of two op-amps of 1.6 mA, and two dividers of 20 kΩ across the battery: what sags over 51 Ω."""
    take, measures = ended(2, rejection=FAIR, more=DECOUPLED)
    (found,), (sheet,) = measures.supplies, take.sheet.supplies
    assert sheet.resistance_ohm == pytest.approx(15.0 + 0.8 * 45.0)
    assert found.supply_A == pytest.approx(4 * 1.6e-3, rel=0.02)
    dividers = 2.0 * found.least_supply_V / 20e3
    sag = sheet.resistance_ohm * (found.supply_A + dividers)
    assert found.open_supply_V - found.least_supply_V == pytest.approx(sag, rel=0.02)


def test_the_verdict_names_the_battery():
    take, measures = ended(2, rejection=FAIR, more=DECOUPLED)
    told = dict(verdict_rows(take, measures))["supply bench"]
    assert told.startswith("1 × zinc-carbon 9 V block: 6.4")
    assert any("into a short" in caution for caution in take.sheet.cautions)
