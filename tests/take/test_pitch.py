"""Pitch to 0.1 cent, levels to 0.1 dB.

1 cent = 1/1200 octave (the unit's definition). Pure tones are their own reference; the two strings' mode spacing of 0.5
cent and the level figures are derived.
"""

import numpy as np
import pytest

from synthetic import Tone, synthetic_take
from wirebloom.take.measures import measure
from wirebloom.take.pitch import cents_between, line_frequency

TENTH = 0.1  # cent


@pytest.mark.parametrize("cents", [-700.0, -37.3, -0.04, 0.0, 0.04, 52.7, 400.0])
@pytest.mark.parametrize("partial", [1, 3])
def test_pitch_within_a_tenth_of_a_cent(partial, cents):
    cents = cents / partial  # the search reaches 0.45 of the spacing of the partials
    rest = [Tone(partial=n, final=1e-5, growth=0.0) for n in (1, 2, 3, 4, 5) if n != partial]
    string = measure(synthetic_take([Tone(partial=partial, cents=cents), *rest])).leading
    assert string.dominant_partial == partial
    assert string.cents == pytest.approx(cents, abs=TENTH)
    assert string.pitch_Hz == pytest.approx(partial * 196.0 * 2.0 ** (cents / 1200.0), rel=TENTH * np.log(2.0) / 1200.0)


@pytest.mark.parametrize("growth", [0.0, 3.0, 30.0])
def test_growth_does_not_bend_the_pitch(growth):
    string = measure(synthetic_take([Tone(cents=12.3, growth=growth, full=2.5)])).leading
    assert string.cents == pytest.approx(12.3, abs=0.01)


def test_a_note_that_has_just_come_up_is_read_where_it_is_strong():
    """A second of another, weaker line before it, as a string gives that was ringing on another partial."""
    time = np.arange(48000) / 48000.0
    late = np.exp(np.minimum(0.0, 90.0 * (time - 0.9)))
    signal = late * np.cos(2.0 * np.pi * 200.0 * time) + 1e-3 * np.cos(2.0 * np.pi * 196.0 * time)
    found = line_frequency(signal, 48000.0, (110.0, 280.0), 12 * 245)
    assert cents_between(found, 200.0) == pytest.approx(0.0, abs=1.0)


def test_polarisations_are_not_mixed():
    """Sideways lies 1.0003 higher, 0.52 cent; the louder of the two is read."""
    tones = [Tone(final=0.1e-3, growth=0.0, side=0), Tone(final=0.2e-3, growth=0.0, side=1)]
    string = measure(synthetic_take(tones)).leading
    assert string.cents == pytest.approx(1200.0 * np.log2(1.0003), abs=0.01)


def test_half_a_second_still_does():
    assert measure(synthetic_take([Tone(growth=0.0, cents=-8.0)], duration=0.5)).leading.cents == pytest.approx(-8.0, abs=TENTH)


@pytest.mark.parametrize("pitch", [30.87, 41.2034, 440.0, 3520.3])
def test_a_line_among_others_and_noise(pitch):
    """41.2034 Hz is E1, 30.87 Hz B0 in equal temperament from A4 = 440 Hz (ISO 16; from memory)."""
    time = np.arange(48000) / 48000.0
    signal = 0.3 + sum(np.cos(2.0 * np.pi * n * pitch * time + n) * (1.0, 2.0, 0.7)[n - 1] for n in (1, 2, 3))
    signal = signal + 1e-3 * np.random.default_rng(2).standard_normal(time.size)
    found = line_frequency(signal, 48000.0, (0.55 * pitch, 1.45 * pitch), 12 * 1600)
    assert cents_between(found, pitch) == pytest.approx(0.0, abs=TENTH)


def test_no_line_in_silence_or_outside_the_band():
    assert line_frequency(np.zeros(4800), 48000.0, (100.0, 200.0), 480) is None
    assert line_frequency(np.ones(4800), 48000.0, (30e3, 40e3), 480) is None


def test_an_octave_is_1200_cents():
    assert cents_between(880.0, 440.0) == pytest.approx(1200.0, abs=1e-9)
    assert cents_between(3.0, 2.0) == pytest.approx(701.955, abs=5e-4)  # the pure fifth, in every handbook (from memory)


def test_bridge_and_head_rank_partials_differently():
    """At the bridge a partial counts n times its amplitude; at the head at 0.286 L, |sin(0.286 n π)| times."""
    string = measure(synthetic_take([Tone(final=0.1e-3), Tone(partial=2, final=0.06e-3)])).leading
    assert (string.dominant_partial, string.dominant_at_head) == (2, 1)


def test_levels_within_a_tenth_of_a_decibel():
    tones = [Tone(final=0.3e-3), Tone(final=0.4e-3, side=1), Tone(partial=2, final=0.1e-3)]
    string = measure(synthetic_take(tones)).leading
    tension = 8.9e-4 * (2.0 * 0.64 * 196.0) ** 2
    fundamental, octave = tension * np.pi / 0.64 * 0.5e-3, tension * 2.0 * np.pi / 0.64 * 0.1e-3
    decibels = 20.0 * np.log10(np.array([*string.partial_force_N[:2], string.bridge_force_N]))
    assert decibels == pytest.approx(20.0 * np.log10([fundamental, octave, np.hypot(fundamental, octave)]), abs=0.1)


def test_the_last_half_second_ranks():
    """Partial 3 starts 20 log₁₀ 3 = 9.54 dB above partial 1 and fades by 6 dB/s: below it from 1.59 s on."""
    tones = [Tone(growth=0.0, final=1e-4), Tone(partial=3, growth=0.0, final=1e-4, drift=-6.0)]
    assert measure(synthetic_take(tones, duration=1.75)).leading.dominant_partial == 3
    assert measure(synthetic_take(tones, duration=1.95)).leading.dominant_partial == 1
