"""The sound of a take: WAV, 48 kHz, 24 bit, one gain for all takes that are to be compared, and a page's clips beside them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.errors import FileError
from wirebloom.views.encoding import wav
from wirebloom.views.filtering import Floats, decibels
from wirebloom.views.gains import full_scale
from wirebloom.views.kinds import Kind, kinds_with, sound_of
from wirebloom.views.loudness import loudness, true_peak_dB

if TYPE_CHECKING:
    from wirebloom.take.take import Take
    from wirebloom.views.body import Body


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
    true_peak_dBTP : float or None
        Highest level that it reaches, between its samples as well (ITU-R BS.1770-4, annex 2).
    loudness_LUFS : float or None
        Integrated loudness, one channel (ITU-R BS.1770-4); None where the file is too short or too quiet to have one.
    """

    path: Path
    take: str
    kind: str
    unit: str
    full_scale: float
    peak_dBFS: float | None
    rms_dBFS: float | None
    true_peak_dBTP: float | None
    loudness_LUFS: float | None


def planned_wavs(names: tuple[str, ...] = ("",), *, body: Body | None = None) -> list[str]:
    """Return the names of the files for takes of these names; a single take without a name has plain ones."""
    return [wav_name(name, kind) for kind in kinds_with(body).values() for name in names]


def wav_name(name: str, kind: Kind) -> str:
    """Return the file's name."""
    return f"{name}_{kind.file}" if name else kind.file


def write_sounds(takes: Mapping[str, Take], folder: Path, body: Body | None = None) -> list[Sound]:
    """Write every signal of every take; each kind of signal has one gain, so that loudness compares.

    Parameters
    ----------
    takes : mapping of str to Take
        What each is called; files begin with it, unless it is empty.
    folder : Path
        An existing folder.
    body : Body, optional
        Through which the bridge force is heard as well, in a file of its own.

    Returns
    -------
    list of Sound
        What was written, with its level. A take without a loop has neither sense-coil nor drive signal.

    Raises
    ------
    FileError
        If a file cannot be written.
    """
    return [
        Sound(path, name, title, kind.unit, full, *levels(scaled), true_peak_dB(scaled), loudness(scaled))
        for title, kind, name, path, full, scaled in _written(takes, folder, body)
    ]


def write_wavs(take: Take, folder: Path, body: Body | None = None) -> list[Path]:
    """Write the sounds of one take, as :func:`write_sounds` does, and return the files; nothing is measured, which takes its time."""
    return [path for _, _, _, path, _, _ in _written({"": take}, folder, body)]


def _written(takes: Mapping[str, Take], folder: Path, body: Body | None) -> Iterator[tuple[str, Kind, str, Path, float, Floats]]:
    """Write file after file; yield each one's kind, take, path, full scale and sound."""
    for title, kind in kinds_with(body).items():
        sounds = {name: sound_of(take, kind) for name, take in takes.items() if take.sheet.loops or not kind.looped}
        full = full_scale(sounds.values(), kind.floor)
        for name, sound in sounds.items():
            path, scaled = folder / wav_name(name, kind), sound / full
            _write(path, wav(scaled))
            yield title, kind, name, path, full, scaled


def levels(scaled: Floats) -> tuple[float | None, float | None]:
    """Return peak and rms of a sound with full scale 1, dBFS."""
    peak = float(np.abs(scaled).max(initial=0.0))
    rms = float(np.sqrt(2.0 * np.dot(scaled, scaled) / scaled.size)) if scaled.size else 0.0
    return decibels(peak), decibels(rms)


def _write(path: Path, data: bytes) -> None:
    try:
        path.write_bytes(data)
    except OSError as problem:
        why = problem.strerror or str(problem)
        raise FileError(f"{path} must be a file that can be written; instead received: {why}.") from problem
