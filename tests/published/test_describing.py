"""Describing functions against published values, and the size of their error.

| id | what                                                   | source                                                             |
|----|--------------------------------------------------------|--------------------------------------------------------------------|
| A1 | saturation with unit slope and limit; relay            | Gelb & Vander Velde 1968; Khalil (from memory); 1.25, 2, 5 also    |
|    |                                                        | seen in the documentation of a control library, which also returns |
|    |                                                        | them here                                                          |
| A2 | 16/(s + 1)³ with that saturation: the describing       | derived: Routh's limit gain 8, ω = √3; cycle by an integrator of   |
|    | function's cycle is 2.475 at √3 rad/s, the true one    | ordinary differential equations: fundamental 2.526, ω 1.71831      |
|    | 2 % larger and 0.8 % slower; its balance with harmonics |                                                                   |
|    | closes that gap                                        |                                                                    |
"""

import control
import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, fsolve

from wirebloom.analysis.clamped import Stage, clamped, opened
from wirebloom.analysis.describing import relay, saturation

TABLE = {1.25: 0.895912, 1.5: 0.780898, 2.0: 0.608998, 3.0: 0.416417, 5.0: 0.252940, 10.0: 0.127111}


def test_saturation_has_its_published_values():
    assert saturation(np.array(list(TABLE))) == pytest.approx(list(TABLE.values()), abs=1e-6)
    assert saturation(np.array([0.5, 1.0])) == pytest.approx([1.0, 1.0])


def test_saturation_agrees_with_a_control_library():
    element = control.saturation_nonlinearity(1.0)
    for amplitude in (1.25, 2.0, 5.0):
        assert saturation(np.array([amplitude]))[0] == pytest.approx(element.describing_function(amplitude), rel=1e-10)


def test_a_relay_has_its_published_value():
    assert relay(np.array([2.0]))[0] == pytest.approx(0.636620, abs=1e-6)


@pytest.mark.parametrize("amplitude", [1.25, 2.0, 5.0])
def test_a_fast_clamped_stage_is_that_saturation(amplitude):
    turn = 2 * np.pi * np.arange(4096) / 4096
    answer = clamped(amplitude * np.cos(turn), Stage(1e9, 1e9), 2 * np.pi, np.full(4096, -1.0), np.full(4096, 1.0))
    first = 2 * np.mean(answer * np.exp(-1j * turn)) * opened(4096)[1]
    assert first / amplitude == pytest.approx(TABLE[amplitude], rel=1e-4)


def loop(s):
    return 16 / (s + 1) ** 3


def cycle():
    """Fundamental and frequency of the loop's true limit cycle, by integration."""
    made = control.tf2ss(control.tf([16], [1, 3, 3, 1]))
    rows = np.asarray(made.A), np.asarray(made.B)[:, 0], np.asarray(made.C)[0]

    def slope(_, x):
        return rows[0] @ x - rows[1] * np.clip(rows[2] @ x, -1, 1)

    late = solve_ivp(slope, (0, 120), [0.1, 0, 0], method="DOP853", rtol=1e-10, atol=1e-12, dense_output=True).sol

    def output(t):
        return rows[2] @ late(t)

    times = np.linspace(100, 120, 4001)
    values = output(times)
    rises = [brentq(output, times[k], times[k + 1]) for k in np.flatnonzero((values[:-1] < 0) & (values[1:] >= 0))]
    begin, end = rises[0], rises[1]
    t = begin + (end - begin) * np.arange(4096) / 4096
    return abs(2 * np.mean(output(t) * np.exp(-2j * np.pi * (t - begin) / (end - begin)))), 2 * np.pi / (end - begin)


def balanced(harmonics, samples=1024):
    """Amplitude and frequency at which the loop closes on itself with this many harmonics."""
    turn = 2 * np.pi * np.arange(samples) / samples

    def through(y, omega):
        held = clamped(y, Stage(1e9, 1e9), 2 * np.pi / omega, np.full(samples, -1.0), np.full(samples, 1.0))
        parts = 2 * np.fft.rfft(held)[: samples // 2] * opened(samples) / samples
        return -(loop(1j * omega * np.arange(samples // 2)) * parts)[1 : harmonics + 1]

    def left(unknown):
        omega = unknown[0]
        parts = np.concatenate([[unknown[1]], unknown[2 : harmonics + 1] + 1j * unknown[harmonics + 1 :]])
        off = through((parts[:, None] * np.exp(1j * np.arange(1, harmonics + 1)[:, None] * turn)).real.sum(axis=0), omega) - parts
        return np.concatenate([off.real, off.imag])

    found = fsolve(left, np.concatenate([[1.7, 2.5], np.zeros(2 * harmonics - 2)]), xtol=1e-10)
    return found[1], found[0]


def test_one_harmonic_gives_the_classical_prediction():
    amplitude, omega = balanced(1)
    assert (amplitude, omega) == pytest.approx((2.4754, np.sqrt(3)), abs=2e-3)
    assert saturation(np.array([amplitude]))[0] == pytest.approx(8 / 16, abs=1e-3)


def test_its_error_is_two_per_cent_and_harmonics_take_it_away():
    true = cycle()
    assert true == pytest.approx((2.526, 1.71831), rel=1e-3)
    assert balanced(1)[0] / true[0] - 1 == pytest.approx(-0.02, abs=0.005)
    assert balanced(7) == pytest.approx(true, rel=5e-4)
