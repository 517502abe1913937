"""Direct voltages worked out by hand: an offset through its gain, a rail, a feedback network, a bypassed one, a supply's own draw."""

import numpy as np
import pytest

from circuit.networks import netlist, split, stage
from wirebloom.circuit.nodal import network_of
from wirebloom.circuit.parts import Capacitor, Coil, Netlist, Resistor
from wirebloom.circuit.steady import steady
from wirebloom.compile.electronics import lay_out_stages

COIL = (Resistor("copper", "hot", "d", 24.0, 1), Coil("drive", "d", "0", 1))
BLOCKED = (Capacitor("series", "out", "hot", 1e-4, 1), *COIL)
DIRECT = (Resistor("series", "out", "hot", 1.0, 1), *COIL)
INPUT = (Resistor("sense copper", "in", "s", 200.0, 0), Coil("sense", "s", "0", 0), Resistor("input", "in", "0", 1e6, 0))


def settled(*parts: object):
    network, stages = network_of(netlist(*split(), *INPUT, *parts))
    return network, steady(network, lay_out_stages(stages, 1e-5))


def test_offset_comes_out_gain_times_and_stands_on_the_capacitor():
    _, found = settled(stage(gain=1000.0, offset=2e-3), *BLOCKED)
    assert found.output[0] == pytest.approx(2.0, rel=1e-12)
    assert found.state[-1] == pytest.approx(2.0, rel=1e-12)
    np.testing.assert_allclose(found.current, 0.0, atol=1e-12)


def test_no_further_than_the_rail():
    _, found = settled(stage(gain=1e6, offset=2e-3, headroom=(1.5, 1.0)), *BLOCKED)
    assert found.output[0] == pytest.approx(7.5, rel=1e-12)
    assert settled(stage(gain=1e6, offset=-2e-3, headroom=(1.5, 1.0)), *BLOCKED)[1].output[0] == pytest.approx(-8.0, rel=1e-12)


def test_an_offset_that_would_drive_the_coil_is_a_start_of_its_own():
    _, found = settled(stage(gain=1000.0, offset=2e-3), *DIRECT)
    assert found.output[0] == pytest.approx(0.0, abs=1e-12)


def test_feedback_decides():
    """1 + 99/1: 100 × 2 mV, less 100/1e5 of it. With a capacitor under the lower resistor: 1 × 2 mV."""
    loop = (Resistor("rf", "out", "fb", 99e3, 0), Resistor("rg", "fb", "g", 1e3, 0))
    amp = stage(minus="fb", offset=2e-3)
    assert settled(amp, *loop, Resistor("short", "g", "0", 0.0, 0), *BLOCKED)[1].output[0] == pytest.approx(0.2 / 1.001, rel=1e-9)
    assert settled(amp, *loop, Capacitor("bypass", "g", "0", 1e-5, 0), *BLOCKED)[1].output[0] == pytest.approx(2e-3 / (1 + 1e-5), rel=1e-9)


def test_two_stages_in_a_row():
    first = stage("first", out="mid", gain=100.0, offset=1e-3)
    second = stage("second", plus="mid", gain=10.0, offset=0.0, headroom=(1.5, 1.5))
    load = Resistor("load", "mid", "0", 1e4, 0)
    assert settled(first, load, second, *BLOCKED)[1].output == pytest.approx([0.1, 1.0], rel=1e-12)
    assert settled(first._replace(offset=0.05), load, second, *BLOCKED)[1].output == pytest.approx([5.0, 7.5], rel=1e-12)


def test_quiescent_current_lowers_a_soft_rail():
    """20 mA through 5 Ω take 0.1 V off 9 V, and off the swing."""
    soft = tuple(p._replace(a="cell") if p.name == "plus" else p for p in split())
    parts = (*soft, Resistor("inside", "cell", "sup", 5.0, 1), *INPUT, stage(quiescent=0.02), *BLOCKED)
    network, stages = network_of(Netlist(parts, (), ("main",)))
    assert steady(network, lay_out_stages(stages, 1e-5)).high[0] == pytest.approx(8.9, rel=1e-9)
