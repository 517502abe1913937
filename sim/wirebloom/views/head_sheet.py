"""A sheet for one head in words: one line that decides, the figures behind it, limits and cautions."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

from wirebloom.take.head_parts import FieldSheet, PartSheet, WindingSheet
from wirebloom.take.head_study import HeadString, HeadStudy, RestSheet
from wirebloom.views.amounts import amount, figures
from wirebloom.views.head_heat import head_heat
from wirebloom.views.head_words import gap_words, magnet_words, millimetres, rest_words, side_words, string_words, times
from wirebloom.views.verdict import Verdict
from wirebloom.views.warm_words import celsius

MM = 1e3
WAYS = (  # share of the window, every wire in a square of its own, up to which a winding goes in so (common practice, no source)
    (0.55, "go in easily, even wound without laying turn beside turn"),
    (0.8, "go in with care, turn beside turn"),
    (1.0, "go in only in neat layers"),
)
TIGHTEST = "go in only with each layer sunk into the grooves of the one below, which hardly succeeds by hand"


def head_sheet(study: HeadStudy) -> Verdict:
    """Put a study of a head into words.

    Parameters
    ----------
    study : HeadStudy
    """
    return Verdict(_headline(study), tuple(_rows(study)), study.limits, study.cautions)


def _headline(study: HeadStudy) -> str:
    """Say the one thing that matters most: of several strings, of the one that fares worst."""
    severity = ("free", "bistable", "latched")
    string = max(study.strings, key=lambda one: severity.index(one.rest.kind))
    if string.factor_N_per_A == 0.0:
        return f"{study.head} has no magnets: motion of {string.name} makes no voltage in it, and any current pulls it nearer."
    pull, more = amount(string.rest.pull_N, "N"), amount(string.factor_N_per_A, "N")
    told = f"{study.head} pulls {string.name} with {pull}, and with {more} more per ampere"
    if string.rest.kind == "latched":
        if string.rest.safe_m is not None and string.rest.safe_m <= string.gap_m:
            return f"The magnets of another head hold {string.name} on a face: see to that one first."
        return f"The magnets hold {string.name} on a face: {_way_out(string.rest)}."
    if string.rest.kind == "bistable":
        return f"{told}; it hangs clear, but stays on a face once it gets there: {_way_out(string.rest)}."
    return f"{told}; it hangs clear{_safety(string)}."


def _way_out(rest: RestSheet) -> str:
    if rest.safe_m is None:
        return "weaker magnets or a tighter string"
    return f"a gap of at least {millimetres(rest.safe_m)}, or weaker magnets"


def _safety(string: HeadString) -> str:
    safe = string.rest.safe_m
    if safe is not None and safe <= string.gap_m:
        return ", and no face can hold it"
    return f", but a pull {times(string.rest.strong_pull)}, which is within what may be, could hold it on a face"


def _rows(study: HeadStudy) -> Iterator[tuple[str, str]]:
    """Yield name and figures of each matter, the head first, then each string."""
    yield "head", _head(study)
    if study.parts:
        yield "parts", "; ".join(_part(part) for part in study.parts)
    if study.winding is not None:
        yield "winding", winding_words(study.winding)
    yield "coil", _coil(study)
    if study.field is not None:
        yield "field", _field(study.field)
        if study.field.magnets:
            yield "magnets", "; ".join(magnet_words(magnet) for magnet in study.field.magnets)
    if study.heat is not None:
        yield "heat", head_heat(study.heat)
    for string in study.strings:
        yield string.name, string_words(string)
        if string.band_note:
            yield f"band of {string.name}", string.band_note
        yield f"{string.name} at rest", rest_words(string)
        yield f"{string.name} over gap", gap_words(string.rest)
        if string.along is not None:  # of a measured head nothing sideways is known
            yield f"{string.name} sideways", side_words(string)


def _head(study: HeadStudy) -> str:
    role = f"{study.role} head of {study.loop}" if study.loop else "in no loop"
    parts = [role]
    if study.alike:
        parts.append(f"of the same build: {', '.join(study.alike)}")
    different = [name for name in study.others if name not in study.alike]
    if different:
        parts.append(f"of another build: {', '.join(different)}")
    return "; ".join(parts)


def _part(part: PartSheet) -> str:
    hole = f"{figures(2.0 * MM * part.inner_radius_m)}/" if part.inner_radius_m else ""
    size = f"Ø {hole}{figures(2.0 * MM * part.outer_radius_m)} × {figures(MM * (part.top_m - part.bottom_m))} mm"
    return ", ".join(word for word in (f"{part.kind} {size}", part.material, part.direction) if word)


def winding_words(winding: WindingSheet) -> str:
    """Say how a winding goes into its window, and what it weighs."""
    way = next((words for most, words in WAYS if winding.filling <= most), TIGHTEST)
    window = f"{figures(MM * winding.window_width_m)} × {figures(MM * winding.window_height_m)} mm"
    thick = "" if winding.turns <= winding.certain_turns else f"; with the thickest enamel allowed only {winding.certain_turns} go in"
    wire = f"{winding.turns} turns of {winding.wire} ({MM * winding.overall_m:.3f} mm with enamel)"
    return (
        f"{wire} {way}: the window of {window} holds {winding.closest_turns} at most{thick}; {figures(winding.wire_length_m)} m of wire, "
        f"{amount(1e3 * winding.copper_kg, 'g')} of copper ({100.0 * winding.copper_share:.0f} % of the window)"
    )


def _coil(study: HeadStudy) -> str:
    hot = "" if study.heat is None else f" ({amount(study.heat.hot_ohm, 'Ω')} at {celsius(study.heat.touch_K)})"
    constant = study.inductance_H / study.resistance_ohm
    corner = 1.0 / (2.0 * pi * constant)
    return (
        f"{amount(study.resistance_ohm, 'Ω')} at 20 °C{hot}, {amount(study.inductance_H, 'H')} without a string; "
        f"time constant {amount(constant, 's')}, so resistance rules below {amount(corner, 'Hz')}"
    )


def _field(field: FieldSheet) -> str:
    at = [int(abs(field.axis_height_m - height).argmin()) for height in (0.0, 1e-3)]
    face, near = (float(field.axis_magnet_T[place]) for place in at)
    iron = f"; {amount(field.core_T, 'T')} in the iron" if field.core_T else ""
    if face == near == 0.0:
        return f"no magnets; coil {amount(float(field.axis_coil_T_per_A[at[1]]), 'T')} per ampere 1 mm above the face, on the axis"
    return (
        f"magnets {amount(face, 'T')} at the face and {amount(near, 'T')} 1 mm above it, on the axis; "
        f"coil {amount(float(field.axis_coil_T_per_A[at[1]]), 'T')} per ampere there{iron}"
    )
