"""The continuous equations of a rig in plain numpy: right-hand side, energy, power, and an event-driven reference run.

Nothing here knows how the time loop works. Noise is off; contact is the plain power law; an amplifier at its rail stays
there (v̇ = 0) as long as its input pushes outwards.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from twins.classic import Classic as Model
from twins.classic import Plain as State
from twins.splines import Surface, surface

Floats = NDArray[np.float64]
Flow = Callable[[float, Floats, NDArray[np.int64]], Floats]
CIRCUIT_FIELDS = ("flux", "eddy", "node", "allpass", "output", "capacitor")


class Sources(NamedTuple):
    """What reaches the rig from outside, as functions of time."""

    supply: Callable[[float], float] = lambda t: 1.0
    force: Callable[[float], Floats | float] = lambda t: 0.0  # (X,) N
    stray: Callable[[float], float] = lambda t: 0.0  # T/s


class Place(NamedTuple):
    """One pole at one moment."""

    gap: float
    lateral: float
    table: Surface


STEADY = Sources()


def pack(state: State) -> Floats:
    return np.concatenate([state.q.ravel(), state.v.ravel(), *(getattr(state, name).ravel() for name in CIRCUIT_FIELDS)])


def unpack(model: Model, y: Floats) -> dict[str, Floats]:
    strings, partials = model.strings.curvature.shape
    loops = len(model.amplifiers.gain)
    modes = 2 * strings * partials
    sizes = [modes, modes, 2 * loops, model.cores.share.size, loops, loops, loops, loops]
    parts = np.split(y, np.cumsum(sizes)[:-1])
    shaped = {"q": parts[0].reshape(strings, 2, partials), "v": parts[1].reshape(strings, 2, partials)}
    shaped |= dict(zip(CIRCUIT_FIELDS, parts[2:], strict=True))
    return shaped | {"eddy": shaped["eddy"].reshape(-1, 2)}


def pole_string(first: NDArray[np.int64]) -> NDArray[np.int64]:
    """Owner of every pole (or contact point)."""
    return np.repeat(np.arange(len(first) - 1), np.diff(first))


def pole_places(model: Model, q: Floats) -> list[Place]:
    poles, places = model.poles, []
    for j, s in enumerate(pole_string(poles.first)):
        towards, sideways = q[s] @ poles.weight[j]
        gap, lateral = poles.gap[j] - towards, poles.offset[j] + sideways
        places.append(Place(gap, lateral, surface(model.tables, poles.table[j], gap, lateral)))
    return places


def linkage(model: Model, places: list[Place]) -> Floats:
    """Λ of every circuit: what its coil links with no current in it, Wb."""
    total = np.zeros(len(model.coils.area))
    for c, sign, place in zip(model.poles.circuit, model.poles.sign, places, strict=True):
        if c >= 0:
            total[c] += sign * place.table.value[1]
    return total


def inductance(model: Model, places: list[Place]) -> Floats:
    total = model.circuits.inductance.copy()
    for c, place in zip(model.poles.circuit, places, strict=True):
        if c >= 0:
            total[c, c] += place.table.value[2]
    return total


def core_linkage(model: Model, places: list[Place]) -> Floats:
    """κ_k Λ of every stage of every core (H, 2), in the circuit's sense, Wb."""
    total = np.zeros_like(model.cores.share)
    for g, sign, place in zip(model.cores.under, model.poles.sign, places, strict=True):
        if g >= 0:
            total[g] += model.cores.share[g] * sign * place.table.value[1]
    return total


def whole_inductance(model: Model, places: list[Place]) -> Floats:
    """Of all circuits and, behind them, of all cores' stages: an own row for each, nothing eliminated."""
    coils = len(model.circuits.resistance)
    own = model.cores.inductance.ravel()
    total = np.diag(np.concatenate([np.zeros(coils), own]))
    total[:coils, :coils] = inductance(model, places)
    home = np.repeat(model.cores.circuit, 2)
    stage = coils + np.arange(own.size)
    total[home, stage] = total[stage, home] = own
    return total


def whole_linkage(model: Model, places: list[Place]) -> Floats:
    return np.concatenate([linkage(model, places), core_linkage(model, places).ravel()])


def whole_resistance(model: Model) -> Floats:
    return np.concatenate([model.circuits.resistance, model.cores.resistance.ravel()])


