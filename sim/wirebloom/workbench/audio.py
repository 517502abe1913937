"""What takes sound like: clips to play, samples to work on, WAV files to keep.

Sound can be loud: every clip begins softly, and whoever plays one starts at low volume.

Examples
--------
>>> import wirebloom as wb
>>> take = wb.run("first_note", duration="0.5 s", band=False)
>>> [clip.kind for clip in wb.audio.clips(take)]
['build-up', 'bridge', 'drive']
>>> bridge, rate = wb.audio.samples(take, "bridge")
>>> bridge.size, rate
(24000, 48000)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from wirebloom.rig.sentences import listed, sentence
from wirebloom.take.take import Take
from wirebloom.views import clips as cutting
from wirebloom.views.audio import Sound, write_sounds
from wirebloom.views.body import Body, read_body
from wirebloom.views.clips import Clip
from wirebloom.views.filtering import RATE, Floats
from wirebloom.views.kinds import KINDS, sound_of
from wirebloom.workbench.comparison import Comparison, by_name

__all__ = ["clip", "clips", "samples", "write"]


def clips(takes: Take | Comparison | Mapping[str, Take], *, body: Body | str | Path | None = None) -> list[Clip]:
    """Return what takes sound like; those that are compared play at the same loudness, and each clip says what was added for that.

    Parameters
    ----------
    takes : Take, Comparison, or mapping of str to Take
    body : Body, str or Path, optional
        Impulse response of an instrument's body, measured by its maker: the bridge is heard through it as well.

    Returns
    -------
    list of Clip
        Kind after kind ("build-up", "bridge", "drive", "body"), take after take; each shows as a player in a notebook.

    Raises
    ------
    FileError
        If the response cannot be used.
    """
    return cutting.clips(by_name(takes), body=body_of(body))


def clip(take: Take, kind: str = "build-up", *, body: Body | str | Path | None = None) -> Clip:
    """Return one clip of a take.

    Parameters
    ----------
    take : Take
    kind : {"build-up", "bridge", "drive", "body"}
        Sense coil while the note comes up; what a contact microphone at the bridge hears; voltage over the drive coils; the bridge
        through the body.
    body : Body, str or Path, optional
        Wanted for "body".

    Raises
    ------
    FileError
        If the response cannot be used.
    ValueError
        If the take has no such sound.

    Examples
    --------
    >>> import wirebloom as wb
    >>> wb.audio.clip(wb.run("first_note", duration="0.5 s", band=False), "drive").mime
    'audio/flac'
    """
    found = {one.kind: one for one in clips(take, body=body)}
    if kind not in found:
        raise ValueError(_one_of("kind", found, kind))
    return found[kind]


def samples(take: Take, signal: str = "bridge") -> tuple[Floats, int]:
    """Return a signal as it is heard, in its own unit (V of coils, N of the bridge) with short fades at both ends, and its rate in Hz.

    Parameters
    ----------
    take : Take
    signal : {"sense coil", "bridge", "drive"}

    Returns
    -------
    tuple of ndarray (t,) and int

    Raises
    ------
    ValueError
        If there is no such signal.

    Examples
    --------
    >>> import wirebloom as wb
    >>> volts, rate = wb.audio.samples(wb.run("first_note", duration="0.5 s", band=False), "sense coil")
    >>> volts.size / rate
    0.5
    """
    if signal not in KINDS:
        raise ValueError(_one_of("signal", KINDS, signal))
    return sound_of(take, KINDS[signal]), RATE


def write(takes: Take | Comparison | Mapping[str, Take], folder: str | Path, *, body: Body | str | Path | None = None) -> list[Sound]:
    """Write every signal of every take as WAV, 48 kHz, 24 bit, one gain for all takes of a kind so that loudness compares.

    Parameters
    ----------
    takes : Take, Comparison, or mapping of str to Take
    folder : str or Path
        An existing one; files of the same names are replaced.
    body : Body, str or Path, optional
        The bridge is heard through it as well.

    Returns
    -------
    list of Sound
        What was written, with its level.

    Raises
    ------
    FileError
        If a file cannot be written, or the response cannot be used.
    """
    return write_sounds(by_name(takes), Path(folder), body=body_of(body))


def body_of(given: Body | str | Path | None) -> Body | None:
    """Return a body, read from its file if it is named by that."""
    return given if given is None or isinstance(given, Body) else read_body(given)


def _one_of(key: str, known: Iterable[str], received: str) -> str:
    return sentence(key, f"one of {listed(tuple(known))}", f"'{received}'")
