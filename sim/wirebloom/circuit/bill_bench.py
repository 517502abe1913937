"""The rest of a bill of materials: supplies, heads with their windings and magnets, strings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wirebloom.circuit.bill import Item
from wirebloom.circuit.marks import written
from wirebloom.physics.coil import winding
from wirebloom.rig import Coil, MeasuredHead, Rig, RoundHead, String
from wirebloom.rig.dimensions import FLUX_DENSITY
from wirebloom.rig.iron import Plate
from wirebloom.rig.parts import Core
from wirebloom.rig.permanent import Magnet
from wirebloom.rig.quantities import shown
from wirebloom.rig.statics import pitch, tension
from wirebloom.rig.supplies import Battery, Supply

AnyHead = RoundHead | MeasuredHead
SPARE_WIRE = 1.1  # of what goes on, for ends and a first try (common practice, no source)


def bench(rig: Rig) -> tuple[Item, ...]:
    """Supplies, heads and strings of a rig."""
    return (*_supplies(rig), *_heads(rig), *(_string(string) for string in rig.strings))


def _supplies(rig: Rig) -> Iterator[Item]:
    fed = {name: [loop.name for loop in rig.loops if loop.supply == name] for name in dict.fromkeys(loop.supply for loop in rig.loops)}
    for supply in rig.supplies:
        if supply.name in fed or any(getattr(other, "battery", None) == supply.name for other in rig.supplies):
            yield _supply(supply, fed.get(supply.name, []))
    for loop in rig.loops:
        own = loop.amplifier
        if own is not None and own.supply is not None:
            count = 2 if own.supply_kind == "split" else 1
            yield Item("", count, f"supply of {loop.name}", f"{own.supply:g} V", "", "", f"feeds {loop.name}; fuse it")


def _supply(supply: Supply, loops: Sequence[str]) -> Item:
    halves, feeds = 2 if supply.split else 1, f"feeds {', '.join(loops)}; fuse it" if loops else "feeds a regulator; fuse it"
    if isinstance(supply, Battery):
        count = halves * supply.count * supply.parallel
        return Item("", count, f"{supply.cells} cell, {supply.name}", f"{supply.open_voltage:.3g} V in all", "", "", feeds)
    return Item("", halves, f"{supply.kind} supply, {supply.name}", f"{supply.open_voltage:g} V", "", "", feeds)


def _heads(rig: Rig) -> Iterator[Item]:
    """Heads of one build together."""
    for builds in _alike(rig.heads):
        names, head = ", ".join(one.name for one in builds), builds[0]
        if isinstance(head, RoundHead):
            yield from _round(head, len(builds), names)
        else:
            value = f"{shown_ohm(head.resistance)}, {written(head.inductance, 'H')}"
            yield Item("", len(builds), f"finished head: {names}", value, "", "", "as measured")


def millimetres(length: float) -> str:
    """A length (m) as it stands on a drawing."""
    return f"{1e3 * length:.4g} mm"


def shown_ohm(ohm: float) -> str:
    """A resistance as it stands on a drawing."""
    return written(ohm, "ohm")


def _alike(heads: Sequence[AnyHead]) -> list[list[AnyHead]]:
    found: list[tuple[object, list[AnyHead]]] = []
    for head in heads:
        build = _build(head)
        same = next((builds for known, builds in found if known == build), None)
        if same is None:
            found.append((build, [head]))
        else:
            same.append(head)
    return [builds for _, builds in found]


def _build(head: AnyHead) -> object:
    """What makes two heads the same thing to buy and to wind."""
    if isinstance(head, RoundHead):
        return head.core, head.coil, head.magnets, head.plates
    return head.resistance, head.inductance, head.face_diameter, head.points, head.law


def _round(head: RoundHead, count: int, names: str) -> Iterator[Item]:
    yield _winding(head.coil, count, names)
    if head.core is not None:
        yield _core(head.core, count, names)
    for magnet in head.magnets:
        yield _magnet(magnet, count, names)
    for plate in head.plates:
        yield _plate(plate, count, names)


def _winding(coil: Coil, count: int, names: str) -> Item:
    own, high = winding(coil), millimetres(coil.bottom - coil.top)
    window = f"{millimetres(coil.inner_diameter)} to {millimetres(coil.outer_diameter)} across, {high} high"
    value = f"{coil.turns} turns of {coil.wire}, window {window}, {shown_ohm(own.resistance)} at 20 °C"
    wire = f"take {SPARE_WIRE * own.length:.3g} m of enamelled copper wire ({coil.enamel}) for each, {1e3 * own.mass:.2g} g of it go on"
    return Item("", count, f"winding: {names}", value, "", "", wire)


def _core(core: Core, count: int, names: str) -> Item:
    made = core.steel or f"permeability {core.permeability:g}"
    return Item(
        "",
        count,
        f"core: {names}",
        f"{millimetres(core.diameter)} x {millimetres(core.length)}, {made}",
        "",
        "",
        "leads the field to the string",
    )


def _magnet(magnet: Magnet, count: int, names: str) -> Item:
    hole = f" with a hole of {millimetres(magnet.inner_diameter)}" if magnet.inner_diameter else ""
    grade = magnet.grade or f"remanence {shown(magnet.data.remanence, FLUX_DENSITY)}"
    value = f"{magnet.shape} {millimetres(magnet.diameter)} x {millimetres(magnet.thickness)}{hole}, {grade}"
    return Item("", count * magnet.count, f"magnet: {names}", value, "", "", f"north or south alike, all {magnet.direction}")


def _plate(plate: Plate, count: int, names: str) -> Item:
    hole = f" with a hole of {millimetres(plate.inner_diameter)}" if plate.inner_diameter else ""
    made = plate.steel or f"permeability {plate.permeability:g}"
    value = f"{millimetres(plate.diameter)} x {millimetres(plate.thickness)}{hole}, {made}"
    return Item("", count, f"plate: {names}", value, "", "", "leads the field back")


def _string(string: String) -> Item:
    core = f" on a core of {millimetres(string.core_diameter)}" if string.core_diameter is not None else ""
    value = f"{string.material} {millimetres(string.diameter)}{core}, {millimetres(string.length)} between the bridges"
    return Item("", 1, f"string: {string.name}", value, "", f"{tension(string):.3g} N", f"{pitch(string):.4g} Hz")
