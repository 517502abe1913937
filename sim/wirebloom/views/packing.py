"""Clips within a number of bytes: FLAC while there is room, then MP3 for the largest."""

from __future__ import annotations

from dataclasses import dataclass, replace

from wirebloom.views.encoding import MP3_BYTES, MP3_MORE, decoded, flac, mp3
from wirebloom.views.excerpts import Excerpt
from wirebloom.views.filtering import RATE, Floats
from wirebloom.views.gains import CEILING
from wirebloom.views.loudness import true_peak

TRIES = 4  # at an MP3 whose peaks grew in coding


@dataclass(frozen=True)
class Draft:
    """A clip before it is coded: full scale is 1."""

    take: str
    kind: str
    excerpt: Excerpt
    gain_dB: float
    quiet: bool
    sound: Floats
    data: bytes = b""


def within(drafts: list[Draft], budget: int) -> list[Draft] | None:
    """Code clips so that all together stay within a number of bytes; None if they would have to be shorter."""
    coded = [replace(draft, data=flac(draft.sound)) for draft in drafts]
    left = budget - sum(len(draft.data) for draft in coded)
    if left < sum(min(0, _mp3_bytes(draft) - len(draft.data)) for draft in coded):
        return None
    for number in sorted(range(len(coded)), key=lambda number: (-len(coded[number].data), number)):
        if left < 0 and _mp3_bytes(coded[number]) < len(coded[number].data):
            left += len(coded[number].data)
            coded[number] = as_mp3(coded[number])
            left -= len(coded[number].data)
    return coded


def as_mp3(draft: Draft) -> Draft:
    """Code a clip as MP3, softer where coding made its peaks grow."""
    sound = draft.sound
    data = mp3(sound)
    for _ in range(TRIES):
        peak = true_peak(decoded(data))
        if peak <= CEILING:
            break
        sound = sound * (0.99 * CEILING / peak)
        data = mp3(sound)
    return replace(draft, sound=sound, data=data)


def seconds_each(budget: int, count: int) -> float:
    """Return how long each of so many clips may be as MP3; negative where there is no room for any."""
    return (budget / count - MP3_MORE) / MP3_BYTES


def _mp3_bytes(draft: Draft) -> int:
    """Return how large a clip is at most as MP3."""
    return MP3_MORE + round(MP3_BYTES * draft.sound.size / RATE)
