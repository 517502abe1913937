"""Growth, loop gain and thresholds of every partial: on paper, and against rigs compiled at the threshold. Runs are in tests/check.

A factor 2 in the loop gain, a phase of the wrong sign, a gain that forgets the amplifier's bandwidth, a threshold of the wrong partial
would each show in one of these.
"""

import numpy as np
import pytest

from analysis.by_hand import MASS, Bench, Pole, linear_head, model, network, rest, row
from consistency.scenario import compiled as small_rig
from wirebloom.analysis.benches import benches, benches_of
from wirebloom.analysis.dense import dense_roots
from wirebloom.analysis.linear import linear_model, linearise
from wirebloom.analysis.loop_gain import loop_gain
from wirebloom.analysis.motional import amplified
from wirebloom.analysis.small import find, small_signal
from wirebloom.compile import compile_rig
from wirebloom.rig import load

SENSE, DRIVE, OHM, GAIN, PACE = 0.01, 0.02, 50.0, 2000.0, 2 * np.pi * 200.0  # N/A, N/A, Ω, 1, rad/s


def on_paper(gain=GAIN, side=1.0, rate=1e9):
    """One partial of 200 Hz, σ 3 s⁻¹, heads of constant K with weights 0.6 and ± 0.5, drive coil of hardly any inductance."""
    burden = 1e6
    voltage = np.array([row(4, z0=-1.0 - burden), row(4, z2=1.0, z1=-OHM)])
    rows = network(np.zeros((0, 4)), voltage, np.array([row(4, z0=-burden)]), np.array([row(4, z1=1.0)]))
    poles = (Pole((0.6,), circuit=0, flux=linear_head(SENSE)), Pole((side * 0.5,), circuit=1, flux=linear_head(DRIVE)))
    bench = Bench(poles=poles, inductance=np.diag([1e-6, 1e-6]), network=rows, stages=({"gain": gain, "rate": rate},))
    built = model(bench)
    (made,) = benches_of(built, rest(built))
    return find(made)


def test_loop_gain_is_what_paper_says():
    """Own gain K_s K_d w_s w_d G/(R · 2mσ), σ with what the drive coil takes: (K_d w_d)²/(2mR) (derived). Above 1 it grows."""
    found = on_paper()
    sigma = 3.0 + (DRIVE * 0.5) ** 2 / (OHM * 2 * MASS)
    wanted = SENSE * 0.6 * DRIVE * 0.5 * GAIN / (OHM * 2 * MASS * sigma)
    assert found.closed.value[0, 0].real == pytest.approx(-sigma, rel=1e-5)
    assert found.gains[0, 0] == pytest.approx(wanted, rel=1e-3)
    assert found.share[0] == pytest.approx(1.0 / wanted, rel=1e-4)
    assert found.closed.last[0].real == pytest.approx(sigma * (wanted - 1.0), rel=1e-3)
    assert found.other.last[0].real == pytest.approx(-sigma * (wanted + 1.0), rel=1e-3)


def test_the_other_side_of_a_node_is_damped_and_has_no_threshold():
    found = on_paper(side=-1.0)
    assert found.gains[0, 0].real == pytest.approx(-on_paper().gains[0, 0].real, rel=1e-4)
    assert np.isnan(found.share[0])
    assert found.other.last[0].real > 0.0 > found.closed.last[0].real


def test_a_slow_amplifier_lags_by_its_corner():
    """Corner at half the pitch: the loop gain falls to 1/√5 and lags by atan 2 (textbook)."""
    gain = on_paper(rate=GAIN * PACE / 2.0).gains[0, 0]
    assert abs(gain) == pytest.approx(abs(on_paper().gains[0, 0]) / np.sqrt(5.0), rel=1e-3)
    assert np.angle(gain) == pytest.approx(-np.arctan(2.0), rel=1e-3)


def test_loop_gain_near_a_resonance_is_the_partials_own():
    """Only one partial towards the heads: r/(s − s₀) − its mirror image, so nearly all of it at resonance."""
    found = on_paper()
    pitch = found.closed.value[0, 0].imag / (2 * np.pi)
    assert loop_gain(found.bench, np.array([pitch]), 0)[0] == pytest.approx(found.gains[0, 0], rel=5e-3)


def growth_at(compiled, hertz):
    """Growth rate of the whole matrix' eigenvalue nearest to a pitch."""
    values = np.linalg.eigvals(linearise(compiled).matrix)
    return values[np.argmin(np.abs(values - 2j * np.pi * hertz))].real


@pytest.mark.parametrize(("name", "partials"), [("first_note", (1, 2)), ("overtones", (1, 2, 6, 7)), ("low_string", (1, 2, 4))])
def test_at_its_gain_a_partial_stands_still(name, partials):
    """Compiled anew at the threshold: its growth is nought, by the whole matrix; two per mille less and it fades, more and it grows."""
    whole = small_signal(compile_rig(*load(name)))
    for partial in partials:
        own = next(p for p in whole.partials if p.partial == partial and p.polarisation == 0)
        grown = []
        for share in (0.998, 1.0, 1.002):
            at = compile_rig(*load(name, [f"loops.main.amplifier.gain={share * own.gain:.9g}"]))
            found = small_signal(at)
            pitch = next(p for p in found.partials if p.partial == partial and p.polarisation == 0).frequency_Hz
            grown.append(growth_at(at, pitch))
        assert grown[0] < 0.0 < grown[2]
        assert abs(grown[1]) < 1e-5 * abs(own.open_growth_per_s)


