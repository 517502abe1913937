"""Voltage, current, power, heat, supply: sine and square waves in closed form.

Sine of peak V in R: rms V/√2, power V²/2R, mean of one half-wave (over the whole period) V/(πR), crest √2.
Square: rms V, crest 1, half-wave V/2R. Form and crest factors as in every handbook of electrical engineering (from memory).
"""

import numpy as np
import pytest

from synthetic import BIAS, COIL, FACTOR, QUIESCENT, RESISTANCE, SWING, Tone, synthetic_take
from wirebloom.take.measures import measure

PEAK = 1.5  # V, half of the swing
STEADY = Tone(growth=0.0)


def sine_take(**more):
    speed = 2.0 * np.pi * 196.0 * STEADY.final * np.sin(0.4 * np.pi)
    return synthetic_take([STEADY], gain=PEAK / (FACTOR * speed), **more)


def test_sine():
    loop = measure(sine_take()).loops[0]
    assert loop.drive_rms_V == pytest.approx(PEAK / np.sqrt(2.0), rel=1e-5)
    assert loop.drive_peak_V == pytest.approx(PEAK, rel=1e-3)
    assert loop.drive_rms_A == pytest.approx(PEAK / np.sqrt(2.0) / RESISTANCE, rel=1e-5)
    assert loop.drive_peak_A == pytest.approx(PEAK / RESISTANCE, rel=1e-3)
    assert loop.drive_power_W == pytest.approx(PEAK**2 / 2.0 / RESISTANCE, rel=1e-5)
    assert loop.coil_heat_W == pytest.approx(COIL * PEAK**2 / 2.0 / RESISTANCE**2, rel=1e-5)
    assert loop.drive_crest == pytest.approx(np.sqrt(2.0), rel=1e-3)
    assert loop.drive_saturated == 0.0


def test_square():
    loop = measure(synthetic_take([STEADY], gain=1e7)).loops[0]
    assert loop.drive_rms_V == pytest.approx(SWING, rel=2e-3)
    assert loop.drive_crest == pytest.approx(1.0, rel=2e-3)
    assert loop.drive_saturated == pytest.approx(1.0, abs=0.02)
    assert loop.supply_A == pytest.approx(SWING / RESISTANCE / 2.0 + QUIESCENT, rel=0.01)


@pytest.mark.parametrize("split", [False, True])
def test_supply_gives_the_positive_half_waves_and_the_quiescent_current(split):
    loop = measure(sine_take(split=split)).loops[0]
    half_wave = PEAK / RESISTANCE / np.pi + QUIESCENT
    assert loop.supply_A == pytest.approx(half_wave, rel=1e-4)
    assert loop.lower_supply_A == pytest.approx(half_wave if split else 0.0, rel=1e-4)
    assert loop.supply_W == pytest.approx(9.0 * half_wave * (2.0 if split else 1.0), rel=1e-4)


def test_voltages_are_about_the_bias():
    take = sine_take()
    assert float(take.signals.drive_voltage.mean()) == pytest.approx(BIAS, rel=1e-3)
    assert measure(take).loops[0].drive_rms_V < PEAK


def test_a_ringing_record_does_not_raise_the_peak_above_the_swing():
    take = synthetic_take([STEADY], gain=1e7)
    take.signals.drive_voltage[-480::48] += 0.3
    loop = measure(take).loops[0]
    assert loop.drive_peak_V == SWING


def test_silence_takes_the_quiescent_current():
    loop = measure(synthetic_take(())).loops[0]
    assert (loop.drive_rms_V, loop.drive_power_W, loop.drive_crest) == (0.0, 0.0, None)
    assert loop.supply_A == pytest.approx(QUIESCENT)