def currents(model: Model, places: list[Place], state: dict[str, Floats]) -> tuple[Floats, Floats]:
    """Of the circuits (C,) and of the cores' stages (H, 2), A."""
    flux = np.concatenate([state["flux"], state["eddy"].ravel()])
    return parted(model, np.linalg.solve(whole_inductance(model, places), flux - whole_linkage(model, places)))


def parted(model: Model, whole: Floats) -> tuple[Floats, Floats]:
    coils = len(model.circuits.resistance)
    return whole[:coils], whole[coils:].reshape(-1, 2)


def magnetic_forces(model: Model, places: list[Place], current: Floats, eddy: Floats | None = None) -> Floats:
    """Force on the string at every pole and polarisation (J, 2), N: ∂W′/∂u at constant currents, no eddy currents unless told."""
    force = np.zeros((len(places), 2))
    for j, place in enumerate(places):
        c, g = model.poles.circuit[j], model.cores.under[j]
        i = current[c] if c >= 0 else 0.0
        seen = i if g < 0 or eddy is None else i + model.cores.share[g] @ eddy[g]
        share = np.array([1.0, model.poles.sign[j] * seen, i**2 / 2, 0.0])
        force[j] = -share @ place.table.by_gap, share @ place.table.by_offset
    return force


def penetration(model: Model, x: int, q: Floats, places: list[Place]) -> float:
    """Depth of contact point x in the stepped face, m; ≤ 0 means apart."""
    contacts = model.contacts
    s = pole_string(contacts.first)[x]
    pole = contacts.pole[x]
    across = abs(places[pole].lateral)
    inside = np.nonzero(across <= contacts.radius[x])[0]
    if len(inside) == 0:
        return -np.inf
    return float(q[s, 0] @ contacts.weight[x] - model.poles.gap[pole] - contacts.recess[x, inside[0]])


def contact_force(model: Model, x: int, depth: float, speed: float) -> float:
    if depth <= 0:
        return 0.0
    contacts = model.contacts
    force = contacts.stiffness[x] * depth ** contacts.exponent[x] * (1 + contacts.loss[x] * speed)
    return max(0.0, float(force))


def modal_forces(model: Model, t: float, state: dict[str, Floats], places: list[Place], sources: Sources) -> Floats:
    """Everything but spring, mass and damping of the modes themselves (S, 2, N), N."""
    q, v = state["q"], state["v"]
    total = np.zeros_like(q)
    magnetic = magnetic_forces(model, places, *currents(model, places, state))
    for j, s in enumerate(pole_string(model.poles.first)):
        total[s] += np.outer(magnetic[j], model.poles.weight[j])
    for x, s in enumerate(pole_string(model.contacts.first)):
        weight = model.contacts.weight[x]
        total[s, 0] -= weight * contact_force(model, x, penetration(model, x, q, places), v[s, 0] @ weight)
    for d in active_dampers(model, t):
        s, weight = model.dampers.string[d], model.dampers.weight[d]
        total[s] -= model.dampers.resistance[d] * np.outer(v[s] @ weight, weight)
    force = np.broadcast_to(sources.force(t), len(model.drivers.string))
    for x, s in enumerate(model.drivers.string):
        total[s, model.drivers.polarisation[x]] += force[x] * model.drivers.weight[x]
    return total


def active_dampers(model: Model, t: float) -> list[int]:
    window = model.dampers.window * model.step
    return [d for d in range(len(window)) if window[d, 0] <= t < window[d, 1]]


def tension_rise(model: Model, q: Floats) -> Floats:
    """ΔT of every string (S,), N."""
    return model.strings.stretch * np.einsum("sn,spn,spn->s", model.strings.curvature, q, q)


def accelerations(model: Model, t: float, state: dict[str, Floats], places: list[Place], sources: Sources) -> Floats:
    strings, q, v = model.strings, state["q"], state["v"]
    pushed = modal_forces(model, t, state, places, sources) * strings.inverse_mass[:, None, None]
    stiffer = (tension_rise(model, q) * strings.inverse_density)[:, None, None] * strings.curvature[:, None, :] * q
    alive = strings.frequency > 0
    return alive * (pushed - stiffer - 2 * strings.decay * v - strings.frequency**2 * q)


def amplifier_input(model: Model, state: dict[str, Floats]) -> Floats:
    amp = model.amplifiers
    return amp.polarity * (amp.direct * state["node"] + amp.lagged * state["allpass"]) + amp.offset


