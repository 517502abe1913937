"""Every amplifier block alone and in a row, against textbook formulas; the response by a nodal analysis that is not the package's.

| what                    | source                                                              | slip that would show                    |
|-------------------------|---------------------------------------------------------------------|-----------------------------------------|
| op-amp, both topologies | textbook: 1 + R_f/R_g, −R_f/R_in                                    | sign, the coil's resistance left out    |
| its bandwidth           | textbook (memory): GBW over noise gain, 1 MHz/101 = 9.901 kHz       | gain for noise gain, Hz for rad/s       |
| power chip              | derived: 30 kΩ/(150 Ω + 1.35 kΩ ∥ 10 µF), 115 and 47° at 82 Hz      | lag for lead, capacitor over all of it  |
| coupling                | textbook RC: 1/√2 and +45° at 1/(2πRC)                              | low-pass for high-pass, pot upside down |
| feedback capacitor      | textbook RC: −3 dB at 1/(2πR_f C)                                   | across the wrong resistor               |
| second pole             | textbook: 1/√2 and −45° more at the pole                            | pole outside the feedback               |
| resting points          | by hand: half a single supply, ground of a split one                | offset twice, a chip's input at half    |
"""

from itertools import product

import numpy as np
import pytest

from circuit.blocks_at import buffer, built, chip, coupling, gain, inverting, straight
from circuit.networks import response
from wirebloom.circuit.nodal import network_of
from wirebloom.circuit.parts import METERS, Capacitor, Levelling, Resistor, Stage
from wirebloom.circuit.steady import steady
from wirebloom.circuit.wiring import check_wiring
from wirebloom.compile.electronics import lay_out_stages
from wirebloom.errors import RigError
from wirebloom.rig import OpAmp, Output, Snubber
from wirebloom.rig.stages import Levelling as Turned
from wirebloom.rig.supplies import Battery, Ideal

SINGLE = Ideal(name="bench", voltage=9.0)
BLOCK = Battery(name="bench", cells="alkaline 9 V block")


def degrees(value):
    return float(np.degrees(np.angle(value)))


def named(net, kind, name):
    """The only part of a kind whose name ends so."""
    (found,) = [part for part in net.parts if isinstance(part, kind) and part.name.endswith(name)]
    return found


def test_non_inverting_gain():
    assert gain(built(straight()), 100.0) == pytest.approx(100.0, rel=1e-4)


def test_inverting_gain_is_the_feedback_over_the_coil():
    """R_f over 24 Ω of coil; with an input resistor over both. The sign turns."""
    assert gain(built(inverting(feedback=24e3)), 100.0) == pytest.approx(-1000.0, rel=1e-4)
    assert gain(built(inverting(feedback=24e3, input_resistor=76.0)), 100.0) == pytest.approx(-240.0, rel=1e-4)


def test_inverting_gain_falls_with_the_coils_inductance():
    """−R_f/(R + jωL): at ω = R/L 3 dB and 45° less; a non-inverting stage does not notice."""
    hertz = 24.0 / (2 * np.pi * 2.6e-3)
    turned = gain(built(inverting(feedback=24e3)), hertz, henry={0: 2.6e-3})
    assert turned == pytest.approx(-1000.0 / (1 + 1j), rel=1e-3)
    assert gain(built(straight()), hertz, henry={0: 2.6e-3}) == pytest.approx(100.0, rel=1e-3)


@pytest.mark.parametrize("stage", [straight, inverting])
def test_bandwidth_is_that_of_the_noise_gain(stage):
    """Textbook (memory): GBW 1 MHz and noise gain 101 → 9.901 kHz, whichever input the signal takes."""
    keys = {"to_ground": 100.0, "feedback": 10e3} if stage is straight else {"feedback": 2400.0}
    net = built(stage(gain_bandwidth=1e6, open_gain=1e8, **keys))
    assert abs(gain(net, 9901.0)) / abs(gain(net, 1.0)) == pytest.approx(np.sqrt(0.5), rel=1e-3)


def test_power_chip_with_its_bypass_capacitor():
    """Derived: 30 kΩ/(150 Ω + 1.35 kΩ ∥ 10 µF) is 115 with 47° of lead at 82 Hz, 200 far above and 20 far below."""
    net = built(chip(bypass=10e-6))
    at = gain(net, 82.0)
    assert (abs(at), degrees(at)) == (pytest.approx(115.4, rel=2e-3), pytest.approx(46.9, abs=0.3))
    assert gain(net, 100e3) == pytest.approx(200.0, rel=1e-2)
    assert gain(net, 0.01) == pytest.approx(20.0, rel=1e-3)


