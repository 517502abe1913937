"""From the words of a loop to the numbers of its circuits, each against a figure worked out by hand.

| what                                  | slip that would show                                               |
|---------------------------------------|--------------------------------------------------------------------|
| heads in series, coupled and reversed | a mutual term counted once, a sense of winding lost or taken twice |
| crosstalk of two far dipoles          | its sign, r² for r³, the offset of a head left out                 |
| resistance of the drive circuit       | level or output resistor left out, or warmed like copper           |
| capacitors                            | capacitance for elastance, parallel for series                     |
| swing                                 | headroom once for a single supply's two rails, bias forgotten      |
| noise a step                          | two-sided for one-sided density: √2                                |
| quarter-period networks               | lead for lag, Hz for rad/s, a gain that is not 1                   |
"""

import numpy as np
import pytest

from consistency.scenario import TEXT, compiled
from wirebloom.compile import compile_rig
from wirebloom.errors import RigError
from wirebloom.kernels import loop
from wirebloom.kernels.layout import Inputs
from wirebloom.rig import loads
from wirebloom.run.recorder import blank_record

AMPLIFIER = "loops.main.amplifier"
SINGLE = (f"{AMPLIFIER}.supply_kind=single", "loops.main.output.capacitor=470 uF")
DIPOLES = ("heads.sense.dipole=0.01 m2", "heads.drive.dipole=0.005 m2")
SPARE = """
[[heads]]
name = "spare"
kind = "measured"
string = "one"
position = "0.7 L"
gap = "1 mm"
law = { gap = "1 mm", factor = "14 mN/A", pull = "3 mN", decay_length = "1.5 mm" }
resistance = "8 ohm"
inductance = "0.9 mH"
face_diameter = "5 mm"
aperture = "6 mm"
"""
IN_SERIES = "loops.main.drive=['drive', 'spare']"
COUPLED = "couplings=[{heads=['drive', 'spare'], mutual='0.2 mH'}]"


def with_spare(*overrides):
    return compile_rig(*loads(TEXT + SPARE, file="bench.toml", overrides=overrides)).model


def resistance(model):
    """Of every circuit, out of the voltages that its own current makes, Ω."""
    coils = np.arange(model.coils.noise.size)
    return -model.network.voltage[coils, model.network.inertia.size + coils]


def elastance(model):
    """Of every circuit: what a charge leaves on its capacitors against its coil, 1/F."""
    states, coils = model.network.inertia.size, np.arange(model.coils.noise.size)
    matrix = -model.network.voltage[:, :states] @ model.network.rate[:, states:]
    return matrix[coils, coils]


def inductance(*overrides):
    return compiled(*overrides).model.coils.inductance


def test_coils_stand_on_the_diagonal_sense_first():
    np.testing.assert_allclose(inductance(), np.diag([20e-3, 2.6e-3]), rtol=1e-12)


@pytest.mark.parametrize(
    ("reversed_heads", "henry"),
    [((), 2.6e-3 + 0.9e-3 + 0.4e-3), (("spare",), 2.6e-3 + 0.9e-3 - 0.4e-3), (("drive", "spare"), 2.6e-3 + 0.9e-3 + 0.4e-3)],
)
def test_heads_in_series_add_twice_their_mutual_inductance(reversed_heads, henry):
    """L₁ + L₂ ± 2M (textbook): aiding, opposing, and both turned round."""
    model = with_spare(IN_SERIES, COUPLED, *(f"heads.{name}.reversed=true" for name in reversed_heads))
    assert model.coils.inductance[1, 1] == pytest.approx(henry, rel=1e-12)
    assert resistance(model)[1] == pytest.approx(24.0 + 8.0 + 0.5, rel=1e-12)


def test_reversed_heads_carry_their_sign_to_the_force():
    np.testing.assert_array_equal(compiled("heads.drive.reversed=true").model.poles.sign, [-1.0, 1.0][::-1])


def test_idle_heads_belong_to_no_circuit():
    model = with_spare(COUPLED)
    np.testing.assert_array_equal(model.poles.circuit, [0, 1, -1])
    np.testing.assert_allclose(model.coils.inductance, np.diag([20e-3, 2.6e-3]), rtol=1e-12)


def test_crosstalk_of_two_dipoles():
    """−(μ₀/4π) m m/r³ = −1e-7 · 0.01 · 0.005/(0.114 · 0.64)³ H: the return flux of one passes the other backwards."""
    matrix = inductance(*DIPOLES)
    assert matrix[0, 1] == matrix[1, 0] == pytest.approx(-1e-7 * 5e-5 / 0.07296**3, rel=1e-6)
    assert matrix[0, 1] == pytest.approx(-12.874e-9, rel=1e-4)
    assert compiled(*DIPOLES).sheet.loops[0].mutual_H == matrix[0, 1]


