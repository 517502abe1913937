"""A loop that sounds without its strings, told apart from notes, buzz, hum, noise and drift: by what its amplifier hears.

Synthetic takes, whose string induces all that the sense coil shows; a squeal is added to both ends of the loop. Sizes as runs have
them: notes make 0.2 and more of the power heard, squeals leave the string less than 0.001 of it.
"""

from dataclasses import replace

import numpy as np
import pytest

from synthetic import BIAS, COIL, Tone, synthetic_take
from wirebloom.take.measures import measure
from wirebloom.take.squeal import is_hum, string_share, voice
from wirebloom.take.store import load, save
from wirebloom.take.summary import summary
from wirebloom.views.verdict import verdict

STEADY, FAINT = Tone(growth=0.0), Tone(final=1e-9, growth=0.0)


def clock(take):
    return np.arange(take.signals.drive_voltage.shape[0])[:, None] / take.audio_rate


def changed(take, *, above=0.0, hum=0.0, **signals):
    """The same take with other signals (A,); `above`: mean square of the output (V²) that only whole steps show."""
    kept = replace(take.signals, **{name: values.astype(np.float32) for name, values in signals.items()})
    volts = kept.drive_voltage.astype(float)
    square = np.zeros_like(take.frames.output_square)
    square[1:] = (volts**2).reshape(square.shape[0] - 1, -1, volts.shape[1]).mean(axis=1) + above
    sheet = replace(take.sheet, loops=tuple(replace(loop, hum_Hz=hum) for loop in take.sheet.loops))
    return replace(take, signals=kept, frames=replace(take.frames, output_square=square), sheet=sheet)


def with_line(take, hertz, volts=2.0, heard=0.05, **kept):
    """A take whose drive has one line of this peak, beside what it had, and whose amplifier hears it."""
    wave = np.sin(2.0 * np.pi * hertz * clock(take))
    output = np.clip(take.signals.drive_voltage - BIAS + volts * wave, -3.0, 3.0) + BIAS
    return changed(take, drive_voltage=output, sense_voltage=take.signals.sense_voltage + heard * wave, **kept)


def test_a_note_is_what_its_amplifier_hears():
    found = voice(synthetic_take([STEADY, Tone(partial=2, final=0.1e-3, growth=0.0)]), 0)
    assert (found.squeals, found.squeal_Hz) == (False, None)
    assert found.string_share == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("hertz", [137.3, 3210.4, 14321.0])
def test_a_line_that_no_string_makes_is_a_squeal(hertz):
    take = with_line(synthetic_take([FAINT]), hertz)
    found = measure(take)
    assert (found.strings[0].outcome, found.starts) == ("squeals", False)
    assert found.strings[0].start_time_s is None
    assert found.loops[0].squeal_Hz == pytest.approx(hertz, abs=0.02)
    assert found.loops[0].string_share < 1e-4


def test_what_the_string_induces_against_all_that_is_heard():
    """Share by hand: the string's line of K u̇ = a against a foreign one of b: a²/(a² + b²)."""
    tone = Tone(final=0.1e-3, growth=0.0)
    own = 0.0144 * np.sin(0.4 * np.pi) * 2.0 * np.pi * 196.0 * tone.final
    take = with_line(synthetic_take([tone]), 3210.0, heard=3.0 * own)
    assert string_share(take, 0) == pytest.approx(0.1, rel=2e-3)


def test_current_in_the_sense_coil_counts_with_its_resistance_and_inductance():
    """A coil into a virtual ground shows no voltage: e = −R i − L i′, R of the head 24 Ω, L 2.6 mH (DER)."""
    hertz = 900.0
    take, phase = synthetic_take([FAINT]), 2.0 * np.pi * hertz
    emf = 1e-3
    current = -emf / np.hypot(COIL, phase * 2.6e-3) * np.sin(phase * clock(take))
    found = voice(changed(take, sense_voltage=np.zeros_like(current), sense_current=current), 0)
    theirs = 0.0144 * np.sin(0.4 * np.pi) * 2.0 * np.pi * 196.0 * 1e-9
    assert found.string_share == pytest.approx((theirs / emf) ** 2, rel=5e-3)


def test_a_note_beside_foreign_sound_is_still_a_note():
    """Crosstalk as loud as the string itself, as in a buzzing rig with its heads too close together."""
    take = with_line(synthetic_take([STEADY]), 3210.0, volts=0.5, heard=6e-3)
    assert measure(take).strings[0].outcome == "sustained"
    assert not voice(take, 0).squeals


