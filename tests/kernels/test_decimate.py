"""From steps to samples: level of what belongs there, absence of what does not, and no shift in time.

| tone, as a share of the lower rate       | must                                        |
|------------------------------------------|---------------------------------------------|
| up to 0.38                               | keep its level to 0.01 dB and its phase     |
| 0.62 … half the higher rate              | be below −80 dB wherever it folds to        |
| 0.50                                     | be at −6 dB: the filter cuts there          |

Between 0.38 and 0.62 the filter falls: 18 to 30 kHz for samples at 48 kHz.
"""

import numpy as np
import pytest

from wirebloom.kernels.decimate import decimate
from wirebloom.run.sampling import Sampler, low_pass

LENGTH = 400  # samples


def sampled(share, every, pieces=1):
    """A cosine of this share of the lower rate, read at every few steps; the middle of what comes out and its times."""
    steps = np.cos(2 * np.pi * share / every * (np.arange(LENGTH * every) + 0.5))[:, None]
    sampler = Sampler(1, every)
    parts = [sampler.take(part) for part in np.array_split(steps, pieces)]
    values = np.concatenate([*parts, sampler.finish()])[:, 0]
    times = np.arange(values.size)
    return times[40:-40], values[40:-40].astype(float)


@pytest.mark.parametrize("every", [2, 4, 8])
@pytest.mark.parametrize("share", [0.001, 0.1, 0.25, 0.38])
def test_tone_keeps_level_and_phase(share, every):
    """Sample m stands at m·every steps: half a step beside the steps' own middles."""
    times, values = sampled(share, every)
    wanted = np.cos(2 * np.pi * share * times)
    level = (values @ wanted) / (wanted @ wanted)
    assert 20 * np.log10(level) == pytest.approx(0.0, abs=0.01)
    assert np.abs(values - wanted).max() < 2e-3


@pytest.mark.parametrize("every", [2, 4, 8])
@pytest.mark.parametrize("share", [0.62, 0.7, 0.99])
def test_alias_is_gone(share, every):
    _, values = sampled(share, every)
    assert 20 * np.log10(np.abs(values).max()) < -80.0


def test_cut_is_at_half_the_rate():
    every = 4
    taps = low_pass(every)
    gain = abs(np.sum(taps * np.exp(-2j * np.pi * 0.5 / every * np.arange(taps.size))))
    assert 20 * np.log10(gain) == pytest.approx(-6.02, abs=0.1)


def test_steps_may_come_in_any_portions():
    whole, parts = sampled(0.2, 4)[1], sampled(0.2, 4, pieces=37)[1]
    np.testing.assert_array_equal(parts, whole)


def test_every_step_may_be_kept():
    steps = np.random.default_rng(1).standard_normal((50, 3))
    np.testing.assert_array_equal(Sampler(3, 1).take(steps), steps.astype(np.float32))


def test_decimate_is_a_weighted_sum():
    random = np.random.default_rng(2)
    steps, taps, every = random.standard_normal((60, 3)), random.standard_normal(11), 4
    out = np.zeros((12, 3), dtype=np.float32)
    decimate(steps, taps, every, np.zeros(3), out)
    wanted = np.array([taps @ steps[m * every : m * every + 11] for m in range(12)])
    np.testing.assert_allclose(out, wanted, rtol=1e-6, atol=1e-6)
