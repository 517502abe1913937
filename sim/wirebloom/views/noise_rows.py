"""Rows of the verdict on noise and hum: what the drive does beside silent strings, and how far hum stays below a note."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from wirebloom.take.noise import SignalToHum, signal_to_hum
from wirebloom.views.amounts import amount, figures

if TYPE_CHECKING:
    from wirebloom.take.measures import Measures
    from wirebloom.take.sheet import LoopSheet
    from wirebloom.take.take import Take

WORTH_TELLING = 0.98  # of the gain left: above it nothing is lost
DEAF = 0.1  # of the gain left: below it many a loop no longer starts


def noise_rows(take: Take, measures: Measures) -> Iterator[tuple[str, str]]:
    """Yield name and words of each matter; nothing for takes that were made without."""
    for loop in take.sheet.loops:
        if loop.idle_noise_V > 0.0:
            yield f"{loop.name} at idle", _idle(loop)
    for index, string in enumerate(measures.strings):
        found = signal_to_hum(take, index, string.pitch_Hz) if string.starts else None
        if found is not None:
            yield f"hum under {string.name}", _below(found)


def _idle(loop: LoopSheet) -> str:
    hum = f" and {amount(loop.idle_hum_V, 'V')} of hum" if loop.idle_hum_V > 0.0 else ""
    told = f"strings silent: {amount(loop.idle_noise_V, 'V')} of noise{hum} at the output, {amount(loop.idle_A, 'A')} in the drive (rms)"
    if loop.gain_left > WORTH_TELLING:
        return told
    beyond = f"{told}; beyond what it can swing: {figures(100.0 * loop.gain_left, 2)} % of the gain is left to a note that begins"
    return f"{beyond}, which may never start" if loop.gain_left < DEAF else beyond


def _below(found: SignalToHum) -> str:
    least = "at least " if found.at_least else ""
    plain, weighted = (f"{figures(abs(ratio), 2)} dB {'below' if ratio >= 0.0 else 'above'}" for ratio in found[:2])
    hidden = "" if found.hidden == 0 else f"; lines of the mains under partials of the note count with it ({found.hidden})"
    return f"{least}{plain} the note at the bridge, {least}{weighted} it as the ear weighs it (A){hidden}"
