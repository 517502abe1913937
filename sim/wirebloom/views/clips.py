"""Short sounds for a page: takes that are compared play at the same loudness, and what that hides is said in decibels.

Sound can come suddenly and be loud. Every clip begins with a fade, none is louder than −18 LUFS or peaks above −1 dBTP, and a page
that holds them asks to start at low volume.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING, NamedTuple

from wirebloom.views.amounts import figures
from wirebloom.views.encoding import decoded
from wirebloom.views.excerpts import build_up, shortened, whole
from wirebloom.views.filtering import RATE, faded
from wirebloom.views.gains import common_gains
from wirebloom.views.kinds import Kind, heard_of, kinds_with
from wirebloom.views.loudness import loudness, true_peak_dB
from wirebloom.views.packing import Draft, as_mp3, seconds_each, within

if TYPE_CHECKING:
    from wirebloom.take.take import Take
    from wirebloom.views.body import Body

BUDGET = 4_500_000  # bytes
FADE_IN, FADE_OUT = 0.02, 0.05  # s
TITLES = {
    "build-up": "Build-up, at the sense coil",
    "bridge": "Bridge, as a contact microphone hears it",
    "drive": "Drive, over the drive coils",
    "body": "Bridge, through the body",
}
SIGNALS = {"build-up": "sense coil", "bridge": "bridge", "drive": "drive", "body": "body"}


class Clip(NamedTuple):
    """A sound to play.

    Attributes
    ----------
    take, kind : str
        Name of the take; "build-up", "bridge", "drive", or "body" where there is one.
    title : str
        What it is, in words.
    mime : str
        "audio/flac" or "audio/mpeg".
    data : bytes
        The whole file.
    seconds : float
    loudness_LUFS, true_peak_dBTP : float or None
        Of these bytes, one channel, by ITU-R BS.1770-4; None for a clip that is too short or too quiet to have one.
    level_dB : float
        What was added to make it as loud as the loudest take of this kind.
    note : str
        What part of the take it is, and whatever else a listener should know.
    """

    take: str
    kind: str
    title: str
    mime: str
    data: bytes
    seconds: float
    loudness_LUFS: float | None
    true_peak_dBTP: float | None
    level_dB: float
    note: str


def clips(
    takes: Mapping[str, Take], *, body: Body | None = None, budget: int = BUDGET, only: Collection[str] = tuple(SIGNALS)
) -> list[Clip]:
    """Return what takes sound like, kind after kind, take after take.

    Parameters
    ----------
    takes : mapping of str to Take
        What each is called.
    body : Body, optional
        Through which the bridge is heard as well.
    budget : int
        Bytes that all clips together may have. While it allows they are FLAC of 16 bit, then the largest become MP3 of
        160 kbit/s; at last they are cut to their loudest stretch.
    only : collection of str
        The kinds that are wanted.

    Returns
    -------
    list of Clip
        A take without loops has a bridge only; one without samples has nothing.
    """
    known = kinds_with(body)
    kinds = {name: known[signal] for name, signal in SIGNALS.items() if signal in known and name in only}
    drafts = _drafts(takes, kinds)
    coded = within(drafts, budget)
    if coded is None:
        coded = [as_mp3(draft) for draft in _drafts(takes, kinds, seconds_each(budget, len(drafts)))]
    return [_clip(draft, body) for draft in coded]


def _drafts(takes: Mapping[str, Take], kinds: Mapping[str, Kind], longest: float = math.inf) -> list[Draft]:
    """Return all clips, each of so many seconds at most."""
    return [draft for name, kind in kinds.items() for draft in _of_kind(takes, name, kind, longest)]


def _of_kind(takes: Mapping[str, Take], name: str, kind: Kind, longest: float) -> list[Draft]:
    """Return the clips of a kind, at one loudness."""
    find = build_up if name == "build-up" else whole
    found = {take: shortened(find(heard_of(takes[take], kind)), longest) for take in takes}
    sounds = {take: faded(excerpt.sound, FADE_IN, FADE_OUT) for take, excerpt in found.items() if excerpt.sound.size}
    gains = common_gains(sounds, kind.floor)
    return [Draft(take, name, found[take], gains[take].added_dB, gains[take].quiet, sounds[take] * gains[take].factor) for take in sounds]


def _clip(draft: Draft, body: Body | None) -> Clip:
    """Measure the bytes of a coded clip."""
    lossless = draft.data[:4] == b"fLaC"
    played = decoded(draft.data)
    return Clip(
        take=draft.take, kind=draft.kind, title=TITLES[draft.kind], mime="audio/flac" if lossless else "audio/mpeg",
        data=draft.data, seconds=draft.sound.size / RATE, loudness_LUFS=loudness(played), true_peak_dBTP=true_peak_dB(played),
        level_dB=draft.gain_dB, note=_note(draft, body),
    )  # fmt: skip


def _note(draft: Draft, body: Body | None) -> str:
    """Say what part of the take a clip is."""
    start = draft.excerpt.start
    said = [f"{figures(start)} s to {figures(start + draft.sound.size / RATE)} s of the take: {draft.excerpt.what}."]
    if not draft.sound.any():
        said.append("Nothing sounds.")
    elif draft.quiet:
        said.append("It stays quieter than the rest: there is too little of it to be brought up.")
    if draft.kind == "body" and body is not None:
        late = f", which answers {figures(1e3 * body.delay_s, 2)} ms late" if body.delay_s else ""
        said.append(f"Through {body.name}{late}.")
    return " ".join(said)