@pytest.mark.parametrize(("mains", "squeals"), [(50.0, False), (60.0, True), (0.0, True)])
def test_hum_is_no_squeal(mains, squeals):
    """150 Hz: a harmonic of mains of 50 Hz, not of 60."""
    assert voice(with_line(synthetic_take([FAINT]), 150.0, hum=mains), 0).squeals is squeals


def test_hum_keeps_to_multiples():
    assert is_hum(250.4, 50.0)
    assert not is_hum(252.0, 50.0)
    assert not is_hum(20.0, 50.0)


def test_noise_and_drift_are_no_squeals():
    take, random = synthetic_take([FAINT]), np.random.default_rng(2)
    noise = random.standard_normal(take.signals.drive_voltage.shape)
    drift = 2.0 * np.sin(2.0 * np.pi * 1.0 * clock(take))
    for volts in (noise, drift):
        assert not voice(changed(take, drive_voltage=BIAS + volts, sense_voltage=1e-3 * noise), 0).squeals


def test_a_quiet_line_is_no_squeal():
    """Below a tenth of half the swing (0.3 V rms of 3 V) a loop may ring down from its start."""
    take = synthetic_take([FAINT])
    assert not voice(with_line(take, 3210.0, volts=0.41), 0).squeals
    assert voice(with_line(take, 3210.0, volts=0.44), 0).squeals


@pytest.mark.parametrize(("tone", "outcome"), [(Tone(final=1e-9, growth=0.0, drift=-5.0), "squeals"), (STEADY, "sustained")])
def test_above_the_signals_only_whole_steps_tell(tone, outcome):
    """9 V² at every step and nothing of it in the samples; a string that plays all the same has not died of it."""
    take = changed(synthetic_take([tone]), above=9.0)
    found = measure(take)
    assert (found.loops[0].squeals, found.loops[0].squeal_Hz) == (True, None)
    assert found.strings[0].outcome == outcome
    assert "above 24 kHz" in verdict(take, found).headline


def test_a_file_from_before_tells_no_such_thing(tmp_path):
    """Without mean squares at every step nothing is known of what lies above."""
    take = synthetic_take([STEADY])
    take = replace(take, frames=replace(take.frames, output_square=np.zeros_like(take.frames.output_square)))
    save(take, tmp_path / "take.h5")
    assert not voice(load(tmp_path / "take.h5"), 0).squeals


def test_the_loop_that_squeals_takes_only_its_own_string_along():
    take = synthetic_take([replace(FAINT, string=0), replace(STEADY, string=1)], strings=2)
    wave = 2.0 * np.sin(2.0 * np.pi * 3210.0 * clock(take)[:, 0])
    volts, heard = take.signals.drive_voltage.copy(), take.signals.sense_voltage.copy()
    volts[:, 0], heard[:, 0] = BIAS + wave, 0.02 * wave
    take = changed(take, drive_voltage=volts, sense_voltage=heard)
    found = measure(take)
    assert [string.outcome for string in found.strings] == ["squeals", "sustained"]
    assert verdict(take, found).headline.endswith("The loop loop 1 squeals by itself at 3210 Hz.")


def test_words_and_summary():
    take = with_line(synthetic_take([FAINT]), 3210.0)
    found = measure(take)
    answer, told = summary(take, found), verdict(take, found)
    assert (answer["outcome"], answer["squeals"]) == ("squeals", True)
    assert answer["squeal_Hz"] == pytest.approx(3210.0, abs=0.02)
    assert answer["string_power_W"] == pytest.approx(found.loops[0].string_power_W)
    assert "the loop loop 1 squeals by itself at 3210 Hz" in told.headline
    assert "the strings make" in dict(told.rows)["squeal of loop 1"]


def test_power_into_the_strings_is_what_the_heads_do():
    """Of a steady tone: what damping takes, 2σ ½ m (ωA)² (DER)."""
    take = synthetic_take([STEADY])
    string = take.sheet.strings[0]
    lost = string.decay_per_s[0, 0] * string.mass_kg * (2.0 * np.pi * 196.0 * STEADY.final) ** 2
    assert voice(take, 0).string_power_W == pytest.approx(lost, rel=0.01)