def output_slope(model: Model, state: dict[str, Floats]) -> Floats:
    """v̇ of the amplifiers before the rails have their say, V/s."""
    amp = model.amplifiers
    wanted = amp.rate * (amplifier_input(model, state) - state["output"] / amp.gain)
    return np.clip(wanted, -amp.slew, amp.slew)


def rails_of(model: Model, state: dict[str, Floats], supply: float) -> NDArray[np.int64]:
    """+1 at the upper rail and pushed outwards, −1 at the lower, 0 free."""
    slope, v = output_slope(model, state), state["output"]
    upper = (v >= model.amplifiers.high * supply) & (slope > 0)
    lower = (v <= model.amplifiers.low * supply) & (slope < 0)
    return upper.astype(np.int64) - lower


def rhs(model: Model, t: float, y: Floats, sources: Sources = STEADY, rails: NDArray[np.int64] | None = None) -> Floats:
    """ẏ of the packed state. `rails` (A,) pins amplifiers to a rail (±1) or frees them (0); None looks for itself."""
    state, supply = unpack(model, y), sources.supply(t)
    places = pole_places(model, state["q"])
    i, eddy = currents(model, places, state)
    amp, sense, drive = model.amplifiers, slice(0, None, 2), slice(1, None, 2)
    rails = rails_of(model, state, supply) if rails is None else rails
    voltage = np.empty_like(i)
    voltage[sense] = state["node"]
    voltage[drive] = amp.bias * supply + state["output"] - state["capacitor"]
    change = {
        "flux": voltage - model.circuits.area * sources.stray(t) - model.circuits.resistance * i,
        "eddy": -(model.cores.resistance * eddy).ravel(),
        "node": (-i[sense] - state["node"] * amp.node_conductance) / amp.node_capacitance,
        "allpass": amp.allpass_rate * (state["node"] - state["allpass"]),
        "output": np.where(rails == 0, output_slope(model, state), 0.0),
        "capacitor": model.circuits.elastance[drive] * i[drive],
    }
    acceleration = accelerations(model, t, state, places, sources)
    return np.concatenate([state["v"].ravel(), acceleration.ravel(), *(change[name] for name in CIRCUIT_FIELDS)])


def energies(model: Model, y: Floats) -> dict[str, float]:
    """Where the energy is, J."""
    state = unpack(model, y)
    q, v, strings = state["q"], state["v"], model.strings
    places = pole_places(model, q)
    i = np.concatenate([part.ravel() for part in currents(model, places, state)])
    mass = 1 / strings.inverse_mass[:, None, None]
    rise = tension_rise(model, q)
    elastance = model.circuits.elastance[1::2]
    stored = np.divide(state["capacitor"] ** 2, 2 * elastance, out=np.zeros_like(elastance), where=elastance > 0)
    return {
        "string": float(np.sum(mass * (v**2 + strings.frequency**2 * q**2)) / 2),
        "tension": float(
            np.sum(rise**2 / np.where(strings.stretch > 0, strings.stretch, 1) * strings.inverse_density / strings.inverse_mass) / 4
        ),
        "magnetic": float(i @ whole_inductance(model, places) @ i / 2 - sum(place.table.value[0] for place in places)),
        "capacitor": float(np.sum(stored) + np.sum(model.amplifiers.node_capacitance * state["node"] ** 2) / 2),
        "contact": float(sum(contact_energy(model, x, penetration(model, x, q, places)) for x in range(len(model.contacts.pole)))),
    }


def contact_energy(model: Model, x: int, depth: float) -> float:
    above = model.contacts.exponent[x] + 1
    return float(model.contacts.stiffness[x] * max(depth, 0.0) ** above / above)


def energy(model: Model, y: Floats) -> float:
    return sum(energies(model, y).values())


