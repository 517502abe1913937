"""Which partial leads, over the capacitor in line with the drive coils and the place of a head: hundreds of rigs in a few seconds.

What a capacitor or a place changes is changed in the compiled model; tables, coils and rest stay. Each rig is asked in two steps
(:mod:`wirebloom.analysis.hundreds`): which partial grows from nothing, and which one is left when those on top of it have grown.
Left out beside what :mod:`wirebloom.analysis.saturated` leaves out: harmonics of the leader, crosstalk of a head that has been moved.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from wirebloom.analysis.envelopes import Envelopes
from wirebloom.analysis.hundreds import Leader, leader
from wirebloom.analysis.modes import motion_of
from wirebloom.analysis.strand import Basis, basis_of
from wirebloom.circuit.nodal import network_of
from wirebloom.compile.circuits import windings
from wirebloom.compile.electronics import lay_out_stages, netlist_of
from wirebloom.compile.poles import aperture_weights, faces
from wirebloom.errors import RigError, ScenarioError
from wirebloom.kernels.layout import Floats, Model
from wirebloom.rig import Rig
from wirebloom.rig.sentences import listed, perhaps, sentence
from wirebloom.take.check_map import NO_ROOM, PartialMap

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled
    from wirebloom.compile.poles import Pole

PARTIALS, SAMPLES = 8, 64  # looked at, and samples in a period of the first
CAPACITORS = np.geomspace(0.5e-6, 2e-3, 19)  # F; an odd number, as that of the places
PLACES = np.linspace(0.05, 0.5, 19)  # of the string's length, from the end that the head is nearer to


class Moved(NamedTuple):
    """A head that is moved: its loop's number, its pole, the other poles of that string."""

    loop: int
    pole: Pole
    others: tuple[Pole, ...]


def explore(compiled: Compiled, head: str | None = None) -> PartialMap:
    """Map of the leading partial.

    Parameters
    ----------
    compiled : Compiled
    head : str, optional
        Name of the head that is moved; the first loop's first drive head by default. Of several strings over it, the first one is
        looked at.

    Returns
    -------
    PartialMap

    Raises
    ------
    RigError
        If no loop has a head.
    ScenarioError
        If no head of a loop has that name.
    """
    moved = chosen(compiled, head)
    place, length = moved.pole.place.position, compiled.modes[moved.pole.string].length
    positions = length * (PLACES if place <= 0.5 * length else 1.0 - PLACES[::-1])
    key, own = capacitor_of(compiled.rig, moved.loop)
    bases = [with_capacitor(compiled, moved.loop, key, float(farad)) for farad in CAPACITORS]
    found = filled(lambda i, k: _at(compiled, bases[k], moved, float(positions[i])), (positions.size, len(bases)))
    rig = compiled.rig
    return PartialMap(
        title=rig.title,
        loop=rig.loops[moved.loop].name,
        string=rig.strings[moved.pole.string].name,
        head=moved.pole.head.name,
        role="sense" if moved.pole.head.name in rig.loops[moved.loop].sense else "drive",
        capacitor=f"loops.{rig.loops[moved.loop].name}.{key}.capacitor",
        position_m=positions,
        length_m=length,
        capacitor_F=CAPACITORS,
        partial=np.array([[one.partial for one in row] for row in found], dtype=np.int64),
        several=np.array([[one.several for one in row] for row in found]),
        touches=np.array([[one.touches for one in row] for row in found]),
        own_position_m=place,
        own_capacitor_F=own,
    )


def chosen(compiled: Compiled, head: str | None) -> Moved:
    """The head of that name, or the first loop's first drive head.

    Raises
    ------
    RigError
        If no loop has a head.
    ScenarioError
        If no head of a loop has that name.
    """
    loops = compiled.rig.loops
    names = [name for loop in loops for name in (*loop.sense, *loop.drive)]
    if not names:
        raise RigError(sentence("loops", "given, at least one, for a map of its capacitor", "none"))
    name = loops[0].drive[0] if head is None else head
    if name not in names:
        raise ScenarioError(sentence("--head", f"the name of a head in a loop ({listed(names)})", f"'{name}'", perhaps(name, names)))
    loop = next(a for a, own in enumerate(loops) if name in (*own.sense, *own.drive))
    pole = next(pole for pole in compiled.poles if pole.head.name == name)
    return Moved(loop, pole, tuple(other for other in compiled.poles if other.string == pole.string and other is not pole))


