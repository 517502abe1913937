"""The body: responses whose effect is known on paper, and files that are no response."""

import numpy as np
import pytest
import soundfile

from views.responses import resonance
from wirebloom.errors import FileError
from wirebloom.views.body import asked_body, read_body, through
from wirebloom.views.filtering import RATE

IMPULSE = np.concatenate([[1.0], np.zeros(999)])


@pytest.fixture
def kept(tmp_path):
    """A function that keeps samples in a file and returns its path."""

    def keep(samples, rate=RATE, **settings):
        soundfile.write(tmp_path / "response.wav", samples, rate, subtype=settings.pop("subtype", "DOUBLE"), **settings)
        return tmp_path / "response.wav"

    return keep


def tone(frequency, seconds=1.0, rate=RATE):
    time = np.arange(round(seconds * rate)) / rate
    return np.sin(2.0 * np.pi * frequency * time) * np.sin(np.pi * time / seconds) ** 2


def pink(seconds=20.0):
    """Noise with equal power in every octave from 50 Hz to 10 kHz, none outside."""
    count = round(seconds * RATE)
    frequency = np.fft.rfftfreq(count, 1.0 / RATE)
    inside = (frequency >= 50.0) & (frequency <= 10e3)
    phases = np.exp(2j * np.pi * np.random.default_rng(5).random(frequency.size))
    return np.fft.irfft(np.where(inside, phases / np.sqrt(np.maximum(frequency, 1.0)), 0.0), count)


def decibel(ratio):
    return 20.0 * np.log10(ratio)


@pytest.mark.parametrize("height", [1.0, 0.02, -3.0])
def test_an_impulse_of_any_height_changes_nothing_but_its_sign(kept, height):
    body = read_body(kept(height * IMPULSE))
    assert np.abs(through(body, tone(440.0)) - np.sign(height) * tone(440.0)).max() < 1e-12
    assert (body.name, body.delay_s) == ("response.wav", 0.0)


def test_a_late_impulse_makes_the_sound_late_and_says_so(kept):
    """Nothing is moved: what was measured 5 ms after the blow is heard 5 ms after the bridge force."""
    body, sound = read_body(kept(np.roll(IMPULSE, 240))), tone(440.0)
    heard = through(body, sound)
    assert body.delay_s == pytest.approx(5e-3)
    assert heard.size == sound.size
    assert np.abs(heard[240:] - sound[:-240]).max() < 1e-12
    assert np.abs(heard[:240]).max() < 1e-12


def test_it_is_a_convolution(kept):
    """By hand, sample for sample; a correlation would turn the response round."""
    response = np.random.default_rng(2).standard_normal(50) * np.exp(-np.arange(50) / 10.0)
    body, sound = read_body(kept(response)), np.random.default_rng(4).standard_normal(400)
    assert through(body, sound) == pytest.approx(np.convolve(sound, body.response)[:400], abs=1e-12)
    assert body.response / body.response[0] == pytest.approx(response / response[0], rel=1e-12)


@pytest.mark.parametrize("scale", [1.0, 1e-4])
def test_noise_of_equal_octaves_keeps_its_level(kept, scale):
    body, noise = read_body(kept(scale * resonance(RATE))), pink()
    assert decibel(np.std(through(body, noise)[RATE:]) / np.std(noise[RATE:])) == pytest.approx(0.0, abs=0.3)


@pytest.mark.parametrize("rate", [8_000, 22_050, 44_100, 88_200, 96_000, 192_000])
def test_any_rate_gives_the_same_body(kept, rate):
    """One mode at 400 Hz: pitch, decay and level through it are those of a response at 48 kHz."""
    wanted, found = read_body(kept(resonance(RATE))), read_body(kept(resonance(rate), rate))
    assert found.response.size == wanted.response.size
    for frequency in (380.0, 400.0, 430.0):
        levels = [np.std(through(body, tone(frequency))) for body in (wanted, found)]
        assert decibel(levels[1] / levels[0]) == pytest.approx(0.0, abs=0.25), frequency
    assert found.delay_s == pytest.approx(wanted.delay_s, abs=1.5 / 8_000)


def test_a_rate_that_fits_nothing(kept):
    assert read_body(kept(resonance(44_101), 44_101)).response.size == pytest.approx(0.3 * RATE, abs=2)


def test_channels_are_averaged(kept):
    one = read_body(kept(resonance(RATE)))
    several = read_body(kept(np.stack([resonance(RATE), 0.5 * resonance(RATE), np.zeros(14_400)], axis=1)))
    assert several.response == pytest.approx(one.response, abs=1e-12)


@pytest.mark.parametrize("subtype", ["PCM_16", "PCM_24", "FLOAT"])
def test_any_sample_format(kept, subtype):
    found = read_body(kept(resonance(RATE), subtype=subtype))
    assert found.response == pytest.approx(read_body(kept(resonance(RATE))).response, abs=3e-4 * np.abs(found.response).max())


@pytest.mark.parametrize(
    ("samples", "rate", "said"),
    [
        (np.zeros(0), RATE, "an impulse response longer than 0 s, at most 10 s; instead received 0 s"),
        (np.ones(11 * 8_000), 8_000, "an impulse response longer than 0 s, at most 10 s; instead received 11 s"),
        (IMPULSE, 4_000, "an impulse response of at least 8 kHz; instead received 4 kHz"),
        (np.zeros(100), RATE, "an impulse response; instead received silence"),
        (np.array([1.0, np.nan]), RATE, "an impulse response of finite numbers; instead received samples that are none"),
        (np.stack([IMPULSE, -IMPULSE], axis=1), RATE, "an impulse response whose channels can be averaged; instead received channels "),
        (np.pad(IMPULSE, (RATE, 0)), RATE, r"an impulse response that begins within 0.5 s; instead received one that begins after 1.00 s"),
    ],
)
def test_a_file_that_is_no_response(kept, samples, rate, said):
    with pytest.raises(FileError, match=rf"^.*response\.wav must be {said}[^;]*\.$"):
        read_body(kept(samples, rate))


def test_a_file_that_is_no_sound(tmp_path):
    for name, content in (("note.wav", b"not a sound"), ("empty.wav", b""), ("cut.wav", b"RIFF\x24\x00\x00\x00WAVEfmt ")):
        (tmp_path / name).write_bytes(content)
        with pytest.raises(FileError, match=rf"^.*{name} must be a sound file, such as WAV; instead received [^;]*\.$"):
            read_body(tmp_path / name)


def test_a_file_that_is_not_there(tmp_path):
    for path in (tmp_path / "nowhere.wav", tmp_path):
        with pytest.raises(FileError, match=r"^.* must be a sound file that can be read; instead received [^;]*\.$"):
            read_body(path)


def test_none_is_asked_for():
    assert asked_body(None) is None


def test_silence_stays_silence(kept):
    assert not through(read_body(kept(IMPULSE)), np.zeros(100)).any()
    assert through(read_body(kept(IMPULSE)), np.zeros(0)).size == 0
