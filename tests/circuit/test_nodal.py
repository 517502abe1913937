"""Netlist → matrices, against textbook formulas, published figures and a second method (admittances at one frequency).

| what                       | slip that would show                                             |
|----------------------------|------------------------------------------------------------------|
| divider, bridge            | a resistance for a conductance, a node's current counted one way |
| RC, RLC                    | sign of a state's rate, C for 1/C                                |
| random networks            | anything of the kind, in any combination                         |
| power                      | a current's direction; heat that is not all of what is fed       |
| feedback                   | plus for minus, gain-bandwidth in rad/s                          |
"""

import numpy as np
import pytest

from circuit.admittances import voltages
from circuit.networks import ladder, netlist, response, split, stage
from wirebloom.circuit.nodal import network_of
from wirebloom.circuit.parts import Capacitor, Coil, Follower, Inductor, Resistor, Source


def volts_of(net, hertz=0.0, **how):
    network, z = response(net, hertz, **how)
    return network.meter[1] @ z


def test_divider():
    net = netlist(Source("s", "a", "0", 9.0, 1), Resistor("upper", "a", "b", 1000.0, 1), Resistor("lower", "b", "0", 500.0, 1), meter="b")
    assert volts_of(net, supply=1.0) == pytest.approx(3.0, rel=1e-14)


def test_unbalanced_bridge():
    """Wheatstone: 10 V over 100/150 Ω and 200/250 Ω, 50 Ω between. Node equations by hand: V = 5.7971, 5.6522 V."""
    parts = [("p", "a", "b", 100.0), ("q", "b", "0", 150.0), ("r", "a", "c", 200.0), ("t", "c", "0", 250.0), ("m", "b", "c", 50.0)]
    net = netlist(Source("s", "a", "0", 10.0, 1), *(Resistor(*part, 1) for part in parts), meter="b")
    matrix = np.array([[1 / 100 + 1 / 150 + 1 / 50, -1 / 50], [-1 / 50, 1 / 200 + 1 / 250 + 1 / 50]])
    assert volts_of(net, supply=1.0) == pytest.approx(np.linalg.solve(matrix, [0.1, 0.05])[0], rel=1e-13)


def test_low_pass():
    """1 kΩ, 1 µF at f = 1/(2πRC): −3.0103 dB and −45° (textbook)."""
    net = netlist(Source("s", "a", "0", 1.0, 1), Resistor("r", "a", "b", 1e3, 1), Capacitor("c", "b", "0", 1e-6, 1), meter="b")
    assert volts_of(net, 1 / (2e-3 * np.pi), supply=1.0) == pytest.approx(0.5 - 0.5j, rel=1e-12)


def test_series_resonance():
    """8 Ω, 1 mH, 100 µF at 440 Hz and 1 V: current leads by 0.1061688 rad, 0.1242962 A (ngspice 39 says the same)."""
    parts = [Resistor("r", "a", "b", 8.0, 1), Capacitor("c", "b", "d", 100e-6, 1), Coil("l", "d", "0", 1)]
    network, z = response(netlist(Source("s", "a", "0", 1.0, 1), *parts), 440.0, supply=1.0, henry={1: 1e-3})
    current = z[network.rate.shape[0] + 1]
    assert abs(current) == pytest.approx(0.1242962, rel=1e-6)
    assert np.angle(current) == pytest.approx(0.1061688, rel=1e-6)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("hertz", [20.0, 700.0, 2e4])
def test_random_networks_by_admittances(seed, hertz):
    net = ladder(np.random.default_rng(seed))
    wanted = voltages(net, 2j * np.pi * hertz)[net.meters[0].pairs[0][0]]
    assert volts_of(net, hertz, supply=1.0) == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_what_is_fed_is_heat_or_stored(seed):
    """At any instant, for any states and inputs (Tellegen 1952, from memory): fed = heat + Σ inertia x x′ + coil power."""
    random = np.random.default_rng(seed)
    base = ladder(random)
    coil = [Resistor("copper", "n2", "d", 24.0, 1), Coil("winding", "d", "0", 1)]
    net = base._replace(parts=(*base.parts, *coil, *split(), stage(out="out", plus="n1"), Resistor("out load", "out", "n0", 330.0, 1)))
    network, _ = network_of(net)
    z = random.standard_normal(network.rate.shape[1])
    fed = sum((pair[0] @ z) * (pair[1] @ z) for pair in network.power)
    stored = network.inertia @ (z[: network.inertia.size] * (network.rate @ z))
    coils = (network.voltage @ z) @ z[network.inertia.size :][:2]
    assert fed == pytest.approx(np.sum((network.heat @ z) ** 2) + stored + coils, rel=1e-9)