@pytest.mark.parametrize("supply", [None, SINGLE, BLOCK])
def test_power_chip_without_it(supply):
    """20 at every note, in phase, whatever it rests about."""
    for hertz in (20.0, 82.0, 5e3):
        assert gain(built(chip(), supply=supply), hertz) == pytest.approx(20.0, rel=1e-3)


def test_power_chip_loads_the_coil_with_its_input():
    """50 kΩ to ground behind a coil of 50 kΩ: half."""
    net = built(chip(input_resistance=50e3), windings=(50e3, 1e9))
    assert gain(net, 100.0) == pytest.approx(10.0, rel=1e-3)


def test_coupling_leads_by_45_degrees_at_its_corner():
    """1 µF into 10 kΩ: 15.92 Hz."""
    net = built(straight(), coupling(capacitor=1e-6, resistor=10e3), buffer())
    at = gain(net, 1 / (2 * np.pi * 1e-6 * 10e3))
    assert (abs(at), degrees(at)) == (pytest.approx(100.0 / np.sqrt(2), rel=1e-3), pytest.approx(45.0, abs=0.1))


@pytest.mark.parametrize("share", [1.0, 0.3])
def test_pot_passes_its_share(share):
    net = built(straight(), coupling(capacitor=1e-3, resistor=10e3, share=share), buffer())
    assert gain(net, 1e3) == pytest.approx(100.0 * share, rel=1e-3)


def test_two_stages_multiply():
    """100 · −10: the second one's input resistor sets its gain, not the coil two stages before it."""
    net = built(straight(), inverting(feedback=10e3, input_resistor=1e3))
    assert gain(net, 100.0) == pytest.approx(-1000.0, rel=1e-3)


def test_feedback_capacitor_takes_the_high_notes():
    """Textbook: 99 kΩ ∥ 1 nF, −3 dB of R_f/R_in at 1607.6 Hz."""
    net = built(inverting(feedback_capacitor=1e-9))
    at = gain(net, 1 / (2 * np.pi * 99e3 * 1e-9))
    assert at == pytest.approx(-99e3 / 24.0 / (1 + 1j), rel=2e-3)


def test_second_pole_lies_within_the_feedback():
    """Open: −3 dB and −45° more at 50 kHz. Closed by 100: the closed form G/(1 + jf/f₁ (1 + jf/f₂)), f₁ = GBW/G."""
    net = built(straight(gain_bandwidth=1e6, second_pole=50e3))
    for hertz in (1e3, 20e3, 100e3):
        expected = 100.0 / (1 + 1j * hertz / 1e4 * (1 + 1j * hertz / 50e3))
        assert gain(net, hertz) == pytest.approx(expected, rel=1e-3)


def test_buffer_follows_behind_its_output_resistance():
    """Gain 1, 6 Ω against a drive winding of 24 Ω: 0.8 of it arrives."""
    net = built(buffer(output_resistance=6.0), windings=(24.0, 24.0))
    assert gain(net, 1e3) == pytest.approx(0.8, rel=1e-4)


def test_output_resistance_of_an_op_amp_is_within_its_feedback():
    net = built(straight(output_resistance=100.0), windings=(24.0, 24.0))
    assert gain(net, 1e3) == pytest.approx(100.0, rel=1e-3)


def test_level_resistor_and_coil_divide_the_output():
    net = built(buffer(), windings=(24.0, 24.0), output=Output(level_resistor=72.0))
    assert gain(net, 1e3, "main.level resistor") == pytest.approx(0.25, rel=2e-3)  # 0.1 Ω of the buffer besides


def test_snubber_is_a_resistor_and_a_capacitor_to_ground():
    """10 Ω and 47 nF across 90 Ω of output: at 1/(2π·RC) of the series resistance 100 Ω the inner node lags by 45°."""
    snubber = Output(snubber=Snubber(resistor=10.0, capacitor=47e-9))
    net = built(buffer(output_resistance=90.0), output=snubber)
    inner = gain(net, 1 / (2 * np.pi * 100.0 * 47e-9), "main.snubber")
    assert inner == pytest.approx(1 / (1 + 1j), rel=1e-3)


