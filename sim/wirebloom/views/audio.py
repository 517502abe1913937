"""The sound of a take: WAV, 48 kHz, 24 bit, one gain for all takes that are to be compared."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import gcd
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wirebloom.errors import FileError

if TYPE_CHECKING:
    from wirebloom.take.take import Take

Floats = NDArray[np.float64]

RATE = 48_000
FULL = 10.0 ** (-3.0 / 20.0)  # peak of the loudest sound of a kind: 3 dB are left for what swings between the samples
FADE_IN, FADE_OUT = 0.002, 0.01  # s
REST = 0.5  # s held at either end while filtering, so that nothing wraps around
CONTACT_LOW = 30.0  # Hz: below it a contact microphone is deaf, to the static pull as well
COIL_LOW = 5.0  # Hz: takes away what is left of a bias, and no note


@dataclass(frozen=True)
class Sound:
    """One file that was written.

    Attributes
    ----------
    path : Path
    take, kind : str
        Name of the take and of the signal.
    unit : str
        Of the signal.
    full_scale : float
        What 0 dBFS stands for, in that unit; the same in all files that were written together.
    peak_dBFS, rms_dBFS : float or None
        Level of the whole file; None for digital silence. A sine at full scale has 0 dBFS rms (AES17; from memory).
    """

    path: Path
    take: str
    kind: str
    unit: str
    full_scale: float
    peak_dBFS: float | None
    rms_dBFS: float | None


@dataclass(frozen=True)
class Kind:
    """A signal that can be heard.

    Attributes
    ----------
    file : str
    unit : str
    floor : float
        Peaks below it are not brought up to full level: what is silent stays silent.
    read : callable
        Take → (t,) at the take's audio rate.
    low : float
        High-pass, second order, Hz.
    """

    file: str
    unit: str
    floor: float
    read: Callable[[Take], Floats]
    low: float


def sense_signal(take: Take) -> Floats:
    """Voltage of the sensing coils at the amplifier's input (t,), all loops summed, V."""
    return np.asarray(take.signals.sense_voltage.sum(axis=1, dtype=np.float64))


def contact_signal(take: Take) -> Floats:
    """Bridge force on a contact microphone (t,), N.

    Its axis lies half-way between the two directions of motion, so it hears (towards + sideways)/√2 of every string.
    """
    return np.asarray(take.signals.bridge_force.sum(axis=(1, 2), dtype=np.float64) / np.sqrt(2.0))


def drive_signal(take: Take) -> Floats:
    """Voltage over the drive coils' circuit (t,), all loops summed, V: the output less what the series capacitor holds."""
    held = take.signals.capacitor_voltage.sum(axis=1, dtype=np.float64)
    return np.asarray(take.signals.drive_voltage.sum(axis=1, dtype=np.float64) - held)


KINDS = {
    "sense coil": Kind("sense_coil.wav", "V", 0.5e-3, sense_signal, COIL_LOW),
    "bridge": Kind("bridge.wav", "N", 10e-3, contact_signal, CONTACT_LOW),
    "drive": Kind("drive.wav", "V", 0.1, drive_signal, COIL_LOW),
}
LINES = 1 << 16  # of a spectrum at a time


