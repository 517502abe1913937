"""The sound of a take: levels against signals whose level is known on paper."""

from dataclasses import replace

import numpy as np
import pytest
import soundfile

from synthetic import Tone, synthetic_take
from wirebloom.errors import FileError
from wirebloom.views.audio import planned_wavs, write_sounds, write_wavs
from wirebloom.views.body import read_body
from wirebloom.views.filtering import RATE, filtered
from wirebloom.views.gains import FULL
from wirebloom.views.kinds import KINDS, sound_of
from wirebloom.views.loudness import loudness, true_peak_dB

BRIDGE = KINDS["bridge"]


def decibel(ratio):
    return 20.0 * np.log10(ratio)


def sine(frequency, *, rate=48_000.0, seconds=1.0, amplitude=1.0):
    """A sine that swells and fades over 0.1 s, so that no filter rings at its ends."""
    time = np.arange(round(rate * seconds)) / rate
    swell = np.clip(np.minimum(time, seconds - time) / 0.1, 0.0, 1.0)
    return amplitude * np.sin(0.5 * np.pi * swell) ** 2 * np.sin(2.0 * np.pi * frequency * time)


def with_bridge(towards, sideways=None):
    """A take whose first string gives the bridge these forces, N."""
    take = synthetic_take(duration=1.0)
    force = np.stack([towards, np.zeros_like(towards) if sideways is None else sideways], axis=-1)[:, None, :]
    return replace(take, signals=replace(take.signals, bridge_force=force.astype(np.float32)))


def middle_rms(signal, rate=RATE):
    """Away from fades and edges."""
    inside = signal[round(0.2 * rate) : -round(0.2 * rate)]
    return np.sqrt(np.mean(inside**2))


def read(path):
    data, rate = soundfile.read(path, dtype="float64")
    assert rate == RATE
    return data


def test_files_are_48_khz_24_bit_mono_and_as_long_as_the_take(tmp_path):
    files = write_wavs(synthetic_take(duration=0.7), tmp_path)
    assert [file.name for file in files] == ["sense_coil.wav", "bridge.wav", "drive.wav"] == planned_wavs()
    for file in files:
        info = soundfile.info(file)
        assert (info.samplerate, info.subtype, info.channels, info.frames) == (48_000, "PCM_24", 1, 33_600)


@pytest.mark.parametrize(("frequency", "expected_dB"), [(30.0, -3.0103), (15.0, -12.3045), (300.0, 0.0), (6000.0, 0.0)])
def test_contact_microphone_hears_nothing_below_30_hz(frequency, expected_dB):
    """Butterworth, second order: 1/√(1 + (30/f)⁴), a textbook response."""
    heard = filtered(sine(frequency, seconds=2.0), RATE, BRIDGE.low)
    assert decibel(middle_rms(heard) * np.sqrt(2.0)) == pytest.approx(expected_dB, abs=0.05)


def test_static_pull_is_silence(tmp_path):
    sounds = write_sounds({"": with_bridge(np.full(48_000, 0.02))}, tmp_path)
    assert [sound.peak_dBFS for sound in sounds if sound.kind == "bridge"] == [None]
    assert not read(tmp_path / "bridge.wav").any()


@pytest.mark.parametrize(("sideways", "expected"), [(0.0, 1.0 / np.sqrt(2.0)), (1.0, np.sqrt(2.0)), (-1.0, 0.0)])
def test_microphone_stands_half_way_between_the_two_directions(sideways, expected):
    """Along (1, 1)/√2: one direction alone comes through by 3 dB less, motion across its axis not at all."""
    tone = sine(440.0)
    heard = BRIDGE.read(with_bridge(tone, sideways * tone))
    assert middle_rms(heard) == pytest.approx(expected * middle_rms(tone), abs=1e-6)


@pytest.mark.parametrize("rate", [8_000.0, 16_000.0, 44_100.0, 96_000.0, 192_000.0])
def test_other_rates_keep_level_pitch_and_length(rate):
    heard = filtered(sine(440.0, rate=rate), rate, 5.0)
    wanted = filtered(sine(440.0), RATE, 5.0)
    assert heard.size == wanted.size
    assert np.abs(heard - wanted).max() < 1e-4


