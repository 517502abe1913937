"""A clamped, leaking integrator in periodic motion against its obvious slow twin: the same equation, stepped until it repeats itself.

Edges within a step included: 0.02 V, 0.4 % of the swing, is a tenth of what a step that is taken whole would be off.
"""

import numpy as np
import pytest

from wirebloom.kernels.clamped import means

SAMPLES, PERIOD = 128, 5e-3  # s
ROUNDS, FINE = 6, 64  # periods, and steps between two samples
TURN = 2 * np.pi * np.arange(SAMPLES) / SAMPLES
HEARD = 3e-3 * np.sin(TURN + 0.4) + 1e-3 * np.cos(3 * TURN)
STAGES = [(2e7, 600.0), (2e6, 2e4), (1.5e6, 0.0), (1e5, 3e5)]


def stepped(heard, rate, leak, low, high):
    """Means over the steps that end at the samples, by explicit steps; a limit holds for the whole step that ends at its sample."""
    signal = np.interp(np.arange(SAMPLES * FINE) / FINE, np.arange(SAMPLES + 1), np.append(heard, heard[0]))
    lows, highs = (np.repeat(np.roll(limit, -1), FINE) for limit in (low, high))
    h, v, found = PERIOD / (SAMPLES * FINE), 0.0, np.zeros(SAMPLES * FINE)
    for _ in range(ROUNDS):
        for k, e in enumerate(signal):
            before = v
            v = min(max(v + h * (rate * e - leak * v), lows[k]), highs[k])
            found[k] = 0.5 * (before + v)
    return np.roll(found.reshape(SAMPLES, FINE).mean(axis=1), 1)


def answered(heard, rate, leaks, lows, highs):
    """By the kernel: signals (B, M), leaks (B,), limits (1 or B, M)."""
    found, step = np.empty_like(heard), PERIOD / SAMPLES
    means(heard, lows, highs, np.asarray(leaks) * step, rate * step, found)
    return found


def flat(volts):
    return np.full((1, SAMPLES), volts)


@pytest.mark.parametrize(("rate", "leak"), STAGES)
def test_it_answers_as_if_it_were_stepped(rate, leak):
    found = answered(HEARD[None], rate, [leak], flat(-3.0), flat(2.5))[0]
    assert found == pytest.approx(stepped(HEARD, rate, leak, flat(-3.0)[0], flat(2.5)[0]), abs=0.02)


@pytest.mark.parametrize(("rate", "leak"), [(2e7, 600.0), (4e6, 300.0)])
def test_its_limits_may_move(rate, leak):
    low, high = -3.0 + 0.2 * np.cos(TURN), 2.5 + 0.2 * np.sin(2 * TURN)
    assert np.ptp(stepped(HEARD, rate, leak, low, high) - stepped(HEARD, rate, leak, flat(-3.0)[0], flat(2.5)[0])) > 0.2
    assert answered(HEARD[None], rate, [leak], low[None], high[None])[0] == pytest.approx(stepped(HEARD, rate, leak, low, high), abs=0.03)


def test_every_signal_has_its_own_leak_and_limits_or_all_share_them():
    heard = HEARD * np.array([[1.0], [-0.4], [2.0]])
    leaks, lows = np.array([600.0, 2e4, 9e4]), np.concatenate([flat(-3.0), flat(-1.0), flat(-2.0)])
    together = answered(heard, 2e6, leaks, lows, flat(2.5))
    alone = [answered(heard[b : b + 1], 2e6, leaks[b : b + 1], lows[b : b + 1], flat(2.5))[0] for b in range(3)]
    np.testing.assert_array_equal(together, alone)
