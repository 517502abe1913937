"""Stretches of a sound: where a level stands, and which stretch is the loudest."""

import numpy as np
import pytest

from wirebloom.views.excerpts import build_up, shortened, stands, whole
from wirebloom.views.filtering import RATE

TIME = np.arange(10 * RATE) / RATE
TONE = np.sin(2.0 * np.pi * 440.0 * TIME)


def rising(full, rate=5.0):
    """A note that grows e-fold in 1/rate s until it stands at `full` s."""
    return TONE * np.exp(np.minimum(0.0, rate * (TIME - full)))


@pytest.mark.parametrize("full", [1.0, 4.0, 8.5])
def test_a_level_stands_at_nine_tenths(full):
    """ln(0.9)/5 = −21 ms before it is full, read in blocks of 50 ms."""
    assert stands(rising(full)) == pytest.approx(full + np.log(0.9) / 5.0, abs=0.05)


def test_a_build_up_ends_a_second_later():
    found = build_up(rising(4.0))
    assert found.sound.size / RATE == pytest.approx(5.0, abs=0.1)
    assert (found.start, found.what) == (0.0, "from its start until a second after its level stands")


def test_a_short_build_up_lasts_three_seconds():
    assert build_up(rising(0.5, 20.0)).sound.size == 3 * RATE


@pytest.mark.parametrize("sound", [TONE, TONE * np.exp(-TIME), np.zeros(5 * RATE), TONE[:100], np.zeros(0), rising(9.5)])
def test_all_is_kept_of_what_begins_loudest_dies_is_silent_or_never_stands(sound):
    assert build_up(sound) == whole(sound)


@pytest.mark.parametrize(("sound", "start"), [(TONE * np.exp(-TIME), 0.0), (rising(8.0), 8.0), (np.zeros(10 * RATE), 0.0)])
def test_the_loudest_stretch(sound, start):
    found = shortened(whole(sound), 2.0)
    assert found.sound.size == 2 * RATE
    assert found.start == pytest.approx(start, abs=0.02)
    assert np.shares_memory(found.sound, sound)


def test_what_is_short_enough_stays():
    excerpt = whole(TONE)
    assert shortened(excerpt, 10.0) is excerpt
    assert shortened(excerpt, -1.0).sound.size == 0