def test_one_reversed_head_turns_the_crosstalk_round():
    wanted = -inductance(*DIPOLES)[0, 1]
    assert inductance(*DIPOLES, "heads.sense.reversed=true")[0, 1] == pytest.approx(wanted, rel=1e-12)
    assert inductance(*DIPOLES, "heads.sense.reversed=true", "heads.drive.reversed=true")[0, 1] == pytest.approx(-wanted, rel=1e-12)


def test_crosstalk_knows_how_far_heads_stand_apart_across_the_string():
    """At one place along the string, 12 mm apart across it: r = 12 mm, not 0."""
    beside = ("heads.drive.position=0.4 L", "heads.drive.offset=6 mm", "heads.sense.offset=-6 mm")
    assert inductance("heads.sense.dipole=1 cm2", "heads.drive.dipole=1 cm2", *beside)[0, 1] == pytest.approx(-1e-15 / 12e-3**3, rel=1e-9)


def test_a_stated_coupling_wins_over_the_dipoles():
    assert inductance(*DIPOLES, "couplings=[{heads=['drive', 'sense'], mutual='3 uH'}]")[0, 1] == pytest.approx(3e-6, rel=1e-12)


@pytest.mark.parametrize("mutual", ["7.3 mH", "-7.3 mH"])
def test_a_coupling_beyond_all_flux_is_refused(mutual):
    """√(20 mH · 2.6 mH) = 7.211 mH would be all the flux of one coil in the other."""
    with pytest.raises(RigError, match=r"^couplings\[0\]\.mutual must be within ± 7\.2111 mH .*; instead received -?7\.3 mH\.$"):
        compiled(f"couplings=[{{heads=['sense', 'drive'], mutual='{mutual}'}}]")


def test_couplings_that_are_possible_only_one_by_one_are_refused():
    """0.9 √(L₁ L₂) each: sense with drive and with spare alike, but these two opposed. 20 mH · 0.75 mH < (10.3 mH)²."""
    pairs = {("sense", "drive"): 6.49, ("sense", "spare"): 3.81, ("drive", "spare"): -1.37}
    listed = ", ".join(f"{{heads=['{a}', '{b}'], mutual='{mutual} mH'}}" for (a, b), mutual in pairs.items())
    with pytest.raises(RigError, match=r"^couplings must be .*; instead received .*\.$"):
        with_spare(IN_SERIES, f"couplings=[{listed}]")


def test_level_and_output_resistor_stand_in_the_drive_circuit_alone():
    model = compiled(f"{AMPLIFIER}.level_resistor=10 ohm", f"{AMPLIFIER}.output_resistance=0.7 ohm").model
    np.testing.assert_allclose(resistance(model), [200.0, 24.0 + 10.0 + 0.7], rtol=1e-12)


def test_a_warm_room_warms_the_copper_and_not_the_resistors():
    """α₂₀ = 0.00393 /K (NBS Circular 31, 1914): 1.0393 at 30 °C."""
    model = compiled("room.temperature=30 degC", f"{AMPLIFIER}.level_resistor=10 ohm").model
    np.testing.assert_allclose(resistance(model), [200.0 * 1.0393, 24.0 * 1.0393 + 10.5], rtol=1e-9)


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ((), 0.0),
        (("loops.main.output.capacitor=470 uF",), 1 / 470e-6),
        (("loops.main.phase={kind='series capacitor', capacitor='10 uF'}",), 1e5),
        (("loops.main.output.capacitor=470 uF", "loops.main.phase={kind='series capacitor', capacitor='10 uF'}"), 1 / 470e-6 + 1e5),
    ],
)
def test_capacitors_in_series_add_their_elastances(words, wanted):
    """And the node's 130 pF, seen from the sense coil through its winding."""
    np.testing.assert_allclose(elastance(compiled(*words).model), [1 / 130e-12, wanted], rtol=1e-9)


def swing(*words):
    sheet = compiled(*words).sheet.loops[0]
    return sheet.swing_low_V, sheet.swing_high_V, sheet.bias_V


def test_swing_of_a_split_supply():
    assert swing() == pytest.approx((-7.5, 7.5, 0.0), abs=1e-12)


def test_swing_of_a_single_supply():
    assert swing(*SINGLE) == pytest.approx((-3.0, 3.0, 4.5), abs=1e-12)


