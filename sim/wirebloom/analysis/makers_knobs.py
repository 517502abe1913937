"""What a maker can change on a rig: gaps, places, gain, resistors, capacitors, supply, turns, magnets, polarity, as knobs.

Only what leaves the strings as they are. A head that is made like another is held as it is while that other is changed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from math import inf
from typing import TYPE_CHECKING

from wirebloom.analysis.knobs import Knob, Words, grid, two_figures
from wirebloom.analysis.loop_knobs import loop_knobs
from wirebloom.rig import MeasuredHead, Place, Rig, RoundHead
from wirebloom.rig.dimensions import LENGTH
from wirebloom.rig.document import parse_toml
from wirebloom.rig.expand import entries

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled
    from wirebloom.compile.poles import Pole

AnyHead = RoundHead | MeasuredHead
NARROWEST, WIDEST = 0.2e-3, 12e-3  # m, of gaps that are looked at; a table may end before
TENTH, FINE = 0.1e-3, 0.05e-3  # m
FINER_BELOW = 1.5e-3  # m: gaps that are set in steps of FINE
FAR = 0.1  # of the string's length: how far a head is shifted
EDGE = 0.02  # of it: nearer to an end no head is put
MANY = 3.0  # times the turns
STRONG = 2.0  # times the magnets' strength


def knobs_of(compiled: Compiled, string: str) -> tuple[Knob, ...]:
    """All knobs that a string hangs on: of the heads under it and of their loops, and of these loops' other heads.

    Parameters
    ----------
    compiled : Compiled
    string : str

    Returns
    -------
    tuple of Knob
    """
    rig = compiled.rig
    own = [pole for pole in compiled.poles if rig.strings[pole.string].name == string]
    loops = [loop for loop in rig.loops if any(pole.head.name in (*loop.sense, *loop.drive) for pole in own)]
    heads = [pole for pole in own if any(pole.head.name in (*loop.sense, *loop.drive) for loop in loops)]
    made = [*_gaps(rig, own), *(_position(rig, pole) for pole in heads)]
    for loop in loops:
        made += loop_knobs(compiled, loop)
    for pole in heads:
        made += _builds(rig, pole.head)
    return tuple(made)


def _gaps(rig: Rig, poles: Sequence[Pole]) -> Iterator[Knob]:
    """Of every head by itself, and of all under the string together."""
    for pole in poles:
        yield _gap(f"gap of {pole.head.name}", [pole])
    if len(poles) > 1:
        yield _gap(f"gaps of {' and '.join(pole.head.name for pole in poles)}", poles)


def _gap(name: str, poles: Sequence[Pole]) -> Knob:
    first = poles[0].place.gap
    shares = [pole.place.gap / first for pole in poles]
    tables = [pole.table.gap for pole in poles]
    least = max(max(NARROWEST, table[0]) / share for table, share in zip(tables, shares, strict=True))
    most = min(min(WIDEST, table[-1]) / share for table, share in zip(tables, shares, strict=True))

    def overrides(value: float) -> tuple[str, ...]:
        return tuple(one for pole, share in zip(poles, shares, strict=True) for one in gap_overrides(pole, round(value * share, 5)))

    return Knob(name, "gap", first, min(first, least), max(first, most), 4.0, 0.1, overrides, set_gap, LENGTH)


def set_gap(value: float, up: bool) -> float:
    """Next gap that a hand with a feeler gauge sets."""
    return grid(FINE if value < FINER_BELOW else TENTH)(value, up)


def place_key(head: AnyHead, place: Place) -> str:
    """Path to a head's place under a string."""
    return f"heads.{head.name}.over.{place.string}" if head.over else f"heads.{head.name}"


def gap_overrides(pole: Pole, gap: float) -> Iterator[str]:
    """Set a gap; what was measured on the head was measured at the gap that it had."""
    yield f"{place_key(pole.head, pole.place)}.gap={metric(gap)}"
    known = pole.head.measured if isinstance(pole.head, RoundHead) else None
    if known is not None and known.gap is None and (known.force_factor is not None or known.pull is not None):
        at = next(place.gap for place in pole.head.places if place.string == (known.string or pole.head.places[0].string))
        yield f"heads.{pole.head.name}.measured.gap={metric(at)}"


def metric(value: float) -> str:
    """A length as an override has it."""
    return f"{1e3 * value:.6g} mm"


def _position(rig: Rig, pole: Pole) -> Knob:
    length = next(one.length for one in rig.strings if one.name == pole.place.string)
    at, key = pole.place.position, place_key(pole.head, pole.place)
    return Knob(
        name=f"position of {pole.head.name}",
        kind="position",
        value=at,
        low=min(at, EDGE * length),
        high=max(at, (1.0 - EDGE) * length),
        full=FAR * length,
        step=0.1,
        overrides=lambda value: (f"{key}.position={metric(value)}",),
        settable=grid(1e-3),
        dimension=LENGTH,
        beside=inf,
    )


def _builds(rig: Rig, head: AnyHead) -> Iterator[Knob]:
    """Turns and magnets of one head."""
    if isinstance(head, MeasuredHead):
        if head.law is not None:
            yield _magnets(head, partial(_law, rig, head))
        return
    if head.coil.resistance is None and head.coil.inductance is None and head.measured is None:
        turns = head.coil.turns
        yield Knob(f"turns of {head.name}", "turns", turns, 1, turns * MANY, MANY, 0.1, partial(_turns, rig, head), grid(10.0))
    if head.magnets:
        yield _magnets(head, lambda _: (), head.name)


def _magnets(head: AnyHead, overrides: Words, scaled: str = "") -> Knob:
    name = f"magnets of {head.name}"
    return Knob(name, "magnets", 1.0, 1.0 / STRONG, STRONG, STRONG, 0.15, overrides, two_figures, magnets=scaled)


def _law(rig: Rig, head: MeasuredHead, strength: float) -> tuple[str, ...]:
    """Force factor in proportion to the magnets, pull to their square."""
    if head.law is None:
        return ()
    changed = head.law.factor * strength, head.law.pull * strength**2
    held = [(other, other.law.factor, other.law.pull) for other in _followers(rig, head) if isinstance(other, MeasuredHead) and other.law]
    rows = [(head, *changed), *held]
    return tuple(one for own, factor, pull in rows for one in _law_rows(own.name, factor, pull))


def _law_rows(name: str, factor: float, pull: float) -> tuple[str, str]:
    return f"heads.{name}.law.factor={1e3 * factor:.6g} mN/A", f"heads.{name}.law.pull={1e3 * pull:.6g} mN"


def _turns(rig: Rig, head: RoundHead, turns: float) -> tuple[str, ...]:
    held = [(other.name, other.coil.turns) for other in _followers(rig, head) if isinstance(other, RoundHead)]
    return tuple(f"heads.{name}.coil.turns={count}" for name, count in [(head.name, round(turns)), *held])


def _followers(rig: Rig, head: AnyHead) -> list[AnyHead]:
    """Heads that are made like this one, or like one that is."""
    like = {entry.get("name"): entry.get("like") for entry in entries(parse_toml(rig.text, "scenario"), "heads")}

    def leads(name: str | None) -> bool:
        return name is not None and (like.get(name) == head.name or leads(like.get(name)))

    return [other for other in rig.heads if other is not head and leads(other.name)]