def capacitor_of(rig: Rig, loop: int) -> tuple[str, float]:
    """Table of a loop that has the capacitor in line with its drive coils, and its value, F; "phase" and infinity where there is none."""
    own = rig.loops[loop]
    if own.phase.capacitor is None and own.output.capacitor is not None:
        return "output", own.output.capacitor
    return "phase", np.inf if own.phase.capacitor is None else own.phase.capacitor


def with_capacitor(compiled: Compiled, loop: int, table: str, farad: float) -> Basis:
    """What a flow needs of the rig with another capacitor."""
    own, changes = compiled.rig.loops[loop], {"capacitor": farad} | ({"kind": "series capacitor"} if table == "phase" else {})
    other = own.model_copy(update={table: getattr(own, table).model_copy(update=changes)})
    rig = compiled.rig.model_copy(update={"loops": (*compiled.rig.loops[:loop], other, *compiled.rig.loops[loop + 1 :])})
    network, stages = network_of(netlist_of(rig, windings(rig, compiled.poles)))
    return basis_of(compiled.model._replace(network=network, stages=lay_out_stages(stages, compiled.model.step)), compiled.rest)


def with_place(compiled: Compiled, basis: Basis, pole: Pole, position: float) -> Basis:
    """The same with a head at another place, m from the bridge end."""
    modes = compiled.modes[pole.string]
    weight = aperture_weights(pole.table, pole.place.model_copy(update={"position": position}), modes)
    weights = basis.model.poles.weight.copy()
    rows = [j for j, own in enumerate(compiled.parts.poles) if own.head.name == pole.head.name and own.string == pole.string]
    weights[rows, : weight.size] = weight
    model: Model = basis.model._replace(poles=basis.model.poles._replace(weight=weights))
    moved = (motion_of(model) @ compiled.rest.ravel()).reshape(-1, 2)
    return basis._replace(model=model, moved=np.asarray(moved))


def fits(moved: Moved, position: float) -> bool:
    """Whether a head at a place leaves the others theirs: their faces and flanges do not overlap."""
    return all(abs(position - other.place.position) > reach(moved.pole) + reach(other) for other in moved.others)


def reach(pole: Pole) -> float:
    """Radius of a head's face with what stands around it, m."""
    return float(faces(pole.head)[0][-1])


def filled(ask: Callable[[int, int], Leader], size: tuple[int, int]) -> list[list[Leader]]:
    """A grid of answers, of odd size: every second one asked, those in between taken over where all that were asked around them agree."""
    found = {(i, k): ask(i, k) for i in range(0, size[0], 2) for k in range(0, size[1], 2)}

    def between(i: int, k: int) -> Leader:
        if (i, k) in found:
            return found[i, k]
        around = {found[a, b] for a in {i - i % 2, i + i % 2} for b in {k - k % 2, k + k % 2}}
        return around.pop() if len(around) == 1 and around != {Leader(NO_ROOM, False, False)} else ask(i, k)

    return [[between(i, k) for k in range(size[1])] for i in range(size[0])]


def _at(compiled: Compiled, basis: Basis, moved: Moved, position: float) -> Leader:
    if not fits(moved, position):
        return Leader(NO_ROOM, False, False)
    here = with_place(compiled, basis, moved.pole, position)
    frequency: Floats = here.model.strings.frequency[moved.pole.string, 0]
    alive = int(np.count_nonzero(frequency > 0.0))
    partials = np.arange(1, min(PARTIALS, alive) + 1)
    return leader(Envelopes(here, moved.pole.string, partials, float(frequency[0]), SAMPLES))
