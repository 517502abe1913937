"""Note names to frequencies: equal temperament on A4 = 440 Hz (ISO 16:1975)."""

from __future__ import annotations

import re

A4 = 440.0
_STEPS = {"C": -9, "D": -7, "E": -5, "F": -4, "G": -2, "A": 0, "B": 2}  # semitones from A of the same octave
_ACCIDENTALS = {"": 0, "#": 1, "♯": 1, "b": -1, "♭": -1}
_NOTE = re.compile(r"([A-G])([#♯b♭]?)(-?\d)(?:\s*([+-])\s*(\d+(?:\.\d+)?)\s*cent)?", re.ASCII)


def note_frequency(text: str) -> float | None:
    """Return the frequency of a note.

    Parameters
    ----------
    text : str
        Letter, optional ``#`` or ``b``, octave (C4 is middle C), optionally a few cents off: ``G2``, ``Bb1``, ``G2 + 5 cent``.

    Returns
    -------
    float or None
        Frequency in Hz; None if this is no note name.

    References
    ----------
    ISO 16:1975, Acoustics: Standard tuning frequency.

    Examples
    --------
    >>> note_frequency("A3")
    220.0
    """
    found = _NOTE.fullmatch(text.strip())
    if found is None:
        return None
    letter, accidental, octave, sign, cents = found.groups()
    semitones = _STEPS[letter] + _ACCIDENTALS[accidental] + 12 * (int(octave) - 4)
    off = float(f"{sign}{cents}") if cents else 0.0
    return float(A4 * 2.0 ** ((semitones + off / 100.0) / 12.0))
