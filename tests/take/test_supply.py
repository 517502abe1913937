"""What loops take from named supplies, of takes with known currents: means by charge, peaks, least voltage, hours, words.

A 9 V block of 500 mAh at 15 mA and n = 1.2 lasts 0.5/0.08 · (15/80)^0.2 = 4.472 h at 80 mA (Peukert by hand).
"""

from dataclasses import replace

import numpy as np
import pytest

from supplied import BLOCK, drawing, supplied
from synthetic import QUIESCENT, RESISTANCE, Tone, synthetic_take
from wirebloom.take.measures import measure
from wirebloom.take.store import load, save
from wirebloom.take.summary import summary
from wirebloom.views.verdict_rows import verdict_rows

STEADY = Tone(growth=0.0)


def take_of(*supplies, drawn=(0.08, 0.0), least=9.2, strings=1, **more):
    return drawing(supplied(synthetic_take([STEADY], strings=strings, **more), *supplies), drawn=drawn, open_V=9.5, least=least)


def row_of(take):
    return dict(verdict_rows(take, measure(take)))["supply bench"]


def test_mean_current_is_the_charge_of_the_last_second():
    (found,) = measure(take_of()).supplies
    assert found.supply_A == pytest.approx(0.08)
    assert found.lower_supply_A == 0.0


def test_what_was_drawn_earlier_does_not_count():
    take = take_of()
    take.frames.drawn_high[:, 0] = np.where(take.frames.time < 0.9, 5.0 * take.frames.time, 4.5 + 0.02 * (take.frames.time - 0.9))
    assert measure(take).supplies[0].supply_A == pytest.approx(0.02, rel=1e-6)


def test_peak_is_that_of_the_drive_and_the_quiescent_current():
    (found,) = measure(take_of(gain=1e7)).supplies
    assert found.supply_peak_A == pytest.approx(3.0 / RESISTANCE + QUIESCENT, rel=0.01)


def test_voltages():
    (found,) = measure(take_of()).supplies
    assert (found.least_supply_V, found.open_supply_V) == pytest.approx((9.2, 9.5), rel=1e-6)


def test_hours_of_a_block():
    assert measure(take_of()).supplies[0].battery_h == pytest.approx(4.472, rel=1e-3)


def test_a_battery_that_is_half_empty_lasts_half_as_long():
    half = replace(BLOCK, charge_C=900.0)
    assert measure(take_of(half)).supplies[0].battery_h == pytest.approx(4.472 / 2.0, rel=1e-3)


def test_an_ideal_supply_lasts_for_ever():
    ideal = replace(BLOCK, kind="ideal", made_of="ideal of 9 V", resistance_ohm=0.0, battery_V=0.0, charge_C=0.0, needed_V=0.0)
    (found,) = measure(take_of(ideal)).supplies
    assert (found.battery_h, found.drops_out) == (None, False)
    assert row_of(take_of(ideal)).startswith("ideal of 9 V: 80 mA on average, ")


def test_loops_on_one_supply_add_up():
    (found,) = measure(take_of(replace(BLOCK, loops=("loop 1", "loop 2")), strings=2)).supplies
    assert found.supply_A == pytest.approx(0.16)
    assert found.supply_peak_A >= 2 * QUIESCENT


def test_halves_of_a_split_supply_count_apart_and_the_busier_decides():
    split = replace(BLOCK, halves=2.0)
    (found,) = measure(take_of(split, drawn=(0.05, 0.08))).supplies
    assert (found.supply_A, found.lower_supply_A, found.open_supply_V) == pytest.approx((0.05, 0.08, 9.5))
    assert found.battery_h == pytest.approx(4.472, rel=1e-3)


def test_a_battery_that_is_pulled_below_its_end():
    assert not measure(take_of(least=5.1)).supplies[0].drops_out
    assert measure(take_of(least=4.9)).supplies[0].drops_out
    assert "below 5 V, where it counts as empty" in row_of(take_of(least=4.9))


# 9 V behind 0.1 Ω, from 12 V behind 0.5 Ω; 11.5 V are needed: at 1 A the output stands at 8.9 V and the battery at 11.5 V.
STEADIED = replace(
    BLOCK,
    kind="regulator",
    open_V=9.0,
    resistance_ohm=0.1,
    battery_V=12.0,
    battery_ohm=0.5,
    empty_V=9.6,
    needed_V=11.5,
    made_of="regulator",
)


def test_a_regulator_drops_out_by_what_its_battery_must_give():
    assert not measure(take_of(STEADIED, least=8.91)).supplies[0].drops_out
    assert measure(take_of(STEADIED, least=8.89)).supplies[0].drops_out
    assert "below 11.5 V, where the regulator drops out" in row_of(take_of(STEADIED, least=8.89))


def test_a_regulator_ends_with_the_voltage_it_needs():
    """0.04 V sag at 80 mA: (12 − 0.04 − 11.5)/(12 − 9.6) of the charge."""
    assert measure(take_of(STEADIED, least=8.99)).supplies[0].battery_h == pytest.approx(4.472 * 0.46 / 2.4, rel=1e-3)


def test_words():
    assert row_of(take_of()) == (
        f"1 × alkaline 9 V block: 80 mA on average, {1e3 * measure(take_of()).supplies[0].supply_peak_A:.3g} mA in the peaks; "
        "9.2 V at the least, 9.5 V without load; lasts about 4.5 h at this level"
    )


def test_summary():
    (found,) = summary(take_of(), measure(take_of()))["supplies"]
    assert found["name"] == "bench"
    assert found["battery_h"] == pytest.approx(4.472, rel=1e-3)


def test_a_take_that_is_too_short_has_none():
    assert measure(drawing(supplied(synthetic_take((), duration=0.0)), drawn=(0.1, 0.0), open_V=9.5, least=9.0)).supplies == ()


@pytest.mark.parametrize("supplies", [(BLOCK,), (BLOCK, replace(BLOCK, name="other", loops=("loop 1", "loop 2")))])
def test_round_trip(tmp_path, supplies):
    take = take_of(*supplies, strings=2)
    save(take, tmp_path / "take.h5")
    assert load(tmp_path / "take.h5").sheet.supplies == supplies
