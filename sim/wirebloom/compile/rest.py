"""Where the strings of a compiled rig rest, and the state a run starts from."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wirebloom.circuit.standing import draws
from wirebloom.circuit.steady import steady
from wirebloom.compile.doubts import possible_pull
from wirebloom.compile.outside import started_string
from wirebloom.compile.poles import Pole, faces
from wirebloom.kernels.circuit import CHANGE
from wirebloom.kernels.folding import columns_of
from wirebloom.kernels.layout import Floats, Ints, Model, State
from wirebloom.kernels.ledger import core_linkages, linkages, pole_motion, turned, wires_at
from wirebloom.kernels.pack import RECENT, Packed, pack
from wirebloom.physics.rest import Rest, string_rest
from wirebloom.physics.shapes import pluck_amplitudes
from wirebloom.physics.string import StringModes
from wirebloom.rig import Rig, Start


def rest_of(model: Model, packed: Packed, own: Ints, poles: Sequence[Pole], modes: StringModes) -> Rest:
    """Static equilibrium of a string over its poles; own (J,): which of the time loop's poles carry their static pulls."""
    weight = model.poles.weight[own, : modes.wavenumber.size]

    def pull(u: Floats) -> Floats:
        moved = np.zeros((model.poles.gap.size, 2))
        moved[own] = u
        wire, _ = wires_at(packed, moved)
        return np.stack([-wire[own, 4], wire[own, 8]], axis=1)

    def depth(u: Floats) -> Floats:
        sides = np.abs(model.poles.offset[own] + u[:, 1])
        return np.array([_recess(pole, side) for pole, side in zip(poles, sides, strict=True)])

    return string_rest(modes, weight, pull, model.poles.gap[own], depth, highest=possible_pull(poles))


def _recess(pole: Pole, side: float) -> float:
    radii, depths = faces(pole.head)
    return next((d for r, d in zip(radii, depths, strict=True) if side <= r), np.inf)


def rest_all(model: Model, poles: Sequence[Pole], modes: Sequence[StringModes], still: Ints) -> list[Rest | None]:
    """Rest of every string; None for a string over no head. still (J,): which of the time loop's poles carry the static pulls."""
    packed = pack(model)
    owns = [[j for j, pole in enumerate(poles) if pole.string == s] for s in range(len(modes))]
    return [rest_of(model, packed, still[own], [poles[j] for j in own], modes[s]) if own else None for s, own in enumerate(owns)]


def rest_of_scheme(model: Model, rest: Floats) -> Floats:
    """Modal rest (S, 2, N), m, at which the stepping scheme itself stays still under steady forces.

    Kicks that stand for a steady force leave a mode at q·x/sin x between them, x = ωh/2: no motion, so not to be seen as one.
    """
    half_turn = 0.5 * model.step * model.strings.frequency
    return rest / np.sinc(half_turn / np.pi)


def start_state(model: Model, rig: Rig, start: Start, rest: Floats, modes: Sequence[StringModes]) -> State:
    """State at t = 0: strings at rest (S, 2, N) or held by a pluck; supply off for a switch-on, else up and settled."""
    q = rest.copy()
    if start.kind == "pluck" and start.height is not None and start.position is not None:
        s = started_string(rig, start)
        q[s, 0, : modes[s].wavenumber.size] += pluck_amplitudes(start.height, start.position, modes[s])
    moved = pole_motion(model, q + where_kicked(model, rest) - rest)
    still = empty_state(model)._replace(
        q=q,
        flux=linkages(model, moved),
        eddy=core_linkages(model, moved),
        last_gap=model.poles.gap - pole_motion(model, q)[:, 0],
    )
    return still if start.kind == "switch-on" else settled(still, model, moved)


def where_kicked(model: Model, rest: Floats) -> Floats:
    """Where the first kick finds strings at rest (S, 2, N), m: half a step on. Fluxes of any other place would be a small tap."""
    return turned(rest, np.zeros_like(rest), model.ahead)[0]


def settled(state: State, model: Model, moved: Floats) -> State:
    """The same state, strings at motion (J, 2) (m), with electronics that have been on for long: voltages, and currents with their flux."""
    found = steady(model.network, model.stages)
    inductance = model.coils.inductance + np.diag(wires_at(pack(model), moved)[1][:, CHANGE])
    return state._replace(
        x=found.state,
        output=found.output,
        envelope=np.abs(found.output),
        draw=np.repeat(draws(model.network, model.stages, found.column).reshape(-1, 2, 1), 2, axis=2),
        flux=state.flux + inductance @ found.current,
        eddy=state.eddy + model.cores.inductance * found.current[model.cores.circuit][:, None],
    )


def empty_state(model: Model) -> State:
    """A state with everything at zero, in the sizes of the model."""
    strings, _, partials = model.full.qq.shape
    loops, points, width = model.coils.noise.size // 2, model.contacts.stiffness.size, columns_of(model)
    sizes = {
        "q": (strings, 2, partials),
        "v": (strings, 2, partials),
        "flux": (2 * loops,),
        "eddy": model.cores.share.shape,
        "x": model.network.inertia.shape,
        "output": model.stages.gain.shape,
        "envelope": model.stages.gain.shape,
        "draw": (model.stages.gain.size, 2, 2),
        "drawn": (model.stages.gain.size, 2),
        "contact": (points,),
        "last_gap": (model.poles.gap.size,),
        "work": (strings,),
        "core_heat": (2 * loops,),
        "products": (width, width),
        "recent": (RECENT, width),
        "contact_loss": (points,),
        "damper_loss": (model.dampers.string.size,),
        "driver_work": (model.drivers.string.size,),
    }
    arrays = {name: np.zeros(sizes.get(name, (loops,))) for name in State._fields if name != "clock"}
    return State(clock=np.zeros(1, dtype=np.int64), **arrays)
