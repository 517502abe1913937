"""Gains: one for all, or equal loudness; levels known on paper."""

import numpy as np
import pytest

from wirebloom.views.filtering import RATE, faded
from wirebloom.views.gains import FULL, LOWEST, REACH, TARGET, common_gains, full_scale
from wirebloom.views.loudness import loudness, true_peak_dB

FLOOR = 0.01


def tone(amplitude, frequency=1000.0, seconds=2.0):
    return faded(amplitude * np.sin(2.0 * np.pi * frequency * np.arange(round(seconds * RATE)) / RATE), 0.02, 0.02)


def burst(amplitude):
    """A single loud click before much quieter noise."""
    noise = 0.003 * np.random.default_rng(1).standard_normal(2 * RATE)
    noise[5000:5010] = 1.0
    return faded(amplitude * noise)


def decibel(ratio):
    return 20.0 * np.log10(ratio)


def test_full_scale_follows_the_loudest():
    assert full_scale([tone(0.2), tone(0.02)], FLOOR) == pytest.approx(0.2 / FULL, rel=1e-6)


def test_full_scale_makes_room_for_what_swings_between_the_samples():
    """At a quarter of the rate and 45°, samples stand 3.01 dB below the peak: −3 dBFS would be +0.01 dBTP."""
    hidden = faded(0.5 * np.sin(0.5 * np.pi * np.arange(RATE) + 0.25 * np.pi), 0.1, 0.1)
    scale = full_scale([hidden], FLOOR)
    assert scale == pytest.approx(0.5 / REACH, rel=2e-3)
    assert true_peak_dB(hidden / scale) == pytest.approx(-1.2, abs=1e-6)


def test_silence_keeps_the_floor():
    assert full_scale([np.zeros(100), np.zeros(0)], FLOOR) == pytest.approx(FLOOR / FULL)
    assert full_scale([], FLOOR) == pytest.approx(FLOOR / FULL)


def test_equally_loud_and_the_difference_told():
    """A quarter of the amplitude: 12.04 dB are added, and both have −18 LUFS."""
    sounds = {"loud": tone(2.0), "soft": tone(0.5)}
    gains = common_gains(sounds, FLOOR)
    assert [loudness(sounds[name] * gains[name].factor) for name in sounds] == pytest.approx([TARGET, TARGET], abs=0.01)
    assert (gains["loud"].added_dB, gains["soft"].added_dB) == pytest.approx((0.0, decibel(4.0)), abs=0.01)
    assert not any(gain.quiet for gain in gains.values())


def test_loudness_is_matched_not_level():
    """K-weighting (BS.1770, annex 1): a double pole at 38.1 Hz takes 3.97 dB from 50 Hz, the shelf adds 0.69 dB at 1 kHz."""
    gains = common_gains({"low": tone(1.0, 50.0), "high": tone(1.0, 1000.0)}, FLOOR)
    assert gains["high"].added_dB == 0.0
    assert gains["low"].added_dB == pytest.approx(decibel(1.0 + (38.1 / 50.0) ** 2) + 0.69, abs=0.1)


def test_a_peaked_sound_takes_all_down_but_not_without_end():
    sounds = {"click": burst(1.0), "tone": tone(0.3)}
    gains = common_gains(sounds, FLOOR)
    assert gains["click"].factor == 1.0 / full_scale([sounds["click"]], FLOOR)
    assert gains["click"].quiet
    assert loudness(sounds["tone"] * gains["tone"].factor) == pytest.approx(LOWEST, abs=0.01)


def test_what_is_below_the_floor_is_not_brought_up():
    """40 dB below the floor: it stays 40 dB below where a sound at the floor would be, and does not draw the other down."""
    sounds = {"loud": tone(1.0), "faint": tone(0.01 * FLOOR)}
    gains = common_gains(sounds, FLOOR)
    assert gains["faint"].quiet
    assert gains["faint"].factor == pytest.approx(FULL / FLOOR)
    assert loudness(sounds["loud"] * gains["loud"].factor) == pytest.approx(TARGET, abs=0.01)


def test_a_sound_too_short_for_loudness_is_set_by_its_power():
    """0.2 s of 1 kHz: mean square −18 dB, which is what a longer one would have in LUFS within K-weighting's 0.7 dB."""
    short = tone(1.0, seconds=0.2)
    scaled = short * common_gains({"": short}, FLOOR)[""].factor
    assert 10.0 * np.log10(np.mean(scaled**2)) == pytest.approx(TARGET, abs=0.01)


@pytest.mark.parametrize("sounds", [{}, {"a": np.zeros(RATE)}, {"a": np.zeros(RATE), "b": tone(1.0)}])
def test_silence_and_nothing(sounds):
    gains = common_gains(sounds, FLOOR)
    assert gains.keys() == sounds.keys()
    assert all(np.isfinite(gain[:2]).all() for gain in gains.values())
    assert [name for name, gain in gains.items() if gain.quiet] == [name for name, sound in sounds.items() if not sound.any()]
