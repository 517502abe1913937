"""P6. Loudness and true peak against the signals that ITU-R BS.1770-4 and EBU Tech 3341 (table 1) say the reading of.

Sources: BS.1770-4, annex 1 (its filters' coefficients at 48 kHz, SEEN; a sine of 997 Hz at full scale in one channel has −3.01 LKFS,
from memory) and annex 2 (48 coefficients of a four-phase interpolator, SEEN); EBU R 128 (target −23.0 LUFS, at most −1 dBTP, SEEN); EBU
Tech 3341 (signals 1 to 5 and 15 to 19 with their tolerances: SEEN for 15 to 19, levels and times of 1 to 5 from memory).

A factor 2 in power, as between one channel and two, is off by 3 LU; dB of 10 for 20 by half; a gate that is missing by 1 LU or more in
signals 3 to 5; a peak read at the samples only by up to 3 dB.
"""

import numpy as np
import pytest
from pyloudnorm import Meter
from scipy.signal import resample

from wirebloom.views.filtering import RATE
from wirebloom.views.loudness import loudness, true_peak, true_peak_dB

BOTH = 10.0 * np.log10(2.0)  # what a second channel with the same sound adds
PHASE_0 = (
    0.0017089843750, 0.0109863281250, -0.0196533203125, 0.0332031250000, -0.0594482421875, 0.1373291015625,
    0.9721679687500, -0.1022949218750, 0.0476074218750, -0.0266113281250, 0.0148925781250, -0.0083007812500,
)  # fmt: skip
PHASE_1 = (
    -0.0291748046875, 0.0292968750000, -0.0517578125000, 0.0891113281250, -0.1665039062500, 0.4650878906250,
    0.7797851562500, -0.2003173828125, 0.1015625000000, -0.0582275390625, 0.0330810546875, -0.0189208984375,
)  # fmt: skip
ANNEX_2 = (PHASE_0, PHASE_1, PHASE_1[::-1], PHASE_0[::-1])


def sine(frequency, seconds, level=0.0, phase=0.0):
    """A sine whose peaks are so many dB from full scale."""
    return 10.0 ** (level / 20.0) * np.sin(2.0 * np.pi * frequency * np.arange(round(seconds * RATE)) / RATE + np.radians(phase))


def steps(*parts):
    """1 kHz at levels (dBFS) for times (s), one after the other."""
    return np.concatenate([sine(1000.0, seconds, level) for level, seconds in parts])


def annex_2_peak(sound):
    """The reading of the published interpolator."""
    return max(np.abs(np.convolve(sound, taps)).max() for taps in ANNEX_2)


def test_full_scale_in_one_channel():
    assert loudness(sine(997.0, 20.0)) == pytest.approx(-3.01, abs=0.01)


@pytest.mark.parametrize("frequency", [30.0, 60.0, 196.0, 1000.0, 3000.0, 9000.0, 18_000.0])
def test_weight_of_a_tone_beside_a_reference_meter(frequency):
    """pyloudnorm reads 0.04 LU low (check values), and designs its shelf from the analogue one."""
    sound = sine(frequency, 2.0, -20.0)
    assert loudness(sound) == pytest.approx(Meter(RATE).integrated_loudness(sound), abs=0.1)


def test_gates_beside_a_reference_meter():
    """A note that dies through both gates, and noise that swells from below the absolute one."""
    note = sine(440.0, 12.0) * np.exp(-np.arange(12 * RATE) / RATE)
    noise = np.random.default_rng(7).standard_normal(8 * RATE) * np.geomspace(1e-5, 0.3, 8 * RATE)
    for sound in (note, noise, np.concatenate([note, noise])):
        assert loudness(sound) == pytest.approx(Meter(RATE).integrated_loudness(sound), abs=0.1)


@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        pytest.param([(-23.0, 20.0)], -23.0, id="1"),
        pytest.param([(-33.0, 20.0)], -33.0, id="2"),
        pytest.param([(-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0)], -23.0, id="3"),
        pytest.param([(-72.0, 10.0), (-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0), (-72.0, 10.0)], -23.0, id="4"),
        pytest.param([(-26.0, 20.0), (-20.0, 20.1), (-26.0, 20.0)], -23.0, id="5"),
    ],
)
def test_signals_of_tech_3341(parts, expected):
    """They are stereo, the same in both channels; ours has one."""
    assert loudness(steps(*parts)) + BOTH == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize(
    ("sound", "expected"),
    [
        pytest.param(sine(RATE / 4, 1.0) * 0.50, -6.0, id="15"),
        pytest.param(sine(RATE / 4, 1.0, phase=45.0) * 0.50, -6.0, id="16"),
        pytest.param(sine(RATE / 6, 1.0, phase=60.0) * 0.50, -6.0, id="17"),
        pytest.param(sine(RATE / 8, 1.0, phase=67.5) * 0.50, -6.0, id="18"),
        pytest.param(sine(RATE / 4, 1.0, phase=45.0) * 1.41, 3.0, id="19"),
    ],
)
def test_peaks_of_tech_3341(sound, expected):
    """+0.2, −0.4 dB. Short fades take away what a sudden start would add between the first samples."""
    swell = np.clip(np.minimum(np.arange(sound.size), np.arange(sound.size)[::-1]) / 480.0, 0.0, 1.0)
    assert expected - 0.4 <= true_peak_dB(sound * np.sin(0.5 * np.pi * swell) ** 2) <= expected + 0.2


@pytest.mark.parametrize("frequency", [100.0, 3000.0, 7919.0, 12_345.0, 19_000.0])
def test_reading_beside_the_published_interpolator(frequency):
    """Its twelve coefficients a phase ripple by some tenths of a decibel towards 20 kHz."""
    sound = sine(frequency, 0.5, -7.0, phase=45.0) * np.hanning(RATE // 2)
    assert 20.0 * np.log10(true_peak(sound) / annex_2_peak(sound)) == pytest.approx(0.0, abs=0.3)


def test_reading_beside_an_interpolator_without_error():
    """All of the spectrum kept (scipy.signal.resample), sixteen values a sample: noise up to 20 kHz."""
    spectrum = np.fft.rfft(np.random.default_rng(3).standard_normal(RATE))
    spectrum[20_000:] = 0.0
    sound = np.fft.irfft(spectrum) * np.hanning(RATE)
    assert true_peak(sound) == pytest.approx(np.abs(resample(sound, 16 * RATE)).max(), rel=5e-3)
    assert true_peak(sound) >= np.abs(sound).max()


@pytest.mark.parametrize(("sound", "expected"), [(np.zeros(RATE), None), (sine(997.0, 0.39), None), (sine(997.0, 1.0, -80.0), None)])
def test_silence_a_short_sound_and_one_below_the_gate_have_no_loudness(sound, expected):
    assert loudness(sound) is expected


def test_silence_has_no_peak():
    assert (true_peak(np.zeros(10)), true_peak_dB(np.zeros(10)), true_peak_dB(np.zeros(0))) == (0.0, None, None)