def smooth_from(least: int) -> int:
    """Return the lowest number from `least` on without a prime factor above 5: a length that transforms fast.

    Examples
    --------
    >>> smooth_from(7), smooth_from(1025)
    (8, 1080)
    """
    odd: list[int] = [3**i * 5**j for i in range(21) for j in range(15)]
    return min(part << max(0, (-(-least // part) - 1).bit_length()) for part in odd)


def high_pass(spectrum: NDArray[np.complexfloating], line: float, corner: float) -> None:
    """Take away in place what lies below a corner (Hz): Butterworth, second order, x²/(x² − 1 − j√2 x), x in corners."""
    for first in range(0, spectrum.size, LINES):  # piece by piece: a minute's spectrum is large enough once
        piece = spectrum[first : first + LINES]
        x = np.arange(first, first + piece.size) * (line / corner)
        piece *= x**2 / (x**2 - 1.0 - 1j * np.sqrt(2.0) * x)


def filtered(signal: Floats, rate: float, low: float) -> Floats:
    """Bring a signal to 48 kHz and take away what lies below `low` (Hz), in one pass over its spectrum.

    The first and the last value are held outside, so that a signal that rests at some value gives silence.
    """
    if signal.size == 0:
        return np.zeros(0)
    whole = round(rate)
    block = whole // gcd(whole, RATE)  # so many samples last as long as a whole number of samples at 48 kHz
    before = block * int(np.ceil(REST * whole / block))
    length = block * smooth_from(-(-(2 * before + signal.size) // block))
    # Single precision carries 24 bits and halves what a minute of sound takes in memory.
    padded = np.pad((signal - signal[0]).astype(np.float32), (before, length - before - signal.size), mode="edge")
    spectrum = np.fft.rfft(padded)
    high_pass(spectrum, rate / length, low)
    first, count = before * RATE // whole, round(signal.size * RATE / rate)
    sounding = np.fft.irfft(spectrum, length * RATE // whole)[first : first + count]
    return np.asarray(sounding * (RATE / rate))


def faded(sound: Floats) -> Floats:
    """Return the sound with short fades, so that it neither begins nor ends with a click."""
    ramped = sound.copy()
    for seconds, part in ((FADE_IN, slice(None)), (FADE_OUT, slice(None, None, -1))):
        count = min(round(seconds * RATE), sound.size)
        ramped[part][:count] *= 0.5 - 0.5 * np.cos(np.pi * np.arange(count) / max(count, 1))
    return ramped


def sound_of(take: Take, kind: Kind) -> Floats:
    """Return what a take sounds like, at 48 kHz, in the signal's own unit."""
    return faded(filtered(kind.read(take), take.audio_rate, kind.low))


def decibels(value: float) -> float | None:
    """Return 20 log10, None for 0."""
    return float(20.0 * np.log10(value)) if value > 0.0 else None


def planned_wavs(names: tuple[str, ...] = ("",)) -> list[str]:
    """Return the names of the files for takes of these names; a single take without a name has plain ones."""
    return [wav_name(name, kind) for kind in KINDS.values() for name in names]


def wav_name(name: str, kind: Kind) -> str:
    """Return the file's name."""
    return f"{name}_{kind.file}" if name else kind.file


def write_sounds(takes: Mapping[str, Take], folder: Path) -> list[Sound]:
    """Write every signal of every take; each kind of signal has one gain, so that loudness compares.

    Parameters
    ----------
    takes : mapping of str to Take
        What each is called; files begin with it, unless it is empty.
    folder : Path
        An existing folder.

    Returns
    -------
    list of Sound
        What was written, with its level. A take without a loop has neither sense-coil nor drive signal.

    Raises
    ------
    FileError
        If a file cannot be written.
    """
    written: list[Sound] = []
    for title, kind in KINDS.items():
        sounds = {name: sound_of(take, kind) for name, take in takes.items() if take.sheet.loops or kind.file == "bridge.wav"}
        loudest = max((float(np.abs(sound).max(initial=0.0)) for sound in sounds.values()), default=0.0)
        full_scale = max(loudest, kind.floor) / FULL
        for name, sound in sounds.items():
            path, scaled = folder / wav_name(name, kind), sound / full_scale
            _write(path, scaled)
            written.append(Sound(path, name, title, kind.unit, full_scale, *levels(scaled)))
    return written


def levels(scaled: Floats) -> tuple[float | None, float | None]:
    """Return peak and rms of a sound with full scale 1, dBFS."""
    peak = float(np.abs(scaled).max(initial=0.0))
    rms = float(np.sqrt(2.0 * np.dot(scaled, scaled) / scaled.size)) if scaled.size else 0.0
    return decibels(peak), decibels(rms)


def _write(path: Path, scaled: Floats) -> None:
    import soundfile  # noqa: PLC0415 - loads a library that only this needs

    try:
        with path.open("wb") as file:
            soundfile.write(file, scaled, RATE, subtype="PCM_24", format="WAV")
    except OSError as problem:
        why = problem.strerror or str(problem)
        raise FileError(f"{path} must be a file that can be written; instead received: {why}.") from problem


def write_wavs(take: Take, folder: Path) -> list[Path]:
    """Write the sounds of one take, as :func:`write_sounds` does, and return the files."""
    return [sound.path for sound in write_sounds({"": take}, folder)]