def powers(model: Model, t: float, y: Floats, sources: Sources = STEADY) -> dict[str, float]:
    """What flows in (supplied, external, stray) and is lost (all others), W."""
    state, strings, supply = unpack(model, y), model.strings, sources.supply(t)
    q, v = state["q"], state["v"]
    places = pole_places(model, q)
    i, eddy = currents(model, places, state)
    amp, resistance = model.amplifiers, model.circuits.resistance
    heat = np.zeros(len(i))
    np.add.at(heat, model.cores.circuit, np.sum(model.cores.resistance * eddy**2, axis=1))
    force = np.broadcast_to(sources.force(t), len(model.drivers.string))
    contact = 0.0
    for x, s in enumerate(pole_string(model.contacts.first)):
        speed, depth = v[s, 0] @ model.contacts.weight[x], penetration(model, x, q, places)
        contact += (contact_force(model, x, depth, speed) - contact_force(model, x, depth, 0.0)) * speed
    damper = sum(
        model.dampers.resistance[d] * np.sum((v[model.dampers.string[d]] @ model.dampers.weight[d]) ** 2) for d in active_dampers(model, t)
    )
    pushed = (v[s, p] @ w for s, p, w in zip(model.drivers.string, model.drivers.polarisation, model.drivers.weight, strict=True))
    return {
        "supplied": float(np.sum((amp.bias * supply + state["output"]) * i[1::2])),
        "external": float(sum(f * speed for f, speed in zip(force, pushed, strict=True))),
        "stray": float(-model.circuits.area * sources.stray(t) @ i),
        "string": float(np.sum(2 * strings.decay * v**2 / strings.inverse_mass[:, None, None])),
        "drive": float(np.sum(resistance[1::2] * i[1::2] ** 2) + heat[1::2].sum()),
        "sense": float(np.sum(resistance[::2] * i[::2] ** 2) + np.sum(amp.node_conductance * state["node"] ** 2) + heat[::2].sum()),
        "contact": float(contact),
        "damper": float(damper),
    }


def reference(
    model: Model, y: Floats, times: Floats, *, sources: Sources = STEADY, rtol: float = 1e-10, flow: Flow | None = None
) -> Floats:
    """States (len(times), len(y)) by DOP853, halting at every moment an amplifier meets or leaves a rail (constant supply).

    `flow(t, y, rails)` takes the place of `rhs`, for instance its compiled twin.
    """
    flow = flow or (lambda t, y, rails: rhs(model, t, y, sources, rails))
    y, t = y.copy(), times[0]
    rails = rails_of(model, unpack(model, y), sources.supply(t))
    found = [y[None]]
    while t < times[-1]:
        later = times[times > t]
        events = [rail_event(model, a, rails, sources) for a in range(len(rails))]
        run = solve_ivp(flow, (t, times[-1]), y, "DOP853", later, events=events, args=(rails,), rtol=rtol, atol=absolute(model, rtol))
        if not run.success:
            raise ArithmeticError(run.message)
        if len(run.t):
            found.append(run.y.T)
        t, y, rails = after_event(model, run, rails, sources)
    return np.concatenate(found)


def absolute(model: Model, rtol: float) -> Floats:
    """Absolute tolerance of every state, of the size of what matters in it."""
    state = {"q": 1e-5, "v": 1e-2, "flux": 1e-5, "eddy": 1e-6, "node": 1e-3, "allpass": 1e-3, "output": 1.0, "capacitor": 1.0}
    modes = model.strings.frequency.size
    loops = len(model.amplifiers.gain)
    sizes = {"q": modes, "v": modes, "flux": 2 * loops, "eddy": model.cores.share.size}
    return rtol * np.concatenate([np.full(sizes.get(name, loops), size) for name, size in state.items()])


def rail_event(model: Model, a: int, rails: NDArray[np.int64], sources: Sources) -> Callable[[float, Floats], float]:
    """Crosses zero when amplifier a meets a rail (if free) or is called back from it (if not)."""

    def distance(t: float, y: Floats, *_: object) -> float:
        state, supply = unpack(model, y), sources.supply(t)
        if rails[a]:
            return float(rails[a] * output_slope(model, state)[a])
        v = state["output"][a]
        return float(min(model.amplifiers.high[a] * supply - v, v - model.amplifiers.low[a] * supply))

    distance.terminal = True
    distance.direction = -1
    return distance


def after_event(model: Model, run, rails: NDArray[np.int64], sources: Sources) -> tuple[float, Floats, NDArray[np.int64]]:
    if run.status != 1:
        return run.t[-1], run.y[:, -1], rails
    a = next(k for k, moments in enumerate(run.t_events) if len(moments))
    t, y = run.t_events[a][0], run.y_events[a][0].copy()
    rails = rails.copy()
    middle = (model.amplifiers.high[a] + model.amplifiers.low[a]) / 2 * sources.supply(t)
    rails[a] = 0 if rails[a] else int(np.sign(unpack(model, y)["output"][a] - middle))
    return t, y, rails
