"""Note over hum, measured on bridge forces of known lines; and the ear's weighting against the standard's table."""

from dataclasses import replace

import numpy as np
import pytest

from synthetic import AUDIO, Tone, synthetic_take
from wirebloom.take.noise import noise_summary, power_spectrum, signal_to_hum
from wirebloom.take.take import Take
from wirebloom.take.weighting import a_weight

NOTE = 196.3  # Hz
# Nominal values of IEC 61672-1, table 3 (from memory), each rounded to 0.1 dB and stated for nominal frequencies.
STANDARD = {31.5: -39.4, 63: -26.2, 125: -16.1, 250: -8.6, 500: -3.2, 1000: 0.0, 2000: 1.2, 4000: 1.0, 8000: -1.1, 16000: -6.6}


def take_of(*lines: tuple[float, float], mains: float = 50.0, floor: float = 0.0, seconds: float = 3.0, side: int = 0) -> Take:
    """Bridge force of lines (Hz, N amplitude) towards the heads, hum to one side."""
    take = synthetic_take([Tone()], duration=seconds)
    time = np.arange(take.signals.bridge_force.shape[0]) / AUDIO
    force = floor * np.random.default_rng(3).standard_normal((time.size, 1, 2))
    for k, (hertz, amplitude) in enumerate(lines):
        force[:, 0, side if k else 0] += amplitude * np.sin(2 * np.pi * hertz * time + k)
    loops = tuple(replace(loop, hum_Hz=mains) for loop in take.sheet.loops)
    return replace(take, signals=replace(take.signals, bridge_force=force.astype(np.float32)), sheet=replace(take.sheet, loops=loops))


@pytest.mark.parametrize("hertz", STANDARD)
def test_weighting_is_the_standards(hertz: float) -> None:
    exact = 1000.0 * 10.0 ** (np.round(10.0 * np.log10(hertz / 1000.0)) / 10.0)
    assert 20 * np.log10(a_weight(np.array([exact]))[0]) == pytest.approx(STANDARD[hertz], abs=0.06)


def test_power_of_a_line_is_half_its_amplitude_squared() -> None:
    time = np.arange(48000) / AUDIO
    hertz, power = power_spectrum(3.0 * np.sin(2 * np.pi * 440.3 * time) + 7.0, AUDIO)
    near = np.abs(hertz - 440.3) <= 5
    assert power[near].sum() == pytest.approx(4.5, rel=1e-6)
    assert power[~near].sum() < 1e-5


@pytest.mark.parametrize("side", [0, 1])
def test_note_over_hum_is_the_ratio_of_their_powers(side: int) -> None:
    """1 N against 10 mN and 5 mN: 10 lg(1/(1e-4 + 0.25e-4)) = 39.03 dB; weighted, each line by its own weight."""
    found = signal_to_hum(take_of((NOTE, 1.0), (50.0, 0.01), (150.0, 0.005), side=side), 0, NOTE)
    weight = a_weight(np.array([NOTE, 50.0, 150.0])) ** 2
    assert found.ratio_dB == pytest.approx(39.03, abs=0.01)
    assert found.weighted_dB == pytest.approx(10 * np.log10(weight[0] / (1e-4 * weight[1] + 0.25e-4 * weight[2])), abs=0.05)
    assert not found.at_least


def test_partials_of_the_note_are_no_hum_and_lines_under_them_are_hidden() -> None:
    """Partials at 2, 3 times 200 Hz lie on multiples of 50 Hz: all lines at multiples of 200 Hz hide, 10 of the 40."""
    found = signal_to_hum(take_of((200.0, 1.0), (400.0, 0.5), (600.0, 0.5), (50.0, 0.01)), 0, 200.0)
    assert found.hidden == 10
    assert found.ratio_dB == pytest.approx(10 * np.log10(1.5 / 1e-4), abs=0.02)


def test_hum_below_the_noise_is_told_as_a_bound() -> None:
    found = signal_to_hum(take_of((NOTE, 1.0), (50.0, 1e-6), floor=1e-4), 0, NOTE)
    assert found.at_least
    assert found.ratio_dB > 40.0


def test_no_answer_without_mains_note_or_time() -> None:
    hum = (NOTE, 1.0), (50.0, 0.01)
    assert signal_to_hum(take_of(*hum, mains=0.0), 0, NOTE) is None
    assert signal_to_hum(take_of(*hum), 0, None) is None
    assert signal_to_hum(take_of(*hum, seconds=0.3), 0, NOTE) is None
    assert noise_summary(take_of(*hum, mains=0.0), 0, NOTE) == {"idle": [], "note_to_hum_dB": None, "note_to_hum_dBA": None}


def test_takes_without_idle_figures_leave_them_out() -> None:
    take = take_of((NOTE, 1.0), (50.0, 0.01))
    loops = tuple(replace(loop, idle_noise_V=5e-3, idle_hum_V=0.2, idle_A=1e-3, gain_left=0.9) for loop in take.sheet.loops)
    (told,) = noise_summary(replace(take, sheet=replace(take.sheet, loops=loops)), 0, NOTE)["idle"]
    assert told == {"loop": take.sheet.loops[0].name, "noise_V": 5e-3, "hum_V": 0.2, "drive_A": 1e-3, "gain_left": 0.9}
