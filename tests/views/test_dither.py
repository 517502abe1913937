"""Dither: what its theory says of mean and power of the error, and what must not happen to silence.

Lipshitz, Wannamaker and Vanderkooy, Journal of the Audio Engineering Society 40, 1992 (from memory): with triangular dither two steps
wide the error has mean 0 and power Δ²/4, whatever the sound. Plain rounding has Δ²/12 and errors that follow the sound; dither one step
wide has a power that depends on the level.
"""

import numpy as np
import pytest

from wirebloom.views.dither import dithered

STEP = 2.0**-15


@pytest.mark.parametrize("level", [0.0137, 0.25, 0.5, 0.77])
def test_mean_and_power_of_the_error_do_not_depend_on_the_level(level):
    """A constant between two steps: rounding alone is off by up to half a step, always the same way."""
    wanted = np.full(400_000, (1000.0 + level) * STEP)
    error = dithered(wanted, 16) - wanted / STEP
    assert error.mean() == pytest.approx(0.0, abs=5e-3)
    assert error.var() == pytest.approx(0.25, rel=0.01)


def test_a_tone_below_one_step_comes_through_without_harmonics():
    """Half a step high: rounding alone gives silence. The third harmonic stays in the noise, 30 dB below."""
    time = np.arange(480_000) / 48_000
    whole = dithered(0.5 * STEP * np.sin(2.0 * np.pi * 1000.0 * time), 16)
    line = 2.0 * np.abs(np.fft.rfft(whole)) / time.size
    assert line[10_000] == pytest.approx(0.5, rel=0.01)
    assert line[30_000] < 0.03 * line[10_000]


def test_silence_stays_silence():
    assert not dithered(np.zeros(1000), 16).any()
    half = np.concatenate([np.zeros(500), np.full(500, 0.1)])
    assert not dithered(half, 24)[:500].any()


def test_noise_is_new_from_sample_to_sample_and_the_same_from_run_to_run():
    sound = np.full(100_000, 0.1)
    first, second = dithered(sound, 16), dithered(sound, 16)
    assert (first == second).all()
    noise = first - first.mean()
    assert abs(np.dot(noise[1:], noise[:-1])) < 0.01 * np.dot(noise, noise)


@pytest.mark.parametrize("bits", [16, 24])
def test_full_scale_is_never_wrapped_round(bits):
    ends = dithered(np.tile([1.0, -1.0], 1000), bits)
    assert (ends.min(), ends.max()) == (-(2 ** (bits - 1)), 2 ** (bits - 1) - 1)
