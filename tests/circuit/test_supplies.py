"""Supplies as parts, by Ohm's law: what a load takes from their voltage at once, and after the decoupling capacitor has given its share."""

import numpy as np
import pytest

from circuit.networks import netlist, response
from wirebloom.circuit.nodal import network_of
from wirebloom.circuit.parts import METERS, Meter, Netlist, Resistor, Source, Stage
from wirebloom.circuit.supplies import feed, rails, supply_parts
from wirebloom.rig.supplies import Battery, Ideal, Regulator

BLOCK = Battery(name="bench", cells="alkaline 9 V block")  # 9.5 V, 1.7 Ω
DECOUPLED = Battery(name="bench", cells="alkaline 9 V block", decoupling=1e-3, decoupling_resistance=0.05)
SPLIT = Battery(name="bench", cells="alkaline 9 V block", split=True, decoupling=1e-3, decoupling_resistance=0.05)


def loaded(supply, *more, supplies=()):
    """Voltage from rail to rail with resistors across, with a capacitor's charging long over."""
    own = rails(supply, supplies)
    parts = [*supply_parts(supply, supplies), *(Resistor(f"load {ohm}", own.high, own.low, ohm, 1) for ohm in more)]
    net = Netlist(tuple(parts), (Meter("supply", 0, ((own.high, own.low),)),), ("main",))
    network, z = response(net, 0.0, supply=1.0)
    return float((network.meter[METERS.index("supply")] @ z).real)


def test_a_battery_sags():
    assert loaded(BLOCK, 1e9) == pytest.approx(9.5)
    assert loaded(BLOCK, 17.3) == pytest.approx(9.5 * 17.3 / 19.0)
    assert loaded(DECOUPLED, 17.3) == pytest.approx(9.5 * 17.3 / 19.0)


def test_a_split_battery_sags_in_both_halves():
    assert rails(SPLIT).volts == pytest.approx(19.0)
    assert loaded(SPLIT, 34.6) == pytest.approx(19.0 * 34.6 / 38.0)


def test_an_ideal_supply_does_not():
    assert loaded(Ideal(name="mains", voltage=9.0), 0.1) == pytest.approx(9.0)
    assert loaded(Ideal(name="mains", voltage=9.0, split=True), 0.1) == pytest.approx(18.0)


def drawing(supply):
    """A stage on the supply's rails: rows of what is between them, columns of what it draws, and the rows of the capacitors."""
    own = rails(supply)
    stage = Stage("amp", "out", "0", "0", "0", own.high, own.low, loop=0, gain=10.0, bandwidth=1e6, slew=1e6, supply=own.volts)
    net = Netlist((*supply_parts(supply), stage), (Meter("supply", 0, ((own.high, own.low),)),), ("main",))
    return network_of(net)[0]


def test_what_is_drawn_comes_through_battery_and_capacitor_in_parallel_at_first():
    row = drawing(DECOUPLED).meter[METERS.index("supply")]
    assert row[-2] == pytest.approx(-1.0 / (1.0 / 1.7 + 1.0 / 0.05))
    assert drawing(BLOCK).meter[METERS.index("supply")][-2] == pytest.approx(-1.7)


def test_both_rails_of_a_split_supply_give_way():
    row = drawing(SPLIT).meter[METERS.index("supply")]
    assert row[-2:] == pytest.approx([-1.0 / (1.0 / 1.7 + 1.0 / 0.05)] * 2)


def test_the_low_rail_of_a_single_supply_does_not():
    assert drawing(BLOCK).meter[METERS.index("supply")][-1] == 0.0


def test_decoupling_recovers_with_its_time_constant():
    """(R_i + R_c) C = 1.75 Ω · 1 mF."""
    network = drawing(DECOUPLED)
    assert -1.0 / network.rate[0, 0] == pytest.approx(1.75e-3)
    assert network.inertia[0] == 1e-3


def test_heat_and_power_of_a_loaded_battery_balance():
    parts = [*supply_parts(BLOCK), Resistor("load", "bench.high", "0", 17.3, 3)]
    network, z = response(netlist(*parts), 0.0, supply=1.0)
    fed = sum(pair[0] @ z * (pair[1] @ z) for pair in network.power)
    assert fed.real == pytest.approx(9.5**2 / 19.0)
    assert np.sum(np.abs(network.heat @ z) ** 2) == pytest.approx(fed.real)


FULL = Battery(name="bank", cells="Li-ion 18650", count=3)  # 12.6 V, 0.15 Ω
LOW = Battery(name="bank", cells="Li-ion 18650", count=3, used=0.9)  # 9.9 V, 0.258 Ω
STEADY = Regulator(name="steady", voltage=9.0, output_resistance=0.05, dropout=2.0, battery="bank")


def test_a_regulator_holds_its_voltage_as_long_as_its_battery_lets_it():
    assert feed(STEADY, (FULL, STEADY)) == (9.0, 0.05)
    assert feed(STEADY) == (9.0, 0.05)
    assert feed(STEADY, (LOW, STEADY)) == pytest.approx((9.9 - 2.0, 0.05 + LOW.resistance))


def test_names_and_homes():
    """Every part has a name of its own and books its heat where it was told to."""
    parts = supply_parts(SPLIT, home=5)
    assert len({part.name for part in parts}) == len(parts) == 8
    assert {part.home for part in parts} == {5}
    assert next(part for part in parts if isinstance(part, Source) and "lower" in part.name).a == "0"
