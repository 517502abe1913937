"""A bill of materials: preferred values, what parts must bear by hand calculation, what is bought and what is not."""

from math import pi

import numpy as np
import pytest

from oracles import benches
from wirebloom.circuit.bill import Item, electronics
from wirebloom.circuit.bill_bench import bench
from wirebloom.circuit.bill_text import bill_text
from wirebloom.circuit.nodal import network_of
from wirebloom.circuit.parts import GROUND, Capacitor, Netlist, Resistor
from wirebloom.circuit.series import E12, E24, POWERS, VOLTAGES, nearest, rating
from wirebloom.circuit.stress import Stress, stress_of
from wirebloom.compile.electronics import lay_out_stages
from wirebloom.rig import load


def stress(netlist: Netlist) -> Stress:
    network, stages = network_of(netlist)
    return stress_of(netlist, network, lay_out_stages(stages, 1e-5), benches.INDUCTANCE)


def items(netlist: Netlist) -> dict[str, Item]:
    return {item.what: item for item in electronics(netlist, stress(netlist))}


def driven(*line) -> Netlist:
    """A stage of ± 5 V, headroom 1 V, whose output goes through some parts to a coil of 25 ohm."""
    amplifier = benches.stage("amplifier", "out", "in", GROUND, gain=200.0, headroom=(1.0, 1.0))
    return benches.netlist([*benches.split(), *benches.sense(), *benches.input_load(), amplifier, *line, *benches.load("line")])


def test_preferred_numbers_are_those_of_the_standard():
    """IEC 60063: 10^(k/24) rounded, but for 27 to 47 and 82, which are one or two off for history's sake (from memory)."""
    exact = np.round(10 ** (1 + np.arange(24) / 24)).astype(int)
    odd = {26: 27, 29: 30, 32: 33, 35: 36, 38: 39, 42: 43, 46: 47, 83: 82}
    assert tuple(odd.get(number, number) for number in exact.tolist()) == E24
    assert E12 == (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)


@pytest.mark.parametrize(
    ("value", "series", "near"), [(97.0, E24, 100.0), (9.4e-8, E12, 1e-7), (1.35e3, E24, 1.3e3), (0.47, E24, 0.47), (24e3, E24, 24e3)]
)
def test_the_nearest_value_may_lie_in_the_next_decade(value, series, near):
    assert nearest(value, series) == near


@pytest.mark.parametrize("value", [0.0, -1.0, float("inf")])
def test_what_has_no_nearest_value_is_refused(value):
    with pytest.raises(ValueError, match="value must be more than 0 and finite; instead received"):
        nearest(value)


def test_the_next_rating_is_never_below():
    assert rating(0.2501, POWERS) == 0.5
    assert rating(25.0, VOLTAGES) == 25.0
    assert rating(1e3, VOLTAGES) == 1e3


def test_power_in_a_resistor_is_that_of_a_square_wave():
    """4 V over 75 + 25 ohm: 40 mA, in 75 ohm 120 mW; at 20 Hz the coil's 2.9 mH (0.36 ohm) takes nothing of it."""
    found = stress(driven(Resistor("level resistor", "out", "line", 75.0, 1)))
    assert found.power["level resistor"] == pytest.approx(0.12, rel=1e-3)
    assert found.current["amplifier"] == pytest.approx(0.04, rel=1e-3)


def test_voltage_over_a_series_capacitor_is_that_of_the_lowest_note():
    """Single supply of 9 V, swing ± 3.65 V about half of it: 4.5 V at rest, and of 3.65 V the share of 1/ωC in the whole at 20 Hz."""
    found = stress(benches.power_chip())
    reactance, whole = 1 / (2 * pi * 20 * 220e-6), 25.0 + 2j * pi * 20 * 2.9e-3
    expected = 4.5 + 3.65 * reactance / abs(whole - 1j * reactance)
    offset = 9.0 / 2 - 4.5 + 0.0
    assert found.voltage["output capacitor"] == pytest.approx(expected + offset, rel=1e-3)


def test_a_capacitor_side_by_side_with_another_bears_the_same():
    line = Resistor("level resistor", "out", "line", 75.0, 1)
    pair = [Capacitor(f"{word} capacitor", "line", GROUND, 1e-6, 1) for word in ("snubber", "other")]
    found = stress(driven(line, *pair))
    assert found.voltage["snubber capacitor"] == found.voltage["other capacitor"] > 0.5


def test_what_belongs_to_something_else_is_not_bought():
    found = items(benches.sagging())
    assert set(found) == {
        "decoupling capacitor",
        "upper divider resistor",
        "lower divider resistor",
        "divider capacitor",
        "input resistor",
        "amplifier",
    }
    assert found["decoupling capacitor"].purpose == "gives the current that the supply is too slow for"


def test_a_pot_is_one_part_of_both_its_halves():
    found = items(benches.two_stages())
    assert found["pot"].value == "10 kohm"
    assert not any("part" in what for what in found)


def test_a_value_that_nobody_sells_has_its_neighbour_beside_it():
    found = items(benches.two_stages())
    assert found["second pole capacitor"].nearest == "18 nF (E12, -9.5 %)"
    assert found["level resistor"].nearest == "33 ohm (E24)"


def test_heads_of_one_build_are_wound_together():
    rig, _ = load("two_strings_two_loops")
    found = bench(rig)
    (winding,) = (item for item in found if item.what.startswith("winding"))
    assert winding.quantity == 4
    assert winding.value.startswith("420 turns of 0.10 mm, window 5.6 mm to 11.2 mm across, 8 mm high")
    assert {item.what for item in found if item.what.startswith("string")} == {"string: west", "string: east"}


def test_a_head_that_differs_is_wound_apart():
    rig, _ = load("first_note", ["heads.drive.coil.turns=300"])
    assert [item.quantity for item in bench(rig) if item.what.startswith("winding")] == [1, 1]


def test_the_table_fits_a_terminal_and_parts_no_number_from_its_unit():
    rig, _ = load("first_note")
    text = bill_text("First note", (*electronics(benches.power_chip(), stress(benches.power_chip())), *bench(rig)), ("Hot " * 40,))
    assert max(map(len, text.splitlines())) <= 80
    assert not any(line.split()[:1] in (["mA"], ["ohm"], ["V"]) for line in text.splitlines())
    assert "\N{NO-BREAK SPACE}" not in text
