"""What everybody knows who has built such an instrument. No handbook says it: each test is marked "common practice, no source".

The one published figure here, of a square wave's harmonics, names its source beside it.
"""

import numpy as np
import pytest

from consistency.scenario import compiled
from shipped import both_gaps, ended
from wirebloom.run import simulate
from wirebloom.take.measures import measure

AMPLIFIER = "loops.main.amplifier"
CHIP, OPEN = f"{AMPLIFIER}.gain=200", f"{AMPLIFIER}.gain=1e5"
NORMAL = f"{AMPLIFIER}.polarity=normal"  # the reversed scenario, put right: a power amplifier chip, both heads at 1 mm
# A swing so small that neither gain reaches a face, and time for the lower one to build up.
GENTLE = (f"{AMPLIFIER}.supply=4.5 V", f"{AMPLIFIER}.headroom=1.75 V", f"{AMPLIFIER}.level_resistor=10 ohm", "run.duration=14 s")


def decibels(ratio):
    return 20.0 * np.log10(ratio)


def test_gain_of_200_starts_slower_and_ends_alike():
    """Common practice, no source: the gain decides how fast a note comes, the swing how loud it gets."""
    low, high = (ended("first_note", gain, *GENTLE).string for gain in (CHIP, OPEN))
    for string in (low, high):
        assert (string.outcome, string.dominant_partial, string.near.first_touch_s) == ("sustained", 1, None)
    assert low.start_time_s > 1.5 * high.start_time_s
    assert abs(decibels(low.bridge_force_N / high.bridge_force_N)) < 1.0


def test_a_millimetre_decides():
    """Common practice, no source: with a gain of 200 the string starts over 1 mm and does not over 2 mm."""
    near, far = (ended("reversed", NORMAL, *both_gaps(gap)).string for gap in ("1 mm", "2 mm"))
    assert near.starts is True
    assert far.starts is False
    assert far.bridge_force_N < 1e-4 * near.bridge_force_N


def harmonics(signal, rate, pitch, count):
    """Peak amplitudes of the first harmonics of a pitch, by least squares."""
    phase = 2.0 * np.pi * pitch * np.arange(signal.size) / rate
    waves = np.stack([wave(n * phase) for n in range(1, count + 1) for wave in (np.cos, np.sin)], axis=1)
    found, *_ = np.linalg.lstsq(waves, signal, rcond=None)
    return np.hypot(found[0::2], found[1::2])


def test_drive_is_nearly_square():
    """Common practice, no source: crest near 1 (a sine has 1.41), most of the time at the rails."""
    loop = ended("first_note").loop
    assert loop.drive_crest < 1.05
    assert loop.drive_saturated > 0.85
    assert loop.drive_peak_V == pytest.approx(3.0, rel=1e-3)  # half of 9 V less 1.5 V


def test_drive_has_the_harmonics_of_a_square_wave():
    """Textbook (Fourier): fundamental 4/π of the peak, H3 at 1/3 of it or −9.542 dB, H5 at 1/5 or −13.979 dB.

    The edges of the real thing are slanted by the output's own pace: each harmonic a little less, the higher the more. An
    amplifier three times as fast comes nearer.
    """
    missing = []
    for bandwidth in ("3 MHz", "10 MHz"):
        note = ended("first_note", f"loops.main.amplifier.gain_bandwidth={bandwidth}")
        found = harmonics(note.output, note.audio_rate, note.string.pitch_Hz, 5)
        assert found[0] / 3.0 == pytest.approx(4.0 / np.pi, rel=0.02)
        missing.append((-9.542 - decibels(found[2] / found[0]), -13.979 - decibels(found[4] / found[0])))
    slow, fast = missing
    assert 0.0 < fast[0] < slow[0] < 0.5
    assert 0.0 < fast[1] < 0.5 < slow[1] < 1.5


