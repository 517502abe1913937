"""Closed forms of the drive circuit against textbook examples, a circuit simulator and direct averages."""

import control
import numpy as np
import pytest

from wirebloom.physics.circuit_formulas import class_b_power, full_power_bandwidth, resonance, saturation_gain, series_impedance


# A1. Describing function of a clamp: values of a control library's documentation (SEEN) and Gelb & Vander Velde 1968 (from memory).
@pytest.mark.parametrize(
    ("amplitude", "gain"), [(0.5, 1.0), (1.25, 0.895912), (1.5, 0.780898), (2, 0.608998), (3, 0.416417), (5, 0.252940), (10, 0.127111)]
)
def test_gain_of_a_clamp(amplitude, gain):
    phase = (np.arange(200_000) + 0.5) / 200_000 * 2 * np.pi
    fundamental = 2 * np.mean(np.clip(amplitude * np.sin(phase), -1, 1) * np.sin(phase)) / amplitude
    assert saturation_gain(amplitude) == pytest.approx(gain, abs=6e-7)
    assert saturation_gain(amplitude) == pytest.approx(fundamental, abs=1e-9)
    assert saturation_gain(amplitude) == pytest.approx(control.saturation_nonlinearity(1).describing_function(amplitude), rel=1e-10)


# A1. Far in the clamp it is a relay's, 4/(πA): the square wave's fundamental is 4/π of its height.
def test_gain_of_a_hard_clamp():
    assert saturation_gain(1e4) == pytest.approx(4 / (np.pi * 1e4), rel=1e-8)


# A4. Class B. SEEN: Boylestad & Nashelsky, Electronic Devices and Circuit Theory, examples 12.8 and 12.9.
def test_class_b_at_full_swing():
    power = class_b_power(30.0, 30.0, 16.0)
    assert (power.load, power.supply) == pytest.approx((28.125, 35.81), rel=1e-3)
    assert power.load / power.supply == pytest.approx(np.pi / 4, rel=1e-12)
    worst = class_b_power(2 * 30.0 / np.pi, 30.0, 16.0)
    assert worst.heat / 2 == pytest.approx(5.7, rel=1e-3)
    assert worst.heat > max(class_b_power(v, 30.0, 16.0).heat for v in (18.0, 20.0))


@pytest.mark.parametrize(("peak", "efficiency"), [(22.0, 0.72), (6.0, 0.196)])
def test_class_b_efficiency(peak, efficiency):
    power = class_b_power(peak, 24.0, 4.0)
    assert power.load / power.supply == pytest.approx(efficiency, rel=2e-3)


def test_class_b_power_by_averages():
    sine = 22.0 * np.sin((np.arange(20_000) + 0.5) / 20_000 * 2 * np.pi)
    power = class_b_power(22.0, 24.0, 4.0)
    assert power.load == pytest.approx(np.mean(sine**2) / 4.0, rel=1e-9)
    assert power.supply == pytest.approx(np.mean(24.0 * np.abs(sine)) / 4.0, rel=1e-6)


# A6. Series circuit 8 Ω, 1 mH, 100 µF at 440 Hz and 1 V: SEEN in an independent circuit simulator, lead 0.1061688 rad, 0.1242962 A.
def test_lead_of_a_series_capacitor():
    current = 1 / series_impedance(440.0, 8.0, 1e-3, 100e-6)
    assert np.angle(current) == pytest.approx(0.1061688, rel=1e-6)
    assert abs(current) == pytest.approx(0.1242962, rel=1e-6)
    assert resonance(1e-3, 100e-6) == pytest.approx(503.292, rel=1e-6)


# A6. The states the time loop keeps, λ' = v − v_C − R λ/L and v_C' = λ/(L C), swept by a general-purpose library.
@pytest.mark.parametrize("hertz", [50.0, 440.0, 5000.0])
def test_series_circuit_by_its_states(hertz):
    r, ind, cap = 8.0, 1e-3, 100e-6
    states = control.ss([[-r / ind, -1.0], [1 / (ind * cap), 0.0]], [[1.0], [0.0]], [[1 / ind, 0.0]], [[0.0]])
    current = states(2j * np.pi * hertz)
    assert current == pytest.approx(1 / series_impedance(hertz, r, ind, cap), rel=1e-10)


# A7. Textbook (from memory): 0.5 V/µs at 10 V peak 7957.75 Hz, 13 V/µs 206.9 kHz.
@pytest.mark.parametrize(("slew", "hertz", "within"), [(0.5e6, 7957.75, 1e-6), (13e6, 206.9e3, 1e-5)])
def test_full_power_bandwidth(slew, hertz, within):
    assert full_power_bandwidth(slew, 10.0) == pytest.approx(hertz, rel=within)


def test_full_power_sine_is_steepest_at_the_slew_rate():
    f = full_power_bandwidth(0.5e6, 10.0)
    t = np.linspace(-1e-7, 1e-7, 3)
    assert np.gradient(10.0 * np.sin(2 * np.pi * f * t), t)[1] == pytest.approx(0.5e6, rel=1e-4)
