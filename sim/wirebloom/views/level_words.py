"""A search for the level that keeps a clearance, in words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from wirebloom.views.amounts import amount, figures
from wirebloom.views.verdict import Verdict

if TYPE_CHECKING:
    from wirebloom.take.level import Level

CAUTIONS = (
    "A series resistor gets as warm as the power it takes: choose one rated for at least twice that.",
    "Set the level with the string at pitch and the supply at its highest: a fresh battery drives harder.",
)
LIMITS = ("Touches are certain to within 1 % of amplitude, the heads to what `wirebloom run` says of them: leave room for that.",)


def level_words(loop: str, key: str, clearance: float, own: float, found: Level) -> Verdict:
    """Put it into words; loop and key by name, clearance as wanted (m), own: the scenario's own resistor, Ω."""
    return Verdict(level_headline(loop, 1e3 * clearance, found), tuple(_rows(key, own, found)), LIMITS, CAUTIONS)


def level_headline(loop: str, wanted_mm: float, found: Level) -> str:
    """Return the one line that a maker reads first."""
    wanted, kept = figures(wanted_mm), f"{figures(found.clearance_mm)} mm clear of {found.head}"
    ohm = amount(found.ohm, "Ω")
    return {
        "found": f"A level resistor of {ohm} in {loop} keeps {wanted} mm: the string stays {kept}.",
        "none needed": f"No level resistor is needed in {loop} for {wanted} mm: at full drive the string stays {kept}.",
        "too near": f"No level resistor up to {ohm} keeps {wanted} mm in {loop}: the string comes to {kept}. More gap or weaker magnets.",
        "silent": f"The string does not sound, with or without a level resistor in {loop}: there is no level to set.",
        "dies": f"With {ohm} in {loop}, which {wanted} mm would take, the string no longer sounds: more gap, and more drive with it.",
    }[found.kind]


def _rows(key: str, own: float, found: Level) -> Iterator[tuple[str, str]]:
    yield "level resistor", f"{amount(found.ohm, 'Ω')} ({key}); {amount(own, 'Ω')} in the scenario"
    if found.kind == "found":
        yield "once settled", f"{amount(found.exact_ohm, 'Ω')} would do; the way there and preferred values (E24, IEC 60063) ask for more"
    ends = found.outcome or "too early to tell"
    yield "drive then", f"{amount(found.drive_V, 'V')} rms, {amount(found.drive_A, 'A')} rms; the string ends {ends}"
    if found.kind == "found":
        yield "heat", f"{amount(found.ohm * found.drive_A**2, 'W')} in the resistor"
    if found.strong_mm is not None:
        told = "touches" if found.strong_mm == 0.0 else f"{figures(found.strong_mm, 2)} mm clear"
        yield "if heads are strong", f"{told}: at the strong end of what is known of the heads"
    yield "runs", f"{found.runs}"
