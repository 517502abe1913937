"""A run with its strings held: thermal noise by its own spectrum, idle drive as the linear model has it; and strings that start in hum.

| what                                               | against                                                  | within      |
|----------------------------------------------------|----------------------------------------------------------|-------------|
| node of a sense coil of 200 Ω                      | 4kTR, one-sided (Nyquist 1928, from memory)              | 0.5 dB      |
| output and drive current, plain amplifier          | linear model, octave by octave                           | 0.5 dB      |
| the same of two stages on a shared supply          | linear model, octave by octave                           | 0.5 dB      |
| idle drive in a mains field                        | linear model, noise and hum together                     | 2 %         |
| growth of a string while hum holds the output      | linear model with the gain that is left                  | 15 %        |
| a string in much more hum                          | does not start; starts without it                        |             |

The linear model knows nothing of time steps, the run nothing of frequencies. Densities taken for two-sided are off by 3 dB, hum
taken for its peak by √2; a hum that took no gain would leave the growth four times too fast.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import welch

from consistency.scenario import compiled
from wirebloom.analysis.hum import idle, starts
from wirebloom.analysis.linear import linearise
from wirebloom.analysis.noise import densities, output_rows, spectrum
from wirebloom.compile import Compiled, compile_rig
from wirebloom.compile.held import with_strings_held
from wirebloom.rig import load
from wirebloom.run import simulate
from wirebloom.take.electrics import loop_measures
from wirebloom.take.take import Take

BOLTZMANN = 1.380649e-23  # J/K, exact in the SI of 2019
OCTAVES = [(f, 2 * f) for f in (100, 200, 400, 800, 1600, 3200)]  # Hz
STILL = "start={kind='noise'}"
LISTENING = 1.0  # m²: a sense coil of the measured kind states no area, so one is put in


def by_octave(signal: np.ndarray, rate: float) -> np.ndarray:
    """Mean density of every octave, (unit)²/Hz, after what settles first."""
    late = signal[round(rate) :].astype(float)
    frequency, density = welch(late, rate, nperseg=round(rate / 20))
    return np.array([density[(frequency >= low) & (frequency < high)].mean() for low, high in OCTAVES])


def wanted(ready: Compiled, output: str, column: int) -> np.ndarray:
    linear, sources = linearise(ready, strings=False), densities(ready.model)
    return np.array([np.mean(spectrum(linear, sources, np.linspace(low, high, 40), output)[:, column] ** 2) for low, high in OCTAVES])


def assert_alike(found: np.ndarray, right: np.ndarray | float) -> None:
    np.testing.assert_allclose(10 * np.log10(found / right), 0.0, atol=0.5)


def held_run(ready: Compiled) -> Take:
    take = simulate(with_strings_held(ready))
    assert np.all(take.signals.displacement == 0.0)
    return take


def test_coil_makes_thermal_noise_and_the_drive_what_the_linear_model_says() -> None:
    """200 Ω at 20 °C: 1.8 nV/√Hz. Into 10 MΩ and 100 pF nothing is lost up to 6.4 kHz."""
    ready = compiled(STILL, "run.duration=7 s")
    take = held_run(ready)
    assert_alike(by_octave(take.signals.sense_voltage[:, 0], take.audio_rate), 4 * BOLTZMANN * 293.15 * 200.0)
    assert_alike(by_octave(take.signals.drive_voltage[:, 0], take.audio_rate), wanted(ready, "meter", int(output_rows(1)[0])))
    assert_alike(by_octave(take.signals.drive_current[:, 0], take.audio_rate), wanted(ready, "current", 1))


@pytest.mark.slow
def test_two_stages_pass_their_noise_on() -> None:
    ready = compile_rig(*load("two_stages", (STILL, "run.duration=7 s")))
    take = held_run(ready)
    assert_alike(by_octave(take.signals.drive_voltage[:, 0], take.audio_rate), wanted(ready, "meter", int(output_rows(1)[0])))
    assert_alike(by_octave(take.signals.drive_current[:, 0], take.audio_rate), wanted(ready, "current", 1))


@pytest.mark.slow
@pytest.mark.parametrize("name", ["first_note", "two_stages", "power_chip"])
def test_idle_drive(name: str) -> None:
    """No offset is left in the drive: every one of these has an output capacitor."""
    ready = compile_rig(*load(name, (STILL, "run.duration=2 s", "room.mains.field=0.3 uT")))
    (found,), measured = idle(ready), loop_measures(held_run(ready), 0)
    assert found.stable
    assert found.gain_left == pytest.approx(1.0, abs=1e-6)
    assert measured.drive_rms_A == pytest.approx(found.drive_A, rel=0.02)


def in_hum(millitesla: float) -> Compiled:
    field = f"room.mains={{field='{millitesla} mT', harmonics=[]}}"
    ready = compiled(STILL, "run.duration=2 s", field)
    return replace(ready, model=ready.model._replace(coils=ready.model.coils._replace(area=np.array([LISTENING, 0.0]))))


def slope(take: Take, since: float) -> float:
    """Growth rate of partial 1 from a time (s) on, 1/s."""
    late = take.frames.time > since
    return float(np.polyfit(take.frames.time[late], np.log(take.frames.amplitude[late, 0, 0, 0]), 1)[0])


def test_hum_delays_a_start_by_the_gain_that_it_takes() -> None:
    """4 times the swing of hum leave 28 % of the gain; the string's losses stay, so growth falls by a little more than that."""
    ready = in_hum(0.04)
    (found,), (start,) = idle(ready), starts(ready)
    beyond = np.sqrt(2) * np.sum(found.hum_V) / 7.5
    assert found.gain_left == pytest.approx(2 / np.pi * np.arcsin(1 / beyond), rel=0.02)
    assert start.here_per_s < 0.28 * start.quiet_per_s
    assert slope(simulate(ready), 0.8) == pytest.approx(start.here_per_s, rel=0.15)


def test_much_hum_blocks_a_start() -> None:
    blocked, free = in_hum(0.4), in_hum(1e-6)
    (start,), (quiet,) = starts(blocked), starts(free)
    assert start.blocked
    assert not quiet.blocked
    assert quiet.here_per_s == pytest.approx(start.quiet_per_s)
    ended = [simulate(ready).frames.amplitude[:, 0, 0, 0] for ready in (blocked, free)]
    forced, grown = (levels[-40:].max() / levels[10:50].max() for levels in ended)
    assert forced < 1.5  # the hum itself moves it by 2 µm, no more at the end than at first
    assert grown > 1000.0
