"""Noise, hum and what they leave of the gain, against closed forms. The run's own spectrum stands in tests/run/test_noise_spectrum.py."""

import numpy as np
import pytest
from scipy.special import erf

from analysis.by_hand import Bench, model, network, rest, row
from wirebloom.analysis.hum import deafened, field_lines, gain_left
from wirebloom.analysis.linear import linear_model
from wirebloom.analysis.noise import BAND, densities, noises, output_rows, rms_within, spectrum
from wirebloom.kernels import layout
from wirebloom.rig.models import Mains

BOLTZMANN = 1.380649e-23  # J/K, exact in the SI of 2019


def quiet_loop(corner: float, gain: float = 100.0, noise: float = 0.0, thermal: float = 0.0, step: float = 1e-5) -> layout.Model:
    """z = (i_s, i_d, v, u): EMF over 1 MΩ, an amplifier of `corner` Hz, 50 Ω behind it; noise in V/√Hz."""
    voltage = np.array([row(4, z0=-1e6), row(4, z2=1.0, z1=-50.0)])
    rows = network(np.zeros((0, 4)), voltage, np.array([row(4, z0=-1e6)]), np.array([row(4, z1=1.0)]))
    rows.meter[output_rows(1)[0], 2] = 1.0
    stage = {"gain": gain, "rate": 2 * np.pi * corner * gain, "noise": noise / np.sqrt(2 * step)}
    built = model(Bench(inductance=np.diag([1e-9, 1e-9]), network=rows, stages=(stage,)), step=step)
    return built._replace(coils=built.coils._replace(noise=np.array([thermal / np.sqrt(2 * step), 0.0])))


def found(built: layout.Model):
    return noises(linear_model(built, rest(built), strings=False), built)[0]


def test_white_noise_within_a_band_is_density_times_root_of_bandwidth() -> None:
    """4kTR of 1 kΩ at 300 K is 4.07 nV/√Hz (Nyquist 1928, from memory), times the gain and √(20 kHz − 20 Hz); and over 50 Ω."""
    thermal = np.sqrt(4 * BOLTZMANN * 300.0 * 1e3)
    assert thermal == pytest.approx(4.07e-9, rel=1e-3)
    noise = found(quiet_loop(corner=1e7, thermal=thermal))
    assert noise.output_V == pytest.approx(100.0 * thermal * np.sqrt(BAND[1] - BAND[0]), rel=1e-4)
    assert noise.drive_A == pytest.approx(noise.output_V / 50.0, rel=1e-4)
    assert noise.heard_V == pytest.approx(thermal, rel=1e-6)


def test_sources_add_by_power() -> None:
    noise = found(quiet_loop(corner=1e7, thermal=3e-9, noise=4e-9))
    assert noise.heard_V == pytest.approx(5e-9, rel=1e-6)


def test_noise_bandwidth_of_one_pole_is_half_pi_times_its_corner() -> None:
    """Equivalent noise bandwidth π/2 · f_c (textbook, from memory), over all frequencies."""
    built = quiet_loop(corner=1e3, noise=1e-8)
    hertz = np.concatenate([np.linspace(1e-3, 1e3, 20001), np.geomspace(1e3, 1e8, 40000)[1:]])
    density = spectrum(linear_model(built, rest(built), strings=False), densities(built), hertz, "output")
    assert rms_within(hertz, density)[0] == pytest.approx(100.0 * 1e-8 * np.sqrt(np.pi / 2 * 1e3), rel=1e-4)


def test_density_does_not_depend_on_the_step() -> None:
    one, other = (found(quiet_loop(corner=1e6, noise=1e-8, step=step)).output_V for step in (1e-5, 2e-6))
    assert one == pytest.approx(other, rel=1e-12)


@pytest.mark.parametrize("beyond", [0.5, 1.0, 1.25, 2.0, 10.0])
def test_gain_left_beside_a_sine(beyond: float) -> None:
    """(2/π) asin(M/A) for a small signal beside a sine of A through limits ± M (Gelb & Vander Velde 1968, from memory)."""
    left = gain_left(np.array([50.0]), np.array([beyond * 1j]), 0.0, (-1.0, 1.0))
    assert left == pytest.approx(2 / np.pi * np.arcsin(min(1.0, 1.0 / beyond)), abs=5e-4)


def test_gain_left_beside_noise_and_beside_an_offset() -> None:
    """erf(M/(σ√2)) for Gaussian noise (Booton 1954, from memory); an offset makes one limit nearer."""
    none = np.zeros(0)
    assert gain_left(none, none.astype(complex), 0.8, (-1.0, 1.0)) == pytest.approx(erf(1 / (0.8 * np.sqrt(2))), rel=1e-9)
    nearer = gain_left(none, none.astype(complex), 0.8, (-1.6, 0.4))
    assert nearer == pytest.approx(0.5 * (erf(0.4 / (0.8 * np.sqrt(2))) + erf(1.6 / (0.8 * np.sqrt(2)))), rel=1e-9)


def test_harmonics_stand_at_their_own_orders() -> None:
    """A third harmonic alone of the same size leaves what the fundamental alone leaves; both together as counted out."""
    sine, both = np.array([2.0 + 0j]), np.array([2.0 + 0j, 2.0 + 0j])
    alone = gain_left(np.array([150.0]), sine, 0.0, (-1.0, 1.0))
    assert alone == pytest.approx(1 / 3, abs=5e-4)
    turn = np.linspace(0.0, 2 * np.pi, 100_001)
    inside = np.mean(np.abs(2 * np.cos(turn) + 2 * np.cos(3 * turn)) < 1.0)
    assert gain_left(np.array([50.0, 150.0]), both, 0.0, (-1.0, 1.0)) == pytest.approx(inside, abs=5e-4)


def test_field_rises_in_proportion_to_its_frequency() -> None:
    """B = √2 · 1 µT sin ωt: dB/dt peaks at 2π f √2 µT/s; a harmonic of a tenth, twice as fast, at a fifth of that."""
    hertz, rise = field_lines(Mains(field=1e-6, frequency=60.0, harmonics=(0.1, 0.0, 0.2)))
    assert hertz.tolist() == [60.0, 120.0, 240.0]
    assert rise == pytest.approx(np.sqrt(2) * 1e-6 * 2 * np.pi * 60.0 * np.array([1.0, 0.2, 0.8]), rel=1e-12)
    assert field_lines(None)[0].size == 0


def test_only_sense_heads_are_deafened() -> None:
    from analysis.test_linear import heads, loop

    built = model(Bench(poles=heads(0.6, 0.5), inductance=np.diag([1e-6, 1e-6]), **loop()))
    deaf = deafened(built, np.array([0.25]))
    assert np.allclose(deaf.tables.coefficient[0, ..., 1], 0.25 * built.tables.coefficient[0, ..., 1])
    assert np.array_equal(deaf.tables.coefficient[1], built.tables.coefficient[1])