def test_what_48_khz_cannot_hold_is_taken_away_not_folded_down():
    heard = filtered(sine(30_000.0, rate=96_000.0), 96_000.0, 5.0)
    assert middle_rms(heard) < 1e-3


def test_loudness_compares_between_takes(tmp_path):
    """One gain for both: what moves ten times less is 20 dB down in the file. A sine at full scale is 0 dBFS rms."""
    loud, soft = sine(440.0, amplitude=0.2), sine(440.0, amplitude=0.02)
    sounds = {
        sound.take: sound
        for sound in write_sounds({"loud": with_bridge(loud), "soft": with_bridge(soft)}, tmp_path)
        if sound.kind == "bridge"
    }
    assert sounds["loud"].full_scale == sounds["soft"].full_scale
    assert sounds["loud"].peak_dBFS == pytest.approx(-3.0, abs=1e-6)
    files = {name: middle_rms(read(tmp_path / f"{name}_bridge.wav")) for name in sounds}
    assert decibel(files["loud"] / files["soft"]) == pytest.approx(20.0, abs=0.01)
    assert files["loud"] * np.sqrt(2.0) * sounds["loud"].full_scale == pytest.approx(0.2 / np.sqrt(2.0), rel=1e-3)
    assert sounds["loud"].rms_dBFS == pytest.approx(-3.0, abs=1.0), "swell and fade take half a decibel off the mean"


def test_order_of_the_takes_does_not_matter(tmp_path):
    takes = {"a": with_bridge(sine(440.0, amplitude=0.2)), "b": with_bridge(sine(330.0, amplitude=0.05))}
    first = {sound.path: sound for sound in write_sounds(takes, tmp_path)}
    assert first == {sound.path: sound for sound in write_sounds(dict(reversed(takes.items())), tmp_path)}


def test_silence_is_not_brought_up(tmp_path):
    """1 µN alone: 80 dB below the 10 mN that the floor is, 3 dB less for the microphone's axis and 3 for the margin."""
    sounds = write_sounds({"": with_bridge(sine(440.0, amplitude=1e-6))}, tmp_path)
    peak = next(sound.peak_dBFS for sound in sounds if sound.kind == "bridge")
    assert peak == pytest.approx(-80.0 - 3.0103 - 3.0, abs=0.1)


def test_never_clipped_however_loud(tmp_path):
    take = synthetic_take((Tone(final=5e-3, growth=0.0), Tone(partial=3, final=1e-3, growth=0.0)), duration=1.0)
    for file in write_wavs(take, tmp_path):
        assert np.abs(read(file)).max() <= FULL * (1.0 + 1e-6)


def test_neither_end_clicks(tmp_path):
    """A note that is at its full level from the first to the last sample: 3 samples at each end stay below −50 dB of it."""
    for file in write_wavs(synthetic_take((Tone(growth=0.0),), duration=0.5), tmp_path):
        sound = np.abs(read(file))
        assert max(sound[:3].max(), sound[-3:].max()) < 3e-3 * sound.max()


def test_bias_of_a_single_supply_is_not_heard():
    take = synthetic_take((Tone(final=0.0),), duration=1.0)
    assert take.signals.drive_voltage.min() == pytest.approx(4.5)
    assert not KINDS["drive"].read(take).any()


def test_plucked_string_without_a_loop_has_a_bridge_to_hear(tmp_path):
    take = synthetic_take(duration=0.5)
    signals = {name: values[:, :0] for name, values in vars(take.signals).items() if name != "bridge_force"}
    bare = replace(take, sheet=replace(take.sheet, poles=(), loops=()), signals=replace(take.signals, **signals))
    assert [file.name for file in write_wavs(bare, tmp_path)] == ["bridge.wav"]


@pytest.mark.parametrize("frames", [0, 1])
def test_take_cut_short_at_once(tmp_path, frames):
    for file in write_wavs(synthetic_take(duration=0.01 * frames), tmp_path):
        assert soundfile.info(file).frames == 480 * frames