@pytest.mark.parametrize("hertz", [10.0, 1e3, 30e3])
def test_non_inverting_amplifier(hertz):
    """1 + 99 kΩ/1 kΩ = 100, and GBW/100 is where it falls by 3 dB; a second road by admittances."""
    parts = [
        Source("s", "in", "0", 1.0, 0),
        *split(),
        stage(minus="fb"),
        Resistor("rf", "out", "fb", 99e3, 0),
        Resistor("rg", "fb", "0", 1e3, 0),
    ]
    net = netlist(*parts, meter=("out",))
    alone = net._replace(parts=tuple(p._replace(volts=0.0) if p.name in {"plus", "minus"} else p for p in net.parts))
    got = volts_of(alone, hertz, supply=1.0)
    assert got == pytest.approx(1 / (1 / 100 + 1e-5 + 1j * hertz / 3e6), rel=1e-9)
    assert got == pytest.approx(voltages(alone, 2j * np.pi * hertz)["out"], rel=1e-9)


def test_sense_coil_as_input_resistor():
    """The inverting stage: an EMF that takes 5 µA out of the summing node through 200 Ω asks +1 V of 200 kΩ.

    An EMF counted into the coil stands against its terminal voltage: the amplifier inverts that terminal's −1 mV.
    """
    parts = [
        Resistor("copper", "sum", "s", 200.0, 0),
        Coil("sense", "s", "0", 0),
        *split(),
        stage(plus="0", minus="sum"),
        Resistor("rf", "out", "sum", 200e3, 0),
    ]
    got = volts_of(netlist(*parts, meter=("out",)), 0.0, emf={0: 1e-3})
    assert got == pytest.approx(1.0 / (1 + 1001 / 1e5), rel=1e-9)


def test_capacitors_side_by_side_are_one_state():
    parts = [
        Source("s", "a", "0", 1.0, 1),
        Resistor("r", "a", "b", 1e3, 1),
        Capacitor("c", "b", "0", 1e-6, 1),
        Capacitor("d", "0", "b", 2e-6, 1),
    ]
    network, _ = network_of(netlist(*parts))
    np.testing.assert_allclose(network.inertia, [3e-6])


def test_rails_that_give_way_have_columns_for_what_is_drawn():
    """1 Ω in line with 9 V: 0.2 A drawn lower the rail by 0.2 V; a rail that does not give way has no such columns."""
    firm = netlist(*split(), stage(), Resistor("in", "in", "0", 1e3, 0), Resistor("load", "out", "0", 8.0, 1))
    assert network_of(firm)[0].high.shape[1] == 0 + 2 + 1 + 1
    parts = [p._replace(a="cell") if p.name == "plus" else p for p in firm.parts]
    soft = firm._replace(parts=(*parts, Resistor("inside", "cell", "sup", 1.0, 1)))
    network, _ = network_of(soft)
    assert network.high.shape[1] == 2 + 1 + 3
    z = np.array([0.0, 0.0, 0.0, 1.0, 0.2, 0.0])
    assert network.high[0] @ z == pytest.approx(8.8, rel=1e-12)
    assert network.low[0] @ z == pytest.approx(-9.0, rel=1e-12)


def test_inductor_and_follower():
    """V over R of an L–R divider behind a doubler: 2 R/(R + jωL)."""
    parts = [
        Source("s", "a", "0", 1.0, 1),
        Follower("f", "b", "0", "a", "0", 2.0, 1),
        Inductor("l", "b", "c", 0.1, 1),
        Resistor("r", "c", "0", 100.0, 1),
    ]
    net = netlist(*parts, meter="c")
    assert volts_of(net, 1000 / (2 * np.pi), supply=1.0) == pytest.approx(2 * 100 / (100 + 100j), rel=1e-12)