def test_even_harmonics_of_the_drive_are_those_of_its_duty():
    """Textbook (Fourier): a wave that is up for a share d of the time has harmonics sin(nπd)/n.

    A perfect square wave has no even ones. Here d = 0.476: the sense coil's voltage crosses zero four times as steeply where
    the string turns near the face as where it turns far from it, and a faint voltage turns the output round more slowly.
    """
    note = ended("first_note")
    found = harmonics(note.output, note.audio_rate, note.string.pitch_Hz, 4)
    duty = float(np.mean(note.output > 0.0))
    assert 0.46 < duty < 0.5
    for n in (2, 4):
        assert found[n - 1] / found[0] == pytest.approx(abs(np.sin(n * np.pi * duty) / (n * np.sin(np.pi * duty))), rel=0.12)


def test_16_ohm_at_a_little_over_2_V_takes_a_third_of_a_watt():
    """Common practice, no source: V²/R. By Fourier: a square wave ±V into R and L takes V²/R·(1 − (4τ/T) tanh(T/4τ)), τ = L/R."""
    sixteen = ("heads.drive.resistance=15.5 ohm", "heads.drive.inductance=0.5 mH", "heads.drive.gap=2 mm", "heads.sense.gap=2 mm")
    swing = (f"{AMPLIFIER}.gain=1e5", f"{AMPLIFIER}.supply=3.7 V", f"{AMPLIFIER}.headroom=1.5 V")
    pluck = 'start={ kind = "pluck", position = "0.3 L", height = "0.5 mm" }'
    take = simulate(compiled(*sixteen, *swing, pluck, "run.duration=2 s"))
    measures = measure(take)
    (loop,), (sheet,), (string,) = measures.loops, take.sheet.loops, measures.strings
    assert sheet.drive_resistance_ohm == pytest.approx(16.0)
    assert 2.0 < loop.drive_rms_V < 2.2
    assert loop.drive_power_W == pytest.approx(0.3, rel=0.12)
    share = 4.0 * (0.5e-3 / 16.0) * string.pitch_Hz
    assert loop.drive_power_W == pytest.approx(loop.drive_rms_V**2 / 16.0 * (1.0 - share * np.tanh(1.0 / share)), rel=0.02)


@pytest.mark.parametrize("rig", [("first_note",), ("first_note", OPEN, *GENTLE), ("overtones", 'loops.main.phase={ kind = "none" }')])
def test_normal_polarity_gives_the_fundamental(rig):
    """Common practice, no source."""
    assert (ended(*rig).string.starts, ended(*rig).string.dominant_partial) == (True, 1)


def test_series_capacitor_gives_an_upper_partial():
    """Common practice, no source: with enough gain; the same capacitor and a gain of 200 start nothing that high."""
    open_loop, chip = ended("overtones").string, ended("overtones", CHIP).string
    assert open_loop.starts is True
    assert open_loop.dominant_partial > 1
    assert chip.starts is False or chip.dominant_partial == 1


def test_large_series_capacitor_gives_the_fundamental_back():
    """Common practice, no source: a capacitor that is nearly a piece of wire at the note does nothing."""
    assert ended("overtones", "loops.main.phase.capacitor=470 uF").string.dominant_partial == 1


def test_reversed_polarity_is_silent_at_low_gain_and_an_overtone_switch_at_high_gain():
    """Common practice, no source."""
    chip, open_loop = ended("reversed").string, ended("reversed", OPEN).string
    assert chip.starts is False
    assert chip.bridge_force_N < 1e-4 * open_loop.bridge_force_N
    assert open_loop.outcome == "sustained"
    assert open_loop.dominant_partial > 1


def test_switching_on_is_quicker_than_noise():
    """Common practice, no source: the thump of switching on spares the loop the first growth out of the noise."""
    thump, noise = (ended("first_note", f"start.kind={kind}", "run.duration=10 s").string for kind in ("switch-on", "noise"))
    assert (thump.outcome, noise.outcome) == ("sustained", "sustained")
    assert thump.start_time_s < noise.start_time_s
