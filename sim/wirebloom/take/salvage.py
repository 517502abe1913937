"""A damaged, truncated or partial file of a take: what is there, as a take, and what is not, in plain notices.

The take ends where its records end: a run whose file was cut off reads like one that was stopped early. A signal of which less
than half is there counts as lost; it reads as 0, is named in :attr:`~wirebloom.take.take.Take.lost`, and nothing is measured from it.
"""

from __future__ import annotations

from pathlib import Path

from wirebloom.errors import FileError
from wirebloom.take import contents
from wirebloom.take.attributes import ContentError, read_family, read_number, read_text, read_texts, read_whole
from wirebloom.take.band import Band
from wirebloom.take.band_columns import band_of
from wirebloom.take.salvaged import Records, records_of
from wirebloom.take.salvaged_sheet import Rebuild, sheet_of
from wirebloom.take.store import check_kind, load
from wirebloom.take.take import Take
from wirebloom.take.wreck import BROKEN, Wreck, opened

AUDIO, STEPS = 48_000.0, 96_000.0  # Hz: the usual rates
MEGA = 1e6
NONE: tuple[str, ...] = ()


def salvage(path: str | Path, rebuild: Rebuild | None = None) -> tuple[Take, tuple[str, ...]]:
    """Read a take from a file as far as it can be read.

    Parameters
    ----------
    path : str or Path
    rebuild : callable, optional
        Makes the sheet of a rig from a scenario's text and overrides, for files that have lost theirs.

    Returns
    -------
    take : Take
        Of a whole file the same as :func:`~wirebloom.take.store.load` returns.
    notices : tuple of str
        What is missing; empty for a whole file.

    Raises
    ------
    FileError
        If the file is missing, of another kind or of a newer version, or nothing is left of what it says of its strings.
    """
    try:
        return load(path), ()
    except FileError:
        if not Path(path).is_file():
            raise
    with opened(Path(path)) as wreck:
        try:
            check_kind(wreck.file)
            take = _take(wreck, rebuild)
        except ContentError as problem:
            raise FileError(f"{path}: {problem}") from None
        except BROKEN as problem:
            raise FileError(f"{path} must be a file that still says what it is; instead received one whose head is damaged.") from problem
        return take, tuple(wreck.notices)


def _take(wreck: Wreck, rebuild: Rebuild | None) -> Take:
    file, attempt = wreck.file, wreck.attempt
    wreck.notices.append(_damage(wreck))
    scenario = attempt(lambda: read_text(file, "scenario"), "", "The text of the scenario is lost.")
    overrides = attempt(lambda: read_texts(file, "overrides"), NONE, "The changes made to the scenario are lost.")
    audio = attempt(lambda: read_number(file, "audio_rate_Hz"), AUDIO, "The sample rate is lost; it is taken to be 48 kHz.")
    due = attempt(lambda: read_number(file, "duration_s"), 0.0, "How long the take was is lost.")
    sheet = sheet_of(wreck, scenario, overrides, rebuild)
    records = records_of(wreck, sheet, audio, due)
    return Take(
        sheet=sheet,
        scenario=scenario,
        overrides=overrides,
        seed=attempt(lambda: read_whole(file, "seed"), 0, "The seed is lost."),
        status=_status(wreck) if records.whole else "interrupted",
        duration_s=records.end_s,
        rate=attempt(lambda: read_number(file, "rate_Hz"), STEPS, ""),
        audio_rate=audio,
        versions=attempt(lambda: read_family(file, "version_", read_text), {}, ""),
        signals=records.signals,
        frames=records.frames,
        shape=records.shape,
        wall=attempt(lambda: read_family(file, "wall_", read_number), {}, ""),
        band=_band(wreck, records),
        lost=records.lost,
    )


def _damage(wreck: Wreck) -> str:
    if wreck.size < wreck.due:
        return f"The file is cut off: {wreck.size / MEGA:.1f} of {wreck.due / MEGA:.1f} MB are there."
    return "The file is damaged. This is what could be read of it."


def _status(wreck: Wreck) -> str:
    return wreck.attempt(lambda: read_text(wreck.file, "status"), "interrupted", "")


def _band(wreck: Wreck, records: Records) -> Band | None:
    """Return the runs at both ends of the band; none for a take that now ends before they did."""
    if not wreck.has("band"):
        return None
    if not records.whole:
        wreck.notices.append("The runs at both ends of the band are left out: they went on for longer.")
        return None
    return wreck.attempt(lambda: band_of(wreck.whole("band", contents.BAND)), None, "The runs at both ends of the band are lost.")