def test_share_is_of_what_the_amplifier_hears():
    """With an ideal amplifier's input, hearing g times as much is e = g · heard: the whole matrix stands still at that g."""
    ideal = ("input_resistance=1e12 ohm", "input_capacitance=1 pF", "coil_capacitance=0 F")
    compiled = compile_rig(*load("overtones", [f"loops.main.amplifier.{value}" for value in ideal]))
    for own in [p for p in small_signal(compiled).partials if p.share is not None and p.share < 2.0]:
        quieter = compiled.model.network._replace(heard=own.share * compiled.model.network.heard)
        turn = 0.5 * compiled.model.step * compiled.model.strings.frequency
        values = np.linalg.eigvals(linear_model(compiled.model._replace(network=quieter), compiled.rest * np.sinc(turn / np.pi)).matrix)
        still = values[np.abs(values.imag / (2 * np.pi) - own.open_Hz) < 0.05 * own.open_Hz]
        assert np.min(np.abs(still.real)) < 1e-3 * abs(own.open_growth_per_s)


def test_at_its_share_the_loop_gains_one_without_phase():
    """Barkhausen (1935, from memory), A7: at the threshold the whole return ratio is 1 over the factor, at the pitch where it stands."""
    compiled = compile_rig(*load("overtones"))
    (bench,) = benches(compiled)
    found = find(bench)
    for k in np.flatnonzero(found.share < 10.0):
        around = found.closed.value[0, k].imag / (2 * np.pi) * np.linspace(0.96, 1.04, 4001)
        gain = loop_gain(bench, around, 0)
        crossed = np.flatnonzero(np.diff(np.sign(gain.imag)) * (gain.real[1:] > 0.0))
        assert np.min(np.abs(1.0 / gain.real[crossed] - found.share[k])) < 0.03 * found.share[k]


def test_a_loop_that_is_not_there_gives_nothing_back():
    (bench,) = benches(compile_rig(*load("first_note")))
    assert np.all(loop_gain(bench._replace(own=(np.zeros(0, dtype=np.int64),)), np.array([196.0]), 0) == 0.0)


def test_magnet_flattens_as_published():
    """T6: k = −20 N/m at the middle of 0.648 m, T 104.53 N, μ 0.57278 g/m: 329.628 Hz falls by 4.167 Hz (derived)."""
    omega, mass = 2 * np.pi * 329.628, 0.5 * 5.7278e-4 * np.sqrt(104.53 / 5.7278e-4) / (2 * 329.628)
    pole = Pole((1.0,), pull=lambda g, y: 10.0 * g**2 + 0.0 * y)
    built = model(Bench(pitches=(329.628,), decays=(0.1,), poles=(pole,)))
    built = built._replace(strings=built.strings._replace(inverse_mass=np.array([1.0 / mass])))
    (bench, *_) = (own for own in benches_of(built, rest(built)) if own.strands)
    pitch = find(bench).closed.last[0].imag / (2 * np.pi)
    assert omega == pytest.approx(bench.strands[0].square[0] ** 0.5)
    assert pitch - 329.628 == pytest.approx(-4.167, rel=1e-3)


def test_without_a_loop_every_partial_fades_as_it_does_alone():
    found = small_signal(compile_rig(*load("first_note", ["loops=[]"])))
    for own in found.partials:
        assert (own.loop, own.loop_gain, own.share, own.gain) == ("", 0.0, None, None)
        assert own.growth_rate_per_s == pytest.approx(own.open_growth_per_s, rel=1e-9)
        assert own.growth_rate_per_s < 0.0
    assert found.fastest is None
    assert found.electrical == ()


def test_a_gain_of_hardly_anything_grows_nothing():
    found = small_signal(compile_rig(*load("first_note", ["loops.main.amplifier.gain=100"])))
    assert found.fastest is None
    own = found.of("pier", 1)
    assert own.share == pytest.approx(own.gain / 100.0, rel=0.01)  # far below its corner, gain is gain
    assert own.margin_dB == pytest.approx(-20.0 * np.log10(own.share))


def test_a_head_at_a_node_moves_nothing():
    found = small_signal(small_rig("heads.sense.position=0.5 L", "heads.drive.position=0.25 L"))
    assert found.of("one", 4).loop_gain < 1e-6
    assert found.of("one", 4).growth_rate_per_s == pytest.approx(found.of("one", 4).open_growth_per_s, rel=1e-6)


def test_order_of_the_partials():
    found = small_signal(compile_rig(*load("two_strings_one_loop")))
    order = [(["west", "east"].index(p.string), p.polarisation, p.partial) for p in found.partials]
    assert order == sorted(order)
    assert found.of("east", 3).partial == 3


@pytest.mark.parametrize("name", ["too_close", "overtones"])
def test_gains_of_all_partials_are_where_the_matrix_says(name):
    """A root of the whole matrix comes to the axis there, rising: a per cent either way it fades and grows. None is left out below."""
    compiled = compile_rig(*load(name))
    (bench,), small = benches(compiled), small_signal(compiled)
    loops, now = np.array([0]), compiled.rig.loops[0].amplifier.gain
    for own in (own for own in small.partials if own.gain is not None):
        for factor, sign in ((0.99, -1.0), (1.01, 1.0)):
            roots = dense_roots(bench, amplified(bench, np.array([factor * own.gain / now]), loops))
            near = roots[np.argmin(np.abs(roots - 2j * np.pi * own.frequency_Hz))]
            assert sign * near.real > 0.0, (own.partial, factor)
    missing = [own for own in small.partials if own.grows and own.gain is None]
    assert missing == []
