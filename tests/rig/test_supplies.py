"""Batteries, regulators and ideal supplies: their table, their units, and every sentence that refuses one.

| what                    | source                                                                                      |
|-------------------------|---------------------------------------------------------------------------------------------|
| nominal voltages        | IEC 60086-2: LR6 1.5 V, 6LR61 9 V; IEC 61951-2: 1.2 V; IEC 61960-3: 3.6 V; lead 2 V (memory) |
| capacity of a 9 V block | about 500 mAh at 15 mA (seen)                                                               |
| lead battery 12 V, 7 Ah | full 12.8 V, end 10.5 V at the 20-hour current of 0.35 A, 20 to 30 mΩ (data-sheet class, from memory) |
"""

import pytest

from wirebloom.errors import RigError, ScenarioError
from wirebloom.rig.cells import CELLS
from wirebloom.rig.supplies import Battery, Regulator

BATTERY = '\n[[supplies]]\nname = "bench"\nkind = "battery"\ncells = "alkaline AA"\ncount = 4\n'
REGULATOR = '\n[[supplies]]\nname = "steady"\nkind = "regulator"\nvoltage = "3 V"\nbattery = "bench"\n'
IDEAL = '\n[[supplies]]\nname = "mains"\nkind = "ideal"\nvoltage = "9 V"\n'


def written(read, *tables, overrides=()):
    from .conftest import SCENARIO

    return read(*overrides, text=SCENARIO + "".join(tables))[0].supplies


def test_nominal_voltages():
    nominal = {"alkaline AA": 1.5, "alkaline 9 V block": 9.0, "NiMH AA": 1.2, "Li-ion 18650": 3.6, "lead-acid 7 Ah": 2.0}
    assert {name: CELLS[name].nominal for name in nominal} == nominal


def test_capacity_of_a_9_volt_block():
    assert CELLS["alkaline 9 V block"].charge == pytest.approx(0.5 * 3600.0, rel=0.2)
    assert CELLS["alkaline 9 V block"].rated == 0.015


def test_a_lead_battery_of_six_cells():
    lead = Battery(name="bench", cells="lead-acid 7 Ah", count=6)
    assert lead.open_voltage == pytest.approx(12.8, rel=0.01)
    assert lead.end_voltage == pytest.approx(10.5)
    assert 0.02 <= lead.resistance <= 0.03
    assert lead.charge / lead.rated == pytest.approx(20.0 * 3600.0)


@pytest.mark.parametrize("name", CELLS)
def test_every_cell_makes_sense(name):
    """Slips of a digit or of two columns."""
    cell = CELLS[name]
    assert 1.0 < cell.full / cell.nominal < 1.2
    assert 0.5 < cell.end / cell.nominal < 1.0
    assert cell.end < cell.empty < cell.full
    assert 1.0 <= cell.peukert <= 1.3
    assert cell.resistance < cell.worn
    assert 3.0 <= cell.charge / cell.rated / 3600.0 <= 200.0  # hours
    assert cell.full / cell.resistance > 5.0 * cell.rated  # a short gives far more than the rated current


def test_cells_in_series_and_side_by_side():
    """1.6 V and 0.15 Ω each: 4 in series 6.4 V and 0.6 Ω; two such rows half the resistance, twice the charge and the rated current."""
    one, two = (Battery(name="bench", cells="alkaline AA", count=4, parallel=rows) for rows in (1, 2))
    assert (one.open_voltage, one.resistance, one.charge) == pytest.approx((6.4, 0.6, 2.6 * 3600.0))
    assert (two.open_voltage, two.resistance, two.charge, two.rated) == pytest.approx((6.4, 0.3, 5.2 * 3600.0, 0.1))


def test_a_used_battery_has_less_voltage_and_more_resistance():
    full, half, empty = (Battery(name="bench", cells="alkaline AA", used=used) for used in (0.0, 0.5, 1.0))
    assert half.open_voltage == pytest.approx((full.open_voltage + empty.open_voltage) / 2.0)
    assert full.resistance < half.resistance < empty.resistance
    assert half.empty_voltage == empty.open_voltage


