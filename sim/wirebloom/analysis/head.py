"""A sheet for one head: winding, field, force on its strings, heat, and where the strings rest over it."""

from __future__ import annotations

from collections.abc import Sequence

from wirebloom.analysis.chosen import AnyHead, alike, bench_of, chosen_head, chosen_places
from wirebloom.analysis.head_field import SolvedHead, along_sheet, field_sheet, solved_head
from wirebloom.analysis.head_notes import head_cautions, head_limits
from wirebloom.analysis.head_strings import Over, head_string
from wirebloom.analysis.warmth import heat_sheet, loop_of
from wirebloom.analysis.winding import winding_sheet
from wirebloom.compile.bands import known_poles
from wirebloom.compile.poles import Pole
from wirebloom.physics.coil import winding
from wirebloom.physics.head_table import HeadTable
from wirebloom.physics.string import StringModes, string_modes
from wirebloom.rig import MATERIALS, Rig, RoundHead
from wirebloom.take.head_study import AlongSheet, HeadString, HeadStudy
from wirebloom.take.round_parts import part_sheets


def study_head(rig: Rig, name: str | None = None, strings: Sequence[str] = ()) -> HeadStudy:
    """Look at one head of a rig from all sides.

    Parameters
    ----------
    rig : Rig
    name : str, optional
        Of the head; the first one by default.
    strings : sequence of str
        Names of the strings over it; those of the scenario by default.

    Returns
    -------
    HeadStudy

    Raises
    ------
    ScenarioError
        If there is no head or string of such a name.
    RigError
        If a string is one that no magnet pulls, or hangs loose.
    """
    head = chosen_head(rig, name)
    places = chosen_places(rig, head, strings)
    bench = bench_of(rig, head, places)
    modes = [string_modes(string, MATERIALS[string.material], rig.room) for string in bench.strings]
    poles = known_poles(bench, modes)
    overs = [_over(bench, modes, poles, head, place.string) for place in places]
    table = overs[0].pole.table
    solved = solved_head(head, table) if isinstance(head, RoundHead) else None
    own = {place.string for place in head.places}
    studied = tuple(head_string(over, _along(solved, over), stands=over.string.name in own) for over in overs)
    return _sheet(rig, head, table, solved, studied)


def _over(bench: Rig, modes: Sequence[StringModes], poles: Sequence[Pole], head: AnyHead, name: str) -> Over:
    """The named string and its poles."""
    s = [string.name for string in bench.strings].index(name)
    over = [pole for pole in poles if pole.string == s]
    own = [pole.head.name for pole in over].index(head.name)
    return Over(bench, poles, bench.strings[s], modes[s], over, own)


def _along(solved: SolvedHead | None, over: Over) -> AlongSheet | None:
    if solved is None:
        return None
    place = over.pole.place
    return along_sheet(solved, over.pole.table, place.gap, over.string.diameter / 2.0, place.offset)


def _sheet(rig: Rig, head: AnyHead, table: HeadTable, solved: SolvedHead | None, strings: tuple[HeadString, ...]) -> HeadStudy:
    role, loop = loop_of(rig, head.name)
    others = [one for one in rig.heads if one.name != head.name]
    field = None if solved is None else field_sheet(solved)
    heat = heat_sheet(rig, head, _resistances(rig, head, table)) if isinstance(head, RoundHead) else None
    return HeadStudy(
        title=rig.title,
        head=head.name,
        others=tuple(one.name for one in others),
        alike=tuple(one.name for one in others if alike(head, one)),
        role=role,
        loop="" if loop is None else loop.name,
        resistance_ohm=table.resistance,
        inductance_H=table.inductance,
        face_radius_m=head.face_radius,
        parts=part_sheets(head) if isinstance(head, RoundHead) else (),
        winding=winding_sheet(head) if isinstance(head, RoundHead) else None,
        heat=heat,
        field=field,
        strings=strings,
        limits=head_limits(head, strings, table.core_field or 0.0, 1.0 if solved is None else solved.magnets),
        cautions=head_cautions(head, heat, field),
    )


def _resistances(rig: Rig, head: AnyHead, table: HeadTable) -> dict[str, float]:
    """Of every head's coil at 20 °C, Ω."""
    known = {one.name: winding(one.coil).resistance if isinstance(one, RoundHead) else one.resistance for one in rig.heads}
    return known | {head.name: table.resistance}
