"""Notes, intervals and levels."""

import numpy as np
import pytest

from wirebloom.physics.levels import cents, decibels, interval_ratio
from wirebloom.rig.notes import note_frequency

# P1. ISO 16:1975, A4 = 440 Hz (front page SEEN), equal temperament.
NOTES = {"E2": 82.4069, "A2": 110.0, "D3": 146.8324, "G3": 195.9977, "B3": 246.9417, "E4": 329.6276, "A4": 440.0}


@pytest.mark.parametrize(("name", "hertz"), NOTES.items())
def test_pitch_of_notes(name, hertz):
    assert note_frequency(name) == pytest.approx(hertz, rel=1e-6)


# P1. Intervals in cents (textbook).
@pytest.mark.parametrize(("ratio", "interval"), [(445 / 440, 19.562), (3 / 2, 701.955), (5 / 4, 386.314), (2, 1200.0), (0.5, -1200.0)])
def test_intervals(ratio, interval):
    assert cents(ratio) == pytest.approx(interval, abs=5e-4)
    assert interval_ratio(interval) == pytest.approx(ratio, rel=1e-6)


# P3, A5. 1 Pa is 93.9794 dB re 20 µPa; twice the distance −6.0206 dB; third harmonic of a square wave −9.542 dB (textbook).
@pytest.mark.parametrize(("ratio", "level"), [(1 / 20e-6, 93.9794), (0.5, -6.0206), (1 / 3, -9.5424)])
def test_levels(ratio, level):
    assert decibels(ratio) == pytest.approx(level, abs=1e-4)


def test_silence_has_no_level():
    assert decibels(0.0) == -np.inf