def test_folder_that_is_not_there(tmp_path):
    with pytest.raises(FileError, match=r"^.*sense_coil\.wav must be a file that can be written; instead received: [^:]*\.$"):
        write_wavs(synthetic_take(duration=0.1), tmp_path / "nowhere")


def tone_between_samples():
    time = np.arange(48_000) / 48_000
    swell = np.clip(np.minimum(time, 1.0 - time) / 0.1, 0.0, 1.0)
    return 0.2 * np.sin(0.5 * np.pi * swell) ** 2 * np.sin(0.5 * np.pi * np.arange(48_000) + 0.25 * np.pi)


def test_true_peak_in_the_bytes_stays_below_minus_1_dBTP(tmp_path):
    """Brought to −3 dBFS by its samples it would reach +0.01 dBTP (12 kHz, 45°)."""
    sound = next(sound for sound in write_sounds({"": with_bridge(tone_between_samples())}, tmp_path) if sound.kind == "bridge")
    found = true_peak_dB(read(sound.path))
    assert found <= -1.0
    assert found == pytest.approx(-1.2, abs=0.01)
    assert sound.true_peak_dBTP == pytest.approx(found, abs=1e-3)
    assert sound.peak_dBFS == pytest.approx(found - 3.01, abs=0.05)


def test_loudness_is_that_of_the_bytes(tmp_path):
    """1 kHz at −3 dBFS in one channel: −6.0 LUFS (BS.1770: 0 dBFS at 997 Hz is −3.01), less a little for swell and fade."""
    sounds = {sound.kind: sound for sound in write_sounds({"": with_bridge(sine(1000.0, amplitude=0.2))}, tmp_path)}
    assert sounds["bridge"].loudness_LUFS == pytest.approx(loudness(read(tmp_path / "bridge.wav")), abs=1e-3)
    assert sounds["bridge"].loudness_LUFS == pytest.approx(-6.0, abs=0.7)


def test_silence_and_a_short_file_have_no_loudness(tmp_path):
    silent = write_sounds({"": with_bridge(np.zeros(48_000))}, tmp_path)
    assert [(one.true_peak_dBTP, one.loudness_LUFS) for one in silent if one.kind == "bridge"] == [(None, None)]
    short = write_sounds({"": with_bridge(sine(440.0, seconds=0.3))}, tmp_path)
    assert [one.loudness_LUFS for one in short if one.kind == "bridge"] == [None]


def test_files_are_dithered_where_there_is_sound(tmp_path):
    """Error against the sound before rounding: power Δ²/4, as triangular dither has it (rounding alone: Δ²/12)."""
    take = with_bridge(sine(440.0, amplitude=0.2))
    sound = next(one for one in write_sounds({"": take}, tmp_path) if one.kind == "bridge")
    error = (read(sound.path) - sound_of(take, BRIDGE) / sound.full_scale) * 2.0**23
    assert error[4800:-4800].var() == pytest.approx(0.25, rel=0.05)
    assert error[0] == error[-1] == 0.0


def test_same_take_same_bytes(tmp_path):
    once, again = ([path.read_bytes() for path in write_wavs(synthetic_take(duration=0.5), tmp_path)] for _ in range(2))
    assert once == again


def test_a_body_is_one_more_file_and_the_others_stay(tmp_path):
    soundfile.write(tmp_path / "box.wav", np.exp(-np.arange(4800) / 300.0), RATE, subtype="FLOAT")
    body, take = read_body(tmp_path / "box.wav"), with_bridge(sine(440.0, amplitude=0.2))
    plain = {path.name: path.read_bytes() for path in write_wavs(take, tmp_path)}
    through = {path.name: path.read_bytes() for path in write_wavs(take, tmp_path, body)}
    assert list(through) == [*plain, "body.wav"] == planned_wavs(body=body)
    assert {name: through[name] for name in plain} == plain
    assert soundfile.info(tmp_path / "body.wav").frames == 48_000
    assert [sound.kind for sound in write_sounds({"a": take, "b": take}, tmp_path, body)][-2:] == ["body", "body"]
    assert planned_wavs(("a", "b"), body=body)[-2:] == ["a_body.wav", "b_body.wav"]
