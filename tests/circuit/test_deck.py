"""A deck as text: every part once with its value, nothing that only some simulators know, signs and factors of what moves."""

import math
import re
from math import pi, sqrt

import numpy as np
import pytest

from oracles import benches
from wirebloom.circuit.deck import Plan, deck
from wirebloom.circuit.equivalents import Partial, Pull, Turn, Windings
from wirebloom.circuit.marks import Nodes, marks, written
from wirebloom.circuit.parts import Capacitor, Coil, Netlist, Resistor, Source

PLAIN = set("RCLKVEFB")
PLAN = Plan("Pier", ("A note.",), 0.02, 0.5, 1e-5)
FIRST = Partial("s1p1", "partial 1 of pier", 2.9e-4, 2 * pi * 196.0, 1.5, 0.0, (0.014, -0.011), (0.002,))
WOUND = Windings(np.array([[2.6e-3, -3e-7], [-3e-7, 2.9e-3]]), (Turn(0, 1e-4, 0.4),), (FIRST,))


def lines(netlist: Netlist, windings: Windings = WOUND, plan: Plan = PLAN) -> list[str]:
    """Lines of a deck with folded ones put together again."""
    return deck(netlist, windings, plan).replace("\n+ ", " ").splitlines()


def elements(found: list[str]) -> dict[str, list[str]]:
    """Words of every element by its name."""
    return {line.split()[0]: line.split() for line in found[1:] if line[0] not in "*."}


@pytest.mark.parametrize("name", benches.BENCHES)
def test_every_part_stands_in_it_once_with_its_value(name):
    netlist = benches.BENCHES[name]()
    found = elements(lines(netlist))
    for part in netlist.parts:
        words = found.get(marks(netlist.parts)[part.name], [])
        if isinstance(part, Resistor | Capacitor):
            assert float(words[3]) == pytest.approx(part[3], rel=1e-9), part.name
        elif isinstance(part, Source):
            assert words[3:] == ["DC", f"{part.volts:g}", "PWL(0", "0", "0.02", f"{part.volts:g})"]
        elif isinstance(part, Coil):
            assert float(words[3]) == benches.INDUCTANCE[part.circuit, part.circuit]


@pytest.mark.parametrize("name", benches.BENCHES)
def test_any_simulator_can_read_it(name):
    """Kinds of elements and functions of Berkeley SPICE 3 (its user's guide, from memory), comments on their own lines, no long ones."""
    text = deck(benches.BENCHES[name](), WOUND, PLAN)
    assert {line[0].upper() for line in text.splitlines()[1:] if line[0] not in "*.+"} <= PLAIN
    called = {word for words in elements(lines(benches.BENCHES[name]())).values() for word in re.findall(r"(\w+)\(", " ".join(words))}
    assert called <= {"V", "I", "uramp", "abs", "PWL"}
    assert not re.search(r"[;$]", text)
    assert text.isascii()
    assert max(map(len, text.splitlines())) <= 100
    assert text.splitlines()[0] == "Pier: the whole loop as a circuit"
    assert text.endswith("\n.end\n")


def test_no_two_elements_share_a_name():
    for bench in benches.BENCHES.values():
        names = [line.split()[0].lower() for line in lines(bench())[1:] if line[0] not in "*."]
        assert len(names) == len(set(names))


def test_a_partial_is_a_resonance_of_its_own_mass_loss_and_pitch():
    """1 V is 1 m/s, 1 A is 1 N: C = m, R = 1/(2mσ), L = 1/(mω²), so that LC = 1/ω² and the decay 1/(2RC) = σ."""
    found = elements(lines(benches.non_inverting()))
    mass, loss, spring = (float(found[name][3]) for name in ("Cs1p1", "Rs1p1", "Ls1p1"))
    assert mass == 2.9e-4
    assert 1 / sqrt(spring * mass) == pytest.approx(2 * pi * 196.0, rel=1e-8)
    assert 1 / (2 * loss * mass) == pytest.approx(1.5, rel=1e-8)


def test_force_and_induced_voltage_have_one_factor_and_one_sign():
    """What a partial feels of a current, it gives back as a voltage: in the sense coil, the drive coil and the shorted turn."""
    found = elements(lines(benches.non_inverting()))
    forces = {words[3]: float(words[4]) for name, words in found.items() if name.startswith("Fs1p1")}
    assert forces == {"VL1": 0.014, "VL2": -0.011, "VT1": 0.002}
    assert all(words[1:3] == ["0", "s1p1"] for name, words in found.items() if name.startswith("F"))
    assert found["BL1"][1:] == ["l1emf", "0", "V=0.014*V(s1p1)"]
    assert found["BL2"][1:] == ["l2emf", "0", "V=-0.011*V(s1p1)"]
    assert found["BT1"][1:] == ["t1c", "0", "V=0.002*V(s1p1)"]


