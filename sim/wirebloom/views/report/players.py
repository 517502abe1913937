"""The players of a page: every clip as a data address, so that the page plays wherever it is taken."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from markupsafe import Markup

from wirebloom.views.amounts import figures
from wirebloom.views.report.parts import Bench, Player

if TYPE_CHECKING:
    from wirebloom.views.clips import Clip

CODINGS = {"audio/flac": "FLAC, lossless", "audio/mpeg": "MP3"}


def benches(clips: Sequence[Clip]) -> list[Bench]:
    """Put clips of one kind side by side.

    Parameters
    ----------
    clips : sequence of Clip
        Of one take, or of several that are compared.
    """
    several = len({clip.take for clip in clips}) > 1
    kinds = {clip.kind: clip.title for clip in clips}
    return [Bench(title, tuple(player(clip, several) for clip in clips if clip.kind == kind)) for kind, title in kinds.items()]


def player(clip: Clip, several: bool) -> Player:
    """Return one clip, ready to play."""
    source = Markup(f"data:{clip.mime};base64,{b64encode(clip.data).decode('ascii')}")  # nothing in it needs escaping
    return Player(clip.take, clip.title, source, tuple(facts(clip, several)), clip.note)


def facts(clip: Clip, several: bool) -> Iterator[str]:
    """Yield what is to be known of a clip before it is played."""
    yield f"{figures(clip.seconds)} s"
    if several:
        yield f"{round(clip.level_dB, 1) + 0.0:.1f} dB added".replace("-", "−")  # + 0.0: none stays without a sign
    yield "loudness not defined" if clip.loudness_LUFS is None else f"{clip.loudness_LUFS:.1f} LUFS".replace("-", "−")
    if clip.true_peak_dBTP is not None:
        yield f"true peak {clip.true_peak_dBTP:.1f} dBTP".replace("-", "−")
    yield CODINGS.get(clip.mime, clip.mime)
