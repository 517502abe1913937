"""Sounds as bytes: WAV of 24 bit, FLAC of 16 bit, MP3; the same sound gives the same bytes."""

from __future__ import annotations

import io
from functools import cache

import numpy as np

from wirebloom.views.dither import dithered
from wirebloom.views.filtering import RATE, Floats

WAV_BITS, FLAC_BITS = 24, 16
MP3_STEP = 0.5  # of libsndfile's scale: 160 kbit/s for one channel, as much as 320 for two
MP3_BYTES = 20_000  # a second
MP3_MORE = 2_000  # header and blocks that are not full
SINE = 0.5 * np.sin(2.0 * np.pi * 1000.0 / RATE * np.arange(RATE // 5))  # whole periods
STEADY = slice(RATE // 20, RATE // 20 + RATE // 10)  # of it


def wav(sound: Floats) -> bytes:
    """Return a WAV file of 24 bit, dithered."""
    return _file(dithered(sound, WAV_BITS) << (32 - WAV_BITS), format="WAV", subtype="PCM_24")


def flac(sound: Floats) -> bytes:
    """Return a FLAC file of 16 bit, dithered."""
    return _file(dithered(sound, FLAC_BITS) << (32 - FLAC_BITS), format="FLAC", subtype="PCM_16")


def mp3(sound: Floats) -> bytes:
    """Return an MP3 file of 160 kbit/s, as loud as the sound."""
    return _coded(sound / _coder_gain())


def decoded(data: bytes) -> Floats:
    """Return the one channel of a file at 48 kHz, full scale 1."""
    import soundfile  # noqa: PLC0415 - loads a library that only this needs

    return np.asarray(soundfile.read(io.BytesIO(data), dtype="float64")[0])


@cache
def _coder_gain() -> float:
    """What the coder makes of a sine: at some rates it lowers everything by 0.45 dB."""
    return float(np.std(decoded(_coded(SINE))[STEADY]) / np.std(SINE[STEADY]))


def _coded(sound: Floats) -> bytes:
    return _file(sound, format="MP3", subtype="MPEG_LAYER_III", compression_level=MP3_STEP, bitrate_mode="CONSTANT")


def _file(samples: object, **settings: object) -> bytes:
    import soundfile  # noqa: PLC0415 - loads a library that only this needs

    file = io.BytesIO()
    soundfile.write(file, samples, RATE, **settings)
    return file.getvalue()