def test_windings_are_coupled_by_their_factors():
    """k = M/√(L₁L₂); a shorted turn that shares all its flux L_k with a coil of L has M = L_k and k = √(L_k/L)."""
    found = elements(lines(benches.non_inverting()))
    assert found["K1"][1:3] == ["L1", "L2"]
    assert float(found["K1"][3]) == pytest.approx(-3e-7 / sqrt(2.6e-3 * 2.9e-3), rel=1e-8)
    assert found["K2"][1:3] == ["L1", "LT1"]
    assert float(found["K2"][3]) == pytest.approx(sqrt(1e-4 / 2.6e-3), rel=1e-8)


def test_a_supply_that_comes_up_starts_from_nothing_and_one_that_is_up_from_what_has_settled():
    rising, settled = lines(benches.non_inverting()), lines(benches.non_inverting(), plan=PLAN._replace(ramp=0.0))
    assert ".tran 1e-05 0.5 0 1e-05 uic" in rising
    assert ".tran 1e-05 0.5 0 1e-05" in settled
    assert "PWL" not in "".join(settled)


def test_a_string_held_aside_pulls_with_its_stiffness_until_it_is_let_go():
    held = WOUND._replace(partials=(FIRST._replace(place=1e-3),))
    found = elements(lines(benches.non_inverting(), held, PLAN._replace(ramp=0.0)))
    assert found["Vletgo"][1:] == ["letgo", "0", "DC", "0", "PWL(0", "1", "10u", "0)"]
    force = float(found["Bs1p1h"][3].removeprefix("I=").removesuffix("*V(letgo)"))
    assert force == pytest.approx(2.9e-4 * (2 * pi * 196.0) ** 2 * 1e-3, rel=1e-8)
    assert found["Bs1p1h"][1:3] == ["0", "s1p1"]


@pytest.mark.parametrize("growth", [2.5, -2.5])
def test_a_pull_that_grows_takes_from_the_stiffness(growth):
    """The speed at the head over 1/κ makes a current κ u; with its weight it pushes on in the direction of motion, or back if κ < 0."""
    found = elements(lines(benches.non_inverting(), WOUND._replace(pulls=(Pull("sense on pier", growth, (0.9,)),))))
    assert found["BM1"][1:] == ["m1a", "0", "V=0.9*V(s1p1)"]
    assert found["VM1"][1:3] == ["m1a", "m1b"]
    assert float(found["LM1"][3]) == pytest.approx(1 / 2.5)
    assert ["0", "s1p1", "VM1", f"{math.copysign(0.9, growth):g}"] in [
        words[1:] for name, words in found.items() if name.startswith("Fs1p1")
    ]


def test_a_string_held_aside_under_a_magnet_is_held_with_less():
    """Stiffness 439 N/m less 0.9 · 2.5 · 0.9 N/m; the ring holds the current κ u through its milliohm meanwhile."""
    held = WOUND._replace(partials=(FIRST._replace(place=1e-3),), pulls=(Pull("sense on pier", 2.5, (0.9,)),))
    found = elements(lines(benches.non_inverting(), held, PLAN._replace(ramp=0.0)))
    force = float(found["Bs1p1h"][3].removeprefix("I=").removesuffix("*V(letgo)"))
    assert force == pytest.approx((2.9e-4 * (2 * pi * 196.0) ** 2 - 0.81 * 2.5) * 1e-3, rel=1e-8)
    assert " ".join(found["BM1"][3:]) == "V=0.9*V(s1p1) + 2.25e-06*V(letgo)"


def test_a_bridge_of_no_resistance_is_a_wire():
    """A resistor of 0 ohm divides by zero in most simulators."""
    parts = [*benches.non_inverting().parts, Resistor("wire bridge", "out", "there", 0.0, 1), Resistor("load", "there", "0", 1e3, 1)]
    found = elements(lines(benches.netlist(parts)))
    assert [words[1:] for name, words in found.items() if name.startswith("VR")] == [["out", "there", "0"]]


def test_node_names_differ_however_alike_they_are():
    node = Nodes(("up",))
    assert [node(name) for name in ("West wall.in", "west-wall.in", "up", "0", "9 V", "GND", "West wall.in")] == [
        "west_wall_in", "west_wall_in_2", "up_2", "0", "n_9_v", "gnd_2", "west_wall_in",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [(1e6, "ohm", "1 Mohm"), (999.99996, "Hz", "1 kHz"), (2.2e-5, "F", "22 uF"), (-4.5, "V", "-4.5 V"), (3e-13, "F", "0.3 pF")],
)
def test_values_as_on_a_drawing(value, unit, text):
    assert written(value, unit) == text