@pytest.mark.parametrize(
    "stages", [(inverting(),), (straight(), coupling(capacitor=1e-6, resistor=1e4), chip(bypass=1e-5)), (straight(), buffer())]
)
@pytest.mark.parametrize("supply", [None, SINGLE, BLOCK])
def test_the_packages_equations_say_the_same(stages, supply):
    net = built(*stages, supply=supply, output=Output(capacitor=220e-6))
    for hertz in (30.0, 3e3):
        network, z = response(net, hertz, emf={0: -1.0})
        assert network.meter[METERS.index("output")] @ z == pytest.approx(gain(net, hertz), rel=1e-6)


def test_wiring_and_names_hold_for_the_longest_row():
    """All names differ, no node hangs in the air; parts of one loop carry its name."""
    net = built(
        straight(output_resistance=100.0, second_pole=1e7, feedback_capacitor=1e-10, input_capacitance=1e-11),
        coupling(capacitor=1e-6, resistor=1e4, share=0.5),
        inverting(input_resistor=1e3, second_pole=1e7),
        coupling(capacitor=1e-6, resistor=1e4),
        chip(bypass=1e-5, output_resistance=0.5, input_capacitance=1e-11),
        buffer(output_resistance=5.0),
        supply=BLOCK,
        output=Output(capacitor=2.2e-4, level_resistor=10.0, snubber=Snubber(resistor=10.0, capacitor=47e-9)),
    )
    network_of(net)
    names = [part.name for part in net.parts]
    assert len(set(names)) == len(names)
    assert all(name.startswith(("main ", "bench ")) for name in names)


FULL = {"second_pole": 1e7, "input_capacitance": 1e-11}
ROW = {
    "inverting": inverting(input_resistor=1e3, feedback_capacitor=1e-10, **FULL),
    "straight": straight(feedback_capacitor=1e-10, **FULL),
    "chip": chip(bypass=1e-5, **FULL),
    "buffer": buffer(**FULL),
    "coupling": coupling(capacitor=1e-6, resistor=1e4),
    "pot": coupling(capacitor=1e-6, resistor=1e4, share=0.5),
}


@pytest.mark.parametrize("supply", [None, SINGLE, BLOCK])
@pytest.mark.parametrize("first", ROW)
def test_blocks_fit_together_in_any_row(first, supply):
    """No ring of capacitors, no node in the air, whatever comes before or behind; every row has finite equations."""
    for second, third in product(ROW, ("inverting", "straight", "chip", "buffer")):
        net = built(ROW[first], ROW[second], ROW[third], supply=supply, output=Output(capacitor=2.2e-4))
        network, _ = network_of(net)
        assert all(np.all(np.isfinite(rows)) for rows in network)


def test_a_coil_behind_a_coupling_sets_the_gain_of_an_inverting_stage():
    net = built(coupling(capacitor=1.0, resistor=1e8), inverting(feedback=24e3, feedback_capacitor=1e-11, **FULL))
    assert gain(net, 100.0) == pytest.approx(-1000.0, rel=1e-3)
    network_of(net)


def test_one_device_needs_no_number():
    alone, two = built(inverting()), built(straight(), inverting(input_resistor=1e3))
    assert named(alone, Resistor, "feedback resistor").name == "main feedback resistor"
    assert [p.name for p in two.parts if p.name.endswith("feedback resistor")] == [f"main stage {k} feedback resistor" for k in (1, 2)]


def rested(net):
    network, stages = network_of(net)
    silent = [stage._replace(offset=0.0) for stage in stages]
    found = steady(network, lay_out_stages(silent, 1e-5))
    return dict(zip(METERS, network.meter @ found.column, strict=True)), found


@pytest.mark.parametrize("stages", [(inverting(),), (straight(),), (chip(bypass=1e-5),), (buffer(),)])
@pytest.mark.parametrize(("supply", "volts"), [(None, 0.0), (SINGLE, 4.5)])
def test_output_rests_half_way_between_the_rails(stages, supply, volts):
    at, _ = rested(built(*stages, supply=supply, output=Output(capacitor=220e-6)))
    assert at["output"] == pytest.approx(volts, abs=1e-6)
    assert at["node"] == pytest.approx(0.0, abs=1e-6)


def test_resting_point_of_a_battery_is_half_of_what_it_has_left():
    """The divider hangs on the rail behind the internal resistance, from which the quiescent current is drawn."""
    at, _ = rested(built(chip(quiescent_current=0.02), supply=BLOCK, output=Output(capacitor=220e-6)))
    left = BLOCK.open_voltage - 0.02 * BLOCK.resistance
    assert at["supply"] == pytest.approx(left, rel=2e-3)
    assert at["output"] == pytest.approx(at["supply"] / 2, rel=1e-3)