def test_the_rest_of_the_amplifier():
    model = compiled(f"{AMPLIFIER}.polarity=reversed", f"{AMPLIFIER}.input_offset=1 mV").model
    network, stages = model.network, model.stages
    assert (stages.gain[0], stages.slew[0], stages.offset[0]) == (1000.0, 13e6, 1e-3)
    assert stages.rate[0] == pytest.approx(1.8849556e7, rel=1e-8)  # 2π · 3 MHz
    np.testing.assert_allclose(network.heard, [[-1.0, 0.0, 0.0, 0.0, 0.0]], atol=1e-15)
    assert network.inertia[0] == pytest.approx(130e-12, rel=1e-12)
    assert network.rate[0, 0] == pytest.approx(-1e-7 / 130e-12, rel=1e-9)


@pytest.mark.parametrize("words", ["normal", "reversed"])
def test_sheet_tells_the_polarity_by_the_way_through_the_electronics(words):
    loop = compiled(f"{AMPLIFIER}.polarity={words}").sheet.loops[0]
    assert loop.polarity == words
    assert loop.gain == 1000.0


@pytest.mark.parametrize("rate", [96e3, 192e3])
def test_noise_of_a_step_is_density_times_the_root_of_half_the_rate(rate):
    """√(4 k T R) = 1.79942 nV/√Hz for 200 Ω at 20 °C (Nyquist 1928), 18 nV/√Hz of the amplifier; the band ends at half the rate."""
    model = compiled(f"run.rate={rate:g} Hz").model
    assert model.coils.noise[0] == pytest.approx(1.79942e-9 * np.sqrt(rate / 2), rel=1e-5)
    assert model.stages.noise[0] == pytest.approx(18e-9 * np.sqrt(rate / 2), rel=1e-12)


def heard(model, hertz):
    """What the amplifier hears of a volt at the sense node, by the rows of the network: the all-pass follows as its only other state."""
    network, omega = model.network, 2j * np.pi * np.asarray(hertz)
    late = network.rate[1, 0] / (omega - network.rate[1, 1]) if network.inertia.size > 1 else 0.0
    return network.heard[0, 0] + (network.heard[0, 1] if network.inertia.size > 1 else 0.0) * late + 0.0 * omega


@pytest.mark.parametrize(("kind", "degrees"), [("ideal lead", 90.0), ("ideal lag", -90.0)])
def test_quarter_period_network(kind, degrees):
    """All-pass: gain 1 everywhere, ±90° at its frequency. Lag: 0° far below, −180° far above; lead: its negative."""
    response = heard(compiled(f"loops.main.phase={{kind='{kind}', frequency='440 Hz'}}").model, [1e-3, 44.0, 440.0, 4400.0, 1e9])
    np.testing.assert_allclose(np.abs(response), 1.0, rtol=1e-12)
    assert np.degrees(np.angle(response[2])) == pytest.approx(degrees, abs=1e-9)
    turned = 0.0 if kind == "ideal lag" else 180.0
    wanted = turned - 2 * np.degrees(np.arctan([0.1, 10.0]))
    np.testing.assert_allclose(np.degrees(np.angle(response[[1, 3]] * np.exp(-1j * np.radians(wanted)))), 0.0, atol=1e-9)


def test_no_network_lets_the_node_through():
    assert heard(compiled().model, 440.0) == pytest.approx(1.0, rel=1e-12)


def output_of_a_sine(phase, hertz=500.0, rate=96_000.0, periods=60):
    """Complex amplitude of the output for 1 mV in the sense coil, over the last third, as the time loop makes it."""
    ready = compiled(f"loops.main.phase={phase}", f"{AMPLIFIER}.gain=1", "run.duration=0.2 s")
    count = round(periods * rate / hertz)
    time = (np.arange(count) + 0.5) / rate
    noise = np.zeros((count, 2))
    noise[:, 0] = 1e-3 * np.sin(2 * np.pi * hertz * time) / ready.model.coils.noise[0]
    record = blank_record(ready.model, count)
    loop.begin(ready.model, ready.state)
    inputs = Inputs(np.ones(count), noise, np.zeros(count), np.zeros((count, 0)))
    assert loop.advance(ready.model, ready.state, inputs, record)[0] == loop.DONE
    late = slice(-round(periods / 3 * rate / hertz), None)
    return 2j * np.mean(record.output[late, 0] * np.exp(-2j * np.pi * hertz * time[late]))


@pytest.mark.parametrize(("kind", "degrees"), [("ideal lead", 90.0), ("ideal lag", -90.0)])
def test_quarter_period_network_in_the_time_loop(kind, degrees):
    """The same sine through the network and without it: ±90°, gain 1. The step's own shift of 500 Hz at 96 kHz is 0.005°."""
    ratio = output_of_a_sine(f"{{kind='{kind}', frequency='500 Hz'}}") / output_of_a_sine("{kind='none'}")
    assert abs(ratio) == pytest.approx(1.0, rel=1e-3)
    assert np.degrees(np.angle(ratio)) == pytest.approx(degrees, abs=0.05)
