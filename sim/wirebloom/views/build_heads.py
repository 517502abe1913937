"""What to wind and what to fit into the heads of a rig, head by head."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import pi
from typing import TYPE_CHECKING

from wirebloom.rig import RoundHead
from wirebloom.rig.dimensions import FLUX_DENSITY
from wirebloom.rig.quantities import shown
from wirebloom.take.round_parts import part_sheets
from wirebloom.views.amounts import amount, figures
from wirebloom.views.tables import NOTHING, Table

if TYPE_CHECKING:
    from wirebloom.take.head_parts import PartSheet
    from wirebloom.take.sheet import PoleSheet
    from wirebloom.take.take import Take
    from wirebloom.views.bench import Bench

MM = 1e3
SPARE_WIRE = 1.1  # of what goes on, for ends and a first try (common practice, no source)
WOUND = (
    "Resistance at 20 °C; copper adds 0.39 % for every kelvin. Inductance is that of the whole head without a string. Wind all heads "
    "in the same sense and mark the start of the wire."
)
MAGNETS = "Up is towards the string: heads of one sense all show it the same pole. Magnets pinch and shatter; keep them from implants."


def winding_table(take: Take, bench: Bench) -> Table:
    """Turns, wire and window of every coil, with what it should then measure."""
    columns = ("heads", "turns", "wire (bare copper)", "wire to take", "window", "resistance at 20 °C", "inductance")
    return Table("What to wind", columns, alike(_wound(pole, bench) for pole in heads_of(take)), WOUND)


def heads_of(take: Take) -> list[PoleSheet]:
    """Return one pole of every head, in the order of the rig."""
    return list({pole.head: pole for pole in reversed(take.sheet.poles)}.values())[::-1]


def _wound(pole: PoleSheet, bench: Bench) -> tuple[str, ...]:
    own = amount(pole.resistance_ohm, "Ω"), amount(pole.inductance_H, "H")
    head = bench.head(pole.head)
    if not isinstance(head, RoundHead):
        return (pole.head, NOTHING, NOTHING, NOTHING, NOTHING if head is None else "a finished head", *own)
    coil = head.coil
    length = coil.turns * pi * (coil.inner_diameter + coil.outer_diameter) / 2.0
    window = f"Ø {_mm(coil.inner_diameter)} to {_mm(coil.outer_diameter)} mm, {_mm(coil.top)} to {_mm(coil.bottom)} mm below the face"
    wire = f"{coil.wire}, {MM * coil.copper.overall_diameter:.3f} mm with enamel ({coil.enamel})"
    return (pole.head, f"{coil.turns}", wire, f"{figures(SPARE_WIRE * length)} m", window, *own)


def parts_table(bench: Bench) -> Table:
    """Core, magnets and plates of every head; empty where the scenario cannot be read."""
    heads = () if bench.rig is None else bench.rig.heads
    rows = alike(row for head in heads if isinstance(head, RoundHead) for row in _parts(head))
    return Table("What else goes into the heads", ("heads", "part", "size", "depth below the face", "of", "magnetised"), rows, MAGNETS)


def alike(rows: Iterable[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    """Return rows with those in one that differ in their first cell only.

    Examples
    --------
    >>> alike([("sense", "420"), ("drive", "300"), ("idle", "420")])
    (('sense, idle', '420'), ('drive', '300'))
    """
    found: dict[tuple[str, ...], list[str]] = {}
    for name, *rest in rows:
        found.setdefault(tuple(rest), []).append(name)
    return tuple((", ".join(dict.fromkeys(names)), *rest) for rest, names in found.items())


def _parts(head: RoundHead) -> Iterator[tuple[str, ...]]:
    made = iter(_materials(head))
    for part in part_sheets(head):
        if part.kind != "coil":
            depth = f"{_mm(-part.top_m)} to {_mm(-part.bottom_m)} mm"
            yield head.name, part.kind, _size(part), depth, next(made), part.direction or NOTHING


def _materials(head: RoundHead) -> Iterator[str]:
    """What the parts but the coil are made of, in the order of their sections."""
    if head.core is not None:
        yield head.core.steel or f"iron of permeability {head.core.permeability:g}"
    for magnet in head.magnets:
        own = magnet.grade or f"remanence {shown(magnet.data.remanence, FLUX_DENSITY)}"
        stack = "" if magnet.count == 1 else f", {magnet.count} on one another"
        yield f"{magnet.shape}, {own}{stack}"
    for plate in head.plates:
        yield plate.steel or f"iron of permeability {plate.permeability:g}"


def _size(part: PartSheet) -> str:
    hole = f", hole Ø {_mm(2.0 * part.inner_radius_m)} mm" if part.inner_radius_m else ""
    return f"Ø {_mm(2.0 * part.outer_radius_m)} × {_mm(part.top_m - part.bottom_m)} mm{hole}"


def _mm(length: float) -> str:
    return figures(MM * length + 0.0)  # no -0
