"""A compiled rig with one thing changed, in milliseconds: what the change does not touch is taken over.

Head tables serve every gap, place and wiring. More turns in the same window scale them exactly; magnets that are so many times
as strong scale force factor and pull, as long as the steel is far from saturation. Rest goes on from where it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.analysis.chosen import alike
from wirebloom.analysis.nearby_rest import nearby_rest
from wirebloom.compile.circuits import windings
from wirebloom.compile.electronics import netlist_of
from wirebloom.compile.loads import split, whole
from wirebloom.compile.model import make_model
from wirebloom.compile.poles import Pole, aperture_weights
from wirebloom.compile.rest import rest_of_scheme, start_state
from wirebloom.errors import RigError, ScenarioError
from wirebloom.folders import cache_folder
from wirebloom.physics.head_table import HeadTable, head_table
from wirebloom.physics.string import StringModes
from wirebloom.rig import MeasuredHead, Place, Rig, RoundHead, loads
from wirebloom.rig.magnetism import magnetism_of
from wirebloom.take.sheet import Sheet

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

AnyHead = RoundHead | MeasuredHead


def tried(compiled: Compiled, overrides: Sequence[str], magnets: tuple[str, float] = ("", 1.0)) -> Compiled | None:
    """The rig with some changes; None where it cannot be built, or where a string no longer hangs clear.

    Parameters
    ----------
    compiled : Compiled
    overrides : sequence of str
        As ``--set`` takes them. Strings stay as they are.
    magnets : (str, float)
        A head, and how many times as strong its magnets are.

    Returns
    -------
    Compiled or None
        With the sheet of the rig as it was, but that its strings hang clear: it tells of the strings, not of the change.
    """
    try:
        rig, plan = loads(compiled.rig.text, file="scenario", overrides=(*compiled.rig.overrides, *overrides))
        poles = tuple(_pole(rig, pole, compiled.modes[pole.string], magnets) for pole in compiled.poles)
        parts = split(poles, compiled.modes) if plan.loads == "separate" else whole(poles)
        netlist = netlist_of(rig, windings(rig, poles))
        model = make_model(rig, plan, compiled.modes, poles, parts, netlist=netlist)
    except (ScenarioError, RigError):
        return None
    rest = nearby_rest(model, poles, compiled.modes, parts.still, compiled.rest)
    if rest is None:
        return None
    held = rest_of_scheme(model, rest)
    state, sheet = start_state(model, rig, plan.start, held, compiled.modes), _hung_clear(compiled.sheet)
    changed = replace(compiled, rig=rig, plan=plan, poles=poles, model=model, state=state, rest=held)
    return replace(changed, parts=parts, netlist=netlist, sheet=sheet)


def _hung_clear(sheet: Sheet) -> Sheet:
    """The sheet with none of its strings held on a face."""
    strings = (replace(own, equilibrium="free") if own.equilibrium == "latched" else own for own in sheet.strings)
    return replace(sheet, strings=tuple(strings))


def _pole(rig: Rig, pole: Pole, modes: StringModes, magnets: tuple[str, float]) -> Pole:
    head = next(one for one in rig.heads if one.name == pole.head.name)
    place = next(one for one in head.places if one.string == pole.place.string)
    table = _table(rig, pole, head, place)
    if magnets[0] == head.name:
        table = table.scaled(magnets[1], magnets[1] ** 2)
    moved = (place.position, place.gap) != (pole.place.position, pole.place.gap)
    weight = aperture_weights(table, place, modes) if moved else pole.weight
    return replace(pole, head=head, place=place, table=table, weight=np.asarray(weight))


def _table(rig: Rig, pole: Pole, head: AnyHead, place: Place) -> HeadTable:
    """That of the head as it was, if it is still of the same build, or but for its turns."""
    if alike(pole.head, head):
        return pole.table
    if isinstance(head, RoundHead) and isinstance(pole.head, RoundHead):
        same = pole.head.coil.model_copy(update={"turns": head.coil.turns})
        if alike(pole.head.model_copy(update={"coil": same}), head):
            return with_turns(pole.table, head.coil.turns / pole.head.coil.turns)
    string = rig.strings[pole.string]
    steel = magnetism_of(string)
    if steel is None:
        return pole.table
    return head_table(head, string.diameter, steel, place.offset, cache_folder(), core_diameter=string.core_diameter)


def with_turns(table: HeadTable, times: float) -> HeadTable:
    """So many times the turns of the same wire in the same window: flux linkage as they are, inductances as their square."""
    parts, ladder = np.array([1.0, times, times**2, 1.0]), table.ladder * np.array([times**2, times**2, 1.0])
    return replace(
        table,
        flux=times * table.flux,
        inductance_change=times**2 * table.inductance_change,
        coefficient=parts * table.coefficient,
        ladder=ladder,
        resistance=times * table.resistance,
        inductance=times**2 * table.inductance,
        dipole=times * table.dipole,
        copper_mass=None if table.copper_mass is None else times * table.copper_mass,
        wire_length=None if table.wire_length is None else times * table.wire_length,
    )
