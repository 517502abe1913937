"""What meter, feeler gauge and tuner should find on the bench, how far off is still in order, and how to measure it without harm.

A band that the take knows is given as such. Where it knows none the usual spread of parts stands (common practice, no source): windings
and resistors 10 %, inductance 15 %. IEC 60317-0-1 allows fine copper wire 7 to 10 % in resistance (from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from wirebloom.views.amounts import amount
from wirebloom.views.build_heads import heads_of
from wirebloom.views.idle_points import idle_points
from wirebloom.views.playing_points import playing_points
from wirebloom.views.points import Point, about, table_of

if TYPE_CHECKING:
    from wirebloom.take.measures import Measures
    from wirebloom.take.sheet import PoleSheet
    from wirebloom.take.take import Take
    from wirebloom.views.bench import Bench
    from wirebloom.views.tables import Table

MM = 1e3
OHMS, HENRIES = 0.1, 0.15
FEELER = 0.05e-3  # m: as finely as a gap is set
CENTS = 2.0
WARMER = "ohmmeter; 0.39 % more for every kelvin above 20 °C"
GAUGE = "feeler gauge of brass or plastic, string at pitch, magnets in"
SNATCH = "magnets pinch and snatch at steel"
WHIPS = "a string that breaks whips: eye protection"
BEFORE = "With the supply disconnected. A coil that reads far less has shorted turns or the wrong wire; one that reads nothing is open."
IDLE = "Supply on, strings held still with felt. First with the level turned down, and a fuse in the supply's lead."
PLAYING = "As in the last second of the take. A meter that averages reads a square wave 11 % high: use one for true rms, on AC."


def test_points(take: Take, bench: Bench, measures: Measures) -> list[Table]:
    """Return the tables of test points: everything without power, then every loop idle, then playing.

    Parameters
    ----------
    take : Take
    bench : Bench
        Its rig.
    measures : Measures
        Of the take.
    """
    before = [*_coils(take), *_gaps(take), *_pitches(take)]
    idle = [point for sheet in take.sheet.loops for point in idle_points(take, sheet, bench)]
    playing = [point for loop in measures.loops for point in playing_points(take, loop, bench, measures)]
    return [
        table_of("Test points before power", before, BEFORE),
        table_of("Test points with the strings held", idle, IDLE),
        table_of("Test points while it plays", playing, PLAYING),
    ]


def _coils(take: Take) -> Iterator[Point]:
    for pole in heads_of(take):
        where, ohm, henry = f"leads of {pole.head}, unconnected", pole.resistance_ohm, pole.inductance_H
        yield Point("coil resistance", where, f"{amount(ohm, 'Ω')} at 20 °C", about(ohm, OHMS, "Ω"), WARMER, SNATCH)
        how = "LCR meter at 100 Hz or 120 Hz, in series mode, no string near"
        yield Point("coil inductance", where, amount(henry, "H"), about(henry, HENRIES, "H"), how, SNATCH)


def _gaps(take: Take) -> Iterator[Point]:
    for pole in take.sheet.poles:
        if pole.rest_gap_m > 0.0:
            where = f"between {pole.head} and {pole.string}"
            yield Point("gap at rest", where, f"{MM * pole.rest_gap_m:.2f} mm", _gap_band(pole), GAUGE, f"{SNATCH}; {WHIPS}")


def _gap_band(pole: PoleSheet) -> str:
    """Return how far the rest gap may lie from that expected: what the pull's band does to the sag, and a step of the gauge."""
    sag = pole.gap_m - pole.rest_gap_m
    low, high = pole.gap_m - sag * pole.pull_high - FEELER, pole.gap_m - sag * pole.pull_low + FEELER
    return f"{MM * max(low, 0.0):.2f} to {MM * high:.2f} mm"


def _pitches(take: Take) -> Iterator[Point]:
    how = "tuner, string plucked, heads backed well away: their magnets lower it"
    for sheet in take.sheet.strings:
        yield Point("pitch", sheet.name, f"{sheet.pitch_Hz:.2f} Hz", f"± {CENTS:g} cents", how, WHIPS)