def test_offset_comes_out_times_the_gain_for_direct_current():
    """5 mV: times 1 + R_f/R_g of an op-amp; of a chip times 1 + 20, as its bypass capacitor blocks."""
    for stage, times in ((straight(input_offset=5e-3), 100.0), (chip(bypass=1e-5, input_offset=5e-3), 21.0)):
        network, stages = network_of(built(stage, supply=SINGLE, output=Output(capacitor=220e-6)))
        found = steady(network, lay_out_stages(stages, 1e-5))
        assert found.output == pytest.approx([5e-3 * times], rel=1e-4)


def test_resistors_around_a_straight_stage_are_heard():
    """1 kΩ ∥ 99 kΩ = 990 Ω: √(4kTR) = 4.004 nV/√Hz (Nyquist 1928) beside 3 nV/√Hz of the device: 5.003 nV/√Hz."""
    stage = named(built(straight(feedback=99e3, to_ground=1e3, noise=3e-9)), Stage, "op-amp")
    assert stage.noise == pytest.approx(5.003e-9, rel=1e-3)


def test_limits_arrive_at_the_element():
    """dB of rejection as a ratio of voltages; up and down are not mixed up."""
    net = built(
        chip(
            headroom_up=0.9,
            headroom_down=0.4,
            headroom_resistance=2.0,
            current_limit=0.6,
            supply_rejection=46.0,
            noise=5e-8,
            quiescent_current=4e-3,
        )
    )
    element = named(net, Stage, "power chip")
    assert (element.headroom, element.bend, element.limit) == ((0.9, 0.4), 2.0, 0.6)
    assert element.rejection == pytest.approx(1 / 200, rel=3e-3)
    assert (element.noise, element.quiescent, element.supply) == (5e-8, 4e-3, 18.0)


@pytest.mark.parametrize(("stage", "name", "other"), [(buffer, "buffer", None), (straight, "levelling", "op-amp")])
def test_levelling_arrives_where_no_feedback_undoes_it(stage, name, other):
    net = built(stage(levelling=Turned(level=1.5, attack=0.02, release=0.8)))
    assert named(net, Stage, name).levelling == Levelling(1.5, 0.02, 0.8)
    assert other is None or named(net, Stage, other).levelling is None


def test_an_element_without_limits_has_none():
    element = named(built(buffer()), Stage, "buffer")
    assert (element.limit, element.rejection, element.levelling) == (float("inf"), 0.0, None)


def test_more_gain_than_the_device_has_over_the_coils_own_resistance():
    with pytest.raises(RigError) as caught:
        built(inverting(feedback=30e3, open_gain=1e3))
    assert str(caught.value) == (
        "loops[0].stages[0].feedback must be less than 24 kohm, where the gain over the 24 ohm before it is all that the device has; "
        "instead received 30 kohm."
    )


def test_a_node_in_the_air_is_named():
    """A coupling without its resistor: a way to ground is missing, and the part says where."""
    net = built(straight(), coupling(capacitor=1e-6, resistor=10e3), buffer(input_resistance=1e12))
    parts = [part for part in net.parts if part.name not in {"main stage 2 coupling resistor", "main stage 3 input resistance"}]
    broken = [part._replace(a="main.nowhere") if part.name == "main stage 2 coupling capacitor" else part for part in parts]
    with pytest.raises(RigError, match="main"):
        check_wiring(broken)


def test_coil_is_heard_over_its_own_resistance_where_the_input_stands_still():
    """The summing node is still, so the meter lies over the winding: there all of the string's voltage falls."""
    for stage in (inverting(feedback=24e3), straight()):
        net = built(stage)
        network, z = response(net, 200.0, emf={0: -1.0})
        assert network.meter[METERS.index("node")] @ z == pytest.approx(1.0, rel=1e-3)


def test_preset_makes_the_same_element_as_its_typical_values():
    keys = {"kind": "op-amp", "topology": "inverting", "feedback": 24e3}
    first = named(built(OpAmp(preset="low-noise op-amp", **keys)), Stage, "op-amp")
    assert (first.gain, first.bandwidth, first.slew, first.noise) == (1e5, 1e7, 9e6, pytest.approx(5e-9))
    assert named(built(OpAmp(preset="low-noise op-amp", **keys)), Capacitor, "input capacitance").farad == pytest.approx(12e-12)
