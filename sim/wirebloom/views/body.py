"""The body of an instrument: what a bridge force sounds like through an impulse response that the maker measured.

The response may have any rate and any number of channels (they are averaged). It is scaled so that noise with equal power in
every octave keeps its power from 50 Hz to 10 kHz: the level behind it stays comparable with the level before. It is not moved in
time: where it begins late, the sound comes late, and `delay_s` says by how much.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np

from wirebloom.errors import FileError
from wirebloom.views.filtering import RATE, Floats, smooth_from

LOWEST, HIGHEST = 50.0, 10e3  # Hz
LEAST_RATE = 8_000.0  # Hz
LONGEST = 10.0  # s
ONSET = 0.1  # of the peak: where the response begins
LATEST = 0.5  # s at which it may begin
CANCELLED = 1e-3  # share of the channels' power that must be left of their mean
FINEST = RATE  # values of a spectrum at least: lines of 1 Hz


@dataclass(frozen=True)
class Body:
    """A measured response, ready to be heard through.

    Attributes
    ----------
    name : str
        Of the file.
    response : (t,) ndarray
        At 48 kHz, scaled.
    delay_s : float
        From its start to where it first reaches a tenth of its peak.
    """

    name: str
    response: Floats
    delay_s: float


def read_body(path: Path | str) -> Body:
    """Read the impulse response of a body.

    Parameters
    ----------
    path : Path or str
        A sound file, such as WAV, of 10 s at most.

    Returns
    -------
    Body

    Raises
    ------
    FileError
        If it cannot be read, is silent, too long, of too low a rate, begins too late, or holds what is not a number.
    """
    path = Path(path)
    try:
        with path.open("rb") as file:
            rate, channels = _read(path, file)
    except OSError as problem:
        raise _refused(path, "a sound file that can be read", problem.strerror or str(problem)) from problem
    response = _one_channel(path, channels)
    return made(path, _resampled(response, rate))


def asked_body(path: Path | None) -> Body | None:
    """Return the body that was asked for, if any."""
    return None if path is None else read_body(path)


def _read(path: Path, file: BinaryIO) -> tuple[int, Floats]:
    """Return the rate and the samples (t, channels) of a file."""
    import soundfile  # noqa: PLC0415 - loads a library that only this needs

    try:
        with soundfile.SoundFile(file) as sound:
            seconds = sound.frames / sound.samplerate
            if not 0.0 < seconds <= LONGEST:
                raise _refused(path, f"an impulse response longer than 0 s, at most {LONGEST:g} s", f"{seconds:g} s")
            if sound.samplerate < LEAST_RATE:
                raise _refused(path, f"an impulse response of at least {LEAST_RATE / 1e3:g} kHz", f"{sound.samplerate / 1e3:g} kHz")
            return sound.samplerate, np.asarray(sound.read(dtype="float64", always_2d=True))
    except soundfile.SoundFileError as problem:
        raise _refused(path, "a sound file, such as WAV", "what is none") from problem


def _one_channel(path: Path, channels: Floats) -> Floats:
    """Return the mean of the channels."""
    if not np.isfinite(channels).all():
        raise _refused(path, "an impulse response of finite numbers", "samples that are none")
    if not channels.any():
        raise _refused(path, "an impulse response", "silence")
    mean = np.asarray(channels.mean(axis=1))
    if np.mean(mean**2) < CANCELLED * np.mean(channels**2):
        raise _refused(path, "an impulse response whose channels can be averaged", "channels that cancel one another")
    return mean


def _resampled(response: Floats, rate: int) -> Floats:
    """Bring a response to 48 kHz; it is taken to be silent before and after."""
    if rate == RATE:
        return response
    block = rate // int(np.gcd(rate, RATE))
    length = block * smooth_from(-(-2 * response.size // block))
    count = length * RATE // rate
    return np.asarray(np.fft.irfft(np.fft.rfft(response, length), count)[: -(-response.size * RATE // rate)])


def made(path: Path, response: Floats) -> Body:
    """Return a response at 48 kHz as a body, scaled."""
    delay = int(np.argmax(np.abs(response) >= ONSET * np.abs(response).max())) / RATE
    if delay > LATEST:
        raise _refused(path, f"an impulse response that begins within {LATEST:g} s", f"one that begins after {delay:.2f} s")
    return Body(path.name, response / _strength(response), delay)


def _strength(response: Floats) -> float:
    """Root mean square of the gain over octaves, from 50 Hz up."""
    length = smooth_from(max(response.size, FINEST))
    frequency = np.fft.rfftfreq(length, 1.0 / RATE)
    heard = (frequency >= LOWEST) & (frequency <= HIGHEST)
    gain = np.abs(np.fft.rfft(response, length)[heard]) ** 2
    return float(np.sqrt(np.average(gain, weights=1.0 / frequency[heard])))


def _refused(path: Path, what: str, received: str) -> FileError:
    return FileError(f"{path} must be {what}; instead received {received}.")


def through(body: Body, sound: Floats) -> Floats:
    """Return a sound at 48 kHz as heard through a body, as long as the sound: what rings on after its end is cut."""
    if not sound.any():
        return sound
    length = smooth_from(sound.size + body.response.size - 1)
    spectrum = np.fft.rfft(sound, length)
    spectrum *= np.fft.rfft(body.response, length)
    return np.asarray(np.fft.irfft(spectrum, length)[: sound.size])
