"""Pitch that rises with amplitude, and pitch that falls under a magnet, against closed forms and exact integration."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from duffing import hardening, pitch_rise_circular, pitch_rise_planar, pitch_rise_small
from wirebloom.physics.levels import cents
from wirebloom.physics.shapes import point_weights
from wirebloom.physics.string import StringModes, partial_frequencies
from wirebloom.physics.tension import tension_rise

LENGTH, TENSION, DIAMETER, DENSITY, YOUNG = 0.648, 104.5316, 0.3048e-3, 5.7278e-4, 2e11


def flexible(partials: int = 1) -> StringModes:
    """The string of the checks: 0.012 in, E4, stretching but not bending."""
    n = np.arange(1, partials + 1)
    f = partial_frequencies(n, TENSION, LENGTH, DENSITY, 0.0)
    axial = YOUNG * np.pi * DIAMETER**2 / 4
    both = np.stack([f, f])
    return StringModes(LENGTH, TENSION, DENSITY, 0.0, axial, DENSITY * LENGTH / 2, 0.0, n * np.pi / LENGTH, both, np.zeros((2, partials)))


def shift(amplitude: float) -> float:
    return hardening(flexible()) * amplitude**2


def amplitudes(towards: float, sideways: float = 0.0):
    return np.array([[towards], [sideways]])


# T1. Planar motion, exact: Duffing's period by an elliptic integral (DLMF 22.19, from memory).
PLANAR = [(1e-3, 8.2034e-4, 3.07571e-4, 0.53240), (2e-3, 4 * 8.2034e-4, None, 2.12746)]


@pytest.mark.parametrize(("amplitude", "e", "rise", "interval"), PLANAR)
def test_planar_rise_of_pitch(amplitude, e, rise, interval):
    found = pitch_rise_planar(shift(amplitude))
    assert shift(amplitude) == pytest.approx(e, rel=2e-5)
    assert cents(1 + found) == pytest.approx(interval, rel=2e-5)
    if rise is not None:
        assert found == pytest.approx(rise, rel=2e-5)


# T1. The equation of motion itself, q̈ + ω²q + (ΔT/μ) k² q = 0, integrated: a slip of 2 in ΔT or in ε would show here.
@pytest.mark.parametrize("sideways", [0.0, 1e-3])
def test_rise_of_pitch_by_integration(sideways):
    modes = flexible()
    w = 2 * np.pi * modes.frequency[0, 0]

    def flow(_, y):
        extra = tension_rise(y[:2].reshape(2, 1), modes)
        return np.concatenate([y[2:], -(w**2 + extra / modes.density * modes.wavenumber[0] ** 2) * y[:2]])

    start = [1e-3, 0.0, 0.0, sideways * w * np.sqrt(1 + shift(1e-3))]
    crossing = lambda _, y: y[0]  # noqa: E731
    crossing.direction = -1
    run = solve_ivp(flow, (0, 11.5 * 2 * np.pi / w), start, method="DOP853", rtol=1e-13, atol=1e-16, events=crossing)
    falls = run.t_events[0]
    pitch = 10 / (falls[10] - falls[0])
    exact = pitch_rise_circular(shift(1e-3)) if sideways else pitch_rise_planar(shift(1e-3))
    assert pitch / modes.frequency[0, 0] - 1 == pytest.approx(exact, rel=1e-8)


# T2. Planar, first order: df/f = 3π² E A a²/(32 L² T). Legge & Fletcher 1984 and others (from memory).
def test_planar_rise_of_pitch_to_first_order():
    textbook = 3 * np.pi**2 * YOUNG * np.pi * DIAMETER**2 / 4 * 1e-6 / (32 * LENGTH**2 * TENSION)
    assert pitch_rise_small(shift(1e-3)) == pytest.approx(textbook, rel=1e-12)
    assert pitch_rise_small(shift(1e-3)) == pytest.approx(3.07626e-4, rel=2e-5)
    assert pitch_rise_small(shift(1e-3)) == pytest.approx(pitch_rise_planar(shift(1e-3)), rel=1e-3)


# T3. Circular whirl, √(1 + e) − 1 (derived; Gough 1984, JASA 75:1770, from memory): 4/3 of the planar rise.
def test_circular_rise_of_pitch():
    found = pitch_rise_circular(shift(1e-3))
    assert found == pytest.approx(4.10084e-4, rel=2e-5)
    assert cents(1 + found) == pytest.approx(0.70981, rel=2e-5)
    assert found / pitch_rise_planar(shift(1e-3)) == pytest.approx(1.33330, rel=1e-5)


# T5. Mean rise of tension, E A π² a²/(8L²) = (E A/(2 L T)) × energy. Derived; that it goes with the total energy: Ripplinger, thesis,
# Brigham Young University 2009 (abstract SEEN).
def test_mean_rise_of_tension_goes_with_the_energy():
    """Averaged over a swing, half of what stands at its turning point."""
    modes = flexible(3)
    one = np.zeros((2, 3))
    one[0, 0] = 1e-3
    assert tension_rise(one, modes) / 2 == pytest.approx(0.0428755, rel=2e-6)
    several = np.array([[1e-3, 2e-4, 0.0], [3e-4, 0.0, 1e-4]])
    energy = 0.5 * np.sum(modes.modal_stiffness * several**2)
    assert tension_rise(several, modes) / 2 == pytest.approx(modes.axial / (2 * LENGTH * TENSION) * energy, rel=1e-12)
    assert 0.5 * modes.modal_stiffness[0, 0] * 1e-6 == pytest.approx(3.9802e-4, rel=2e-5)


# T6. A spring k at x shifts f₁ to f₀ √(1 + k sin²(πx/L)/(m ω₀²)), m = μL/2; a magnet's k is negative (derived; sign: Zollner 4.11, SEEN as
# a quotation). Partial 1 alone, as in the formula.
@pytest.mark.parametrize(("x", "hertz"), [(0.5, -4.167), (0.1, -0.3956)])
def test_a_magnet_flattens_the_string(x, hertz):
    modes = flexible()
    weight = point_weights(x * LENGTH, modes)[0]
    pitch = np.sqrt((modes.modal_stiffness[0, 0] - 20.0 * weight**2) / modes.mass) / (2 * np.pi)
    assert pitch - modes.frequency[0, 0] == pytest.approx(hertz, rel=1e-3)
