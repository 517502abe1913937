"""Everything that is needed at the bench to build the rig of a take, as tables: strings, heads, mounting, electronics, test points.

What is wound, mounted and set comes from the take's scenario, read anew; what it amounts to comes from the take itself. A scenario
that today's program refuses leaves gaps in the tables and a note that says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import log2
from typing import TYPE_CHECKING

from wirebloom.take.measures import measure
from wirebloom.take.window import poles_of
from wirebloom.views.amounts import amount, figures
from wirebloom.views.bench import Bench, bench_of
from wirebloom.views.build_heads import parts_table, winding_table
from wirebloom.views.build_loops import loop_tables
from wirebloom.views.tables import NOTHING, Table
from wirebloom.views.test_points import test_points

if TYPE_CHECKING:
    from wirebloom.take.measures import Measures
    from wirebloom.take.sheet import PoleSheet, StringSheet
    from wirebloom.take.take import Take

MM = 1e3
A4, OCTAVE, OFF_A4 = 440.0, 12, 9  # ISO 16: A4; semitones of an octave; A within one
NOTES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
TUNED = "Wear eye protection while tuning, bring the pitch up slowly, keep faces out of the string's plane."
SET = "Use a feeler gauge of brass or plastic: steel clings to the magnets and pulls the string with it."


def build_sheet(take: Take, measures: Measures | None = None) -> list[Table]:
    """Return the tables of a build, in the order in which one builds.

    Parameters
    ----------
    take : Take
    measures : Measures, optional
        Of the take; measured anew by default.

    Returns
    -------
    list of Table
    """
    bench, found = bench_of(take), measures or measure(take)
    tables = [
        strings_table(take, bench),
        winding_table(take, bench),
        parts_table(bench),
        mount_table(take, bench),
        *loop_tables(take, bench, found),
        *test_points(take, bench, found),
    ]
    return [table for table in tables if table.rows]


def strings_table(take: Take, bench: Bench) -> Table:
    """What strings to put on, and how far to tune them."""
    rows = tuple(_string(sheet, _core(bench, sheet.name)) for sheet in take.sheet.strings)
    note = f"{bench.notice} {TUNED}".strip()
    return Table("Strings", ("string", "wire", "between the bridges", "tension", "stress", "tune to"), rows, note)


def _core(bench: Bench, name: str) -> float | None:
    strings = () if bench.rig is None else bench.rig.strings
    return next((string.core_diameter for string in strings if string.name == name), None)


def _string(sheet: StringSheet, core: float | None) -> tuple[str, ...]:
    within = "" if core is None else f" on a core of {MM * core:.2f} mm"
    share = 100.0 * sheet.stress_Pa / sheet.strength_min_Pa
    return (
        sheet.name,
        f"{MM * sheet.diameter_m:.2f} mm {sheet.material}{within}",
        f"{MM * sheet.length_m:.1f} mm",
        amount(sheet.tension_N, "N"),
        f"{amount(sheet.stress_Pa, 'Pa')}, {share:.0f} % of its least strength",
        f"{sheet.pitch_Hz:.2f} Hz ({note_name(sheet.pitch_Hz)}), with the heads well away",
    )


def note_name(hertz: float) -> str:
    """Return the nearest note of equal temperament, with the cents that are left; ISO 16:1975, A4 = 440 Hz.

    Examples
    --------
    >>> note_name(440.0), note_name(196.0), note_name(65.0)
    ('A4', 'G3', 'C2 − 11 cents')
    """
    steps = OCTAVE * log2(hertz / A4)
    nearest = round(steps)
    octave, place = divmod(nearest + OFF_A4 + 4 * OCTAVE, OCTAVE)
    cents = round(100.0 * (steps - nearest))
    off = "" if cents == 0 else f" {'+' if cents > 0 else '−'} {abs(cents)} cents"
    return f"{NOTES[place]}{octave}{off}"


def mount_table(take: Take, bench: Bench) -> Table:
    """Where every head goes, and how near."""
    columns = (
        "head",
        "under",
        "from the bridge",
        "gap as set, string straight",
        "feeler once the magnets pull",
        "beside the axis",
        "leads",
    )
    rows = tuple(_mounts(take, bench))
    return Table("Where to mount the heads", columns, rows, SET)


def _mounts(take: Take, bench: Bench) -> Iterator[tuple[str, ...]]:
    for s, string in enumerate(take.sheet.strings):
        for pole in sorted((take.sheet.poles[j] for j in poles_of(take, s)), key=lambda one: one.position_m):
            yield (
                f"{pole.head} ({pole.role})" if pole.role not in pole.head else pole.head,
                string.name,
                f"{MM * pole.position_m:.1f} mm ({figures(pole.position_m / string.length_m)} of the length)",
                f"{MM * pole.gap_m:.2f} mm",
                feeler(pole),
                f"{MM * pole.offset_m:+.2f} mm" if pole.offset_m else "0 mm: over the middle",
                _leads(bench, pole),
            )


def feeler(pole: PoleSheet) -> str:
    """Return the gap that a feeler finds at rest."""
    return f"{MM * pole.rest_gap_m:.2f} mm" if pole.rest_gap_m > 0.0 else "none: the magnets hold the string on the face"


def _leads(bench: Bench, pole: PoleSheet) -> str:
    head = bench.head(pole.head)
    if not pole.loop:
        return "in no loop"
    if head is None:
        return NOTHING
    return "the other way round" if head.reversed else "as wound"
