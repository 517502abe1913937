"""What `check` says of where a string settles: partial, size, clearance, drive; and where else it could."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from wirebloom.views.amounts import amount, figures

if TYPE_CHECKING:
    from wirebloom.take.check import Check
    from wirebloom.take.check_saturated import Saturated, Steady

MM = 1e3
STARTS = {"switch-on": "the switch-on", "noise": "noise", "pluck": "the pluck", "tap": "the tap"}


def end_rows(check: Check) -> Iterator[tuple[str, str]]:
    """Yield where each string settles, and where else it could."""
    several = len(check.strings) > 1
    for string in (own.name for own in check.sheet.strings if own.equilibrium != "latched"):
        ends = check.ends_of(string)
        if not ends:
            continue
        of = f" of {string}" if several else ""
        if ends[0].likely:
            yield f"settles{of}", end_words(ends[0], check.saturated)
        for other in ends[1:] if ends[0].likely else ends:
            yield f"or else{of}", f"another start can lead elsewhere: {_short(other)}"
    for note in check.saturated.notes:
        yield "but", note


def end_words(end: Steady, saturated: Saturated) -> str:
    """Say where the rig's own start leads."""
    error = f"± {100.0 * saturated.amplitude_error:.0f} %" if _alone(end, saturated) else "as if its loop served no other string"
    begun = STARTS.get(saturated.start, saturated.start)
    if end.touches:
        told = f"{_short(end)}; figures are those at first touch, and what the face makes of it only a run can tell"
    else:
        told = f"{_short(end)}, never touches; amplitude {error}"
    return f"begun by {begun}: {told}{_drive(end)}{_rival(end)}{_whirl(end)}"


def _alone(end: Steady, saturated: Saturated) -> bool:
    """Whether no other string would settle on its loop."""
    return all(other.string == end.string or other.loop != end.loop for other in saturated.states if other.likely)


def _short(end: Steady) -> str:
    """Return partial, pitch and size."""
    near = f", {figures(MM * end.clearance_m)} mm over {end.nearest}" if end.nearest and not end.touches else ""
    touches = f", meets {end.nearest}" if end.touches else ""
    return f"partial {end.partial} at {end.frequency_Hz:.1f} Hz, {figures(MM * end.amplitude_m)} mm to either side{near}{touches}"


def _drive(end: Steady) -> str:
    if not end.loop:
        return ""
    return f"; drive of {end.loop} {amount(end.drive_rms_V, 'V')} rms, {amount(end.drive_rms_A, 'A')} rms, {amount(end.drive_power_W, 'W')}"


def _rival(end: Steady) -> str:
    """Return how firmly it holds; nothing where the rest of the same motion is all that there is."""
    if end.touches or end.rival == end.partial or end.rival_growth_per_s > 0.0:
        return ""
    return f"; partial {end.rival} on top of it fades by {figures(-end.rival_growth_per_s, 2)} per s"


def _whirl(end: Steady) -> str:
    """Return what becomes of a motion that leaves its plane."""
    own = end.whirl
    if own is None:
        return ""
    near = f", then {figures(MM * own.clearance_m)} mm over {end.nearest}" if end.nearest else ""
    return (
        f"; in time it whirls, {figures(MM * own.amplitude_m)} mm towards the heads and {figures(MM * own.sideways_m)} mm across{near} "
        f"(the motion across grows by {figures(own.growth_per_s, 2)} per s)"
    )
