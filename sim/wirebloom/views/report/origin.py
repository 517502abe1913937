"""Where a take comes from: scenario, changes, seed, programs; nothing that would differ from one copy of the page to the next."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING

from wirebloom.views.amounts import amount, figures
from wirebloom.views.tables import Table

if TYPE_CHECKING:
    from wirebloom.take.take import Take


def origin(take: Take) -> list[Table]:
    """Return the tables of what a take was made from and with."""
    about = [
        ("scenario's digest", take.sheet.digest),
        *(("changed from the text", change) for change in take.overrides),
        ("seed", str(take.seed)),
        ("status", take.status),
        ("simulated", f"{figures(take.duration_s)} s"),
        ("steps", f"{amount(take.rate, 'Hz', 4)}"),
        ("signals kept at", f"{amount(take.audio_rate, 'Hz', 4)}"),
    ]
    made = [Table("The take", ("what", "value"), tuple(about))]
    if take.versions:
        made.append(Table("What it was made with", ("program", "version"), tuple(take.versions.items())))
    return made


def story(take: Take) -> str:
    """Return what the scenario wants to know, in the words of whoever wrote it; empty if it does not say."""
    try:
        told = tomllib.loads(take.scenario).get("story", "")
    except tomllib.TOMLDecodeError:
        return ""
    return " ".join(told.split()) if isinstance(told, str) else ""