def test_stated_values_go_first_and_keep_the_rated_hours():
    own = Battery(name="bench", cells="alkaline AA", voltage=1.5, capacity=2.0 * 2.6 * 3600.0, internal_resistance=0.3)
    assert (own.open_voltage, own.resistance) == (1.5, 0.3)
    assert own.rated == pytest.approx(2.0 * CELLS["alkaline AA"].rated)


def test_units(read):
    keys = ("supplies.bench.capacity=2000 mAh", "supplies.bench.internal_resistance=300 mohm", "supplies.bench.decoupling=1000 uF")
    (battery,) = written(read, BATTERY, overrides=keys)
    assert (battery.capacity, battery.internal_resistance, battery.decoupling) == pytest.approx((7200.0, 0.3, 1e-3))
    assert written(read, BATTERY, overrides=["supplies.bench.capacity=2 Ah"])[0].capacity == pytest.approx(7200.0)


def test_all_kinds(read):
    battery, regulator, ideal = written(read, BATTERY, REGULATOR, IDEAL)
    assert (battery.open_voltage, regulator.open_voltage, ideal.open_voltage) == pytest.approx((6.4, 3.0, 9.0))
    assert isinstance(regulator, Regulator)


WORDS = {
    "supplies.bench.kind=batery": "supplies[0].kind must be 'battery', 'regulator' or 'ideal'; instead received batery. Perhaps you "
    "meant 'battery'.",
    "supplies.bench.count=0": "supplies[0].count must be a whole number between 1 and 100; instead received 0.",
    "supplies.bench.used=1.2": "supplies[0].used must be between 0 and 1; instead received 1.2.",
    "supplies.bench.capacity=2 A": "supplies[0].capacity must be a charge in Ah, mAh or C; instead received 2 A.",
    "supplies.bench.internal_resistance=0 ohm": "supplies[0].internal_resistance must be between 0.1 mohm and 10 kohm; instead received "
    "0 ohm.",
    "supplies.bench.decoupling=-1 uF": "supplies[0].decoupling must be between 1 nF and 10 F; instead received -1 uF.",
    "supplies.bench.volts=9 V": "supplies[0].volts must be a key of this table (name, kind, split, decoupling, decoupling_resistance, "
    "cells, count, parallel, used, voltage, capacity, internal_resistance); instead received volts. Perhaps you meant 'voltage'.",
    "supplies.steady.battery=bank": "supplies[1].battery must be the name of a supply ('bench' or 'steady'); instead received bank.",
    "supplies.steady.battery=steady": "supplies[1].battery must be the name of a battery; instead received 'steady', which is none.",
    "supplies.steady.name=bench": "supplies[1].name must be a name of its own; instead received 'bench', which supplies[0] has already.",
    "supplies.steady.split=true": "supplies[1].split must be false, as that of its battery; instead received true.",
}


@pytest.mark.parametrize(("override", "expected"), WORDS.items())
def test_words(read, override, expected):
    with pytest.raises(ScenarioError) as caught:
        written(read, BATTERY, REGULATOR, overrides=[override])
    assert str(caught.value) == f"test.toml: {expected}"


def test_a_kind_must_be_said(read):
    with pytest.raises(ScenarioError, match=r"supplies\[0\]\.kind must be given; instead received nothing\."):
        written(read, BATTERY.replace('kind = "battery"\n', ""))


IMPOSSIBLE = {
    "supplies.steady.voltage=5 V": "supplies[1].voltage must be at most 4.4 V, what 'bench' leaves of 6.4 V after the drop-out; instead "
    "received 5 V.",
    "supplies.bench.voltage=9 V": "supplies[0].voltage must be at most 7.36 V for 4 × alkaline AA in series; instead received 9 V.",
}


@pytest.mark.parametrize(("override", "expected"), IMPOSSIBLE.items())
def test_impossible(read, override, expected):
    with pytest.raises(RigError) as caught:
        written(read, BATTERY, REGULATOR, overrides=[override])
    assert str(caught.value) == f"test.toml: {expected}"
