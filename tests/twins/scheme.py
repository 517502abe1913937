"""One step of the stated scheme, the long way round: half kick, implicit midpoint circuit, point dampers, half kick, rotation.

Everything is solved with dense matrices and by trying every branch of the amplifiers' limits; nothing is eliminated by hand.
Contact is left out: the rigs compared with this twin keep clear of the faces.
"""

from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from twins.classic import Classic, Plain, lined_up
from twins.equations import (
    magnetic_forces,
    parted,
    pole_places,
    pole_string,
    tension_rise,
    whole_inductance,
    whole_linkage,
    whole_resistance,
)
from wirebloom.kernels.layout import Rotation

Floats = NDArray[np.float64]
BRANCHES = ("linear", "slew up", "slew down", "upper rail", "lower rail")


class Impulse(NamedTuple):
    """What reaches the rig from outside within one step."""

    supply: float
    noise: Floats  # (2A,): sense coils, then amplifiers
    force: Floats  # (X,) N
    stray: float = 0.0  # T/s


class Circuit(NamedTuple):
    """ż = matrix·z + constant + drive·v̄ of z = (λ of coils and cores, e, x, v_C), and u = reading·z + bias_input."""

    matrix: Floats
    constant: Floats
    drive: Floats  # (size, A)
    reading: Floats  # (A, size)
    input_offset: Floats  # (A,)


class Answer(NamedTuple):
    """Mean input of the amplifiers as a function of their mean outputs: ū = still + response·v̄."""

    still: Floats  # (A,) V
    response: Floats  # (A, A)


def rotate(rotation: Rotation, q: Floats, v: Floats) -> tuple[Floats, Floats]:
    return rotation.qq * q + rotation.qv * v, rotation.vq * q + rotation.vv * v


def one_step(model: Classic, state: Plain, impulse: Impulse) -> tuple[Plain, dict[str, Floats]]:
    """State one step later, and what the step would leave in the record."""
    h, q = model.step, state.q
    places = pole_places(model, q)
    inverse, magnets = np.linalg.inv(whole_inductance(model, places)), whole_linkage(model, places)
    later = circuit_step(model, state, impulse, inverse, magnets)
    before, after = (parted(model, inverse @ (flux - magnets)) for flux in (whole_flux(state._asdict()), whole_flux(later)))
    force = (magnetic_forces(model, places, *before) + magnetic_forces(model, places, *after)) / 2
    half_kick = h / 2 * kick(model, q, force, impulse.force)
    kicked = state.v + half_kick
    damped, damper_loss = damp(model, int(state.clock[0]), kicked)
    v = damped + half_kick
    middle = {name: (getattr(state, name) + later[name]) / 2 for name in later}
    current, eddy = parted(model, inverse @ (whole_flux(middle) - magnets))
    core_heat = np.zeros_like(current)
    np.add.at(core_heat, model.cores.circuit, h * np.sum(model.cores.resistance * eddy**2, axis=1))
    stray_work = -h * impulse.stray * model.circuits.area * current
    output = middle["output"] + model.amplifiers.bias * impulse.supply
    draw = np.stack([np.maximum(current[1::2], 0.0), np.maximum(-current[1::2], 0.0)], axis=1)
    new_q, new_v = rotate(model.full, q, v)
    record = {
        "displacement": np.array([q[s] @ w for s, w in zip(pole_string(model.poles.first), model.poles.weight, strict=True)]),
        "force": force,
        "current": current,
        "node": middle["node"],
        "output": output,
        "capacitor": middle["capacitor"],
        "supply": (model.amplifiers.high - model.amplifiers.low) * impulse.supply,
        "bridge": np.einsum("sn,spn->sp", model.strings.bridge, q),
    }
    resistance = model.circuits.resistance
    new = state._replace(
        q=new_q,
        v=new_v,
        flux=later["flux"],
        eddy=later["eddy"],
        x=lined_up(later["node"], later["allpass"], later["capacitor"]),
        output=later["output"],
        drawn=state.drawn + h * draw,
        clock=state.clock + 1,
        last_gap=np.array([place.gap for place in places]),
        work=state.work + np.einsum("s,spn->s", 0.5 / model.strings.inverse_mass, v**2 - state.v**2),
        supplied=state.supplied + h * output * current[1::2],
        drive_heat=state.drive_heat + h * resistance[1::2] * current[1::2] ** 2 + core_heat[1::2],
        sense_heat=state.sense_heat
        + h * (resistance[::2] * current[::2] ** 2 + model.amplifiers.node_conductance * middle["node"] ** 2)
        + core_heat[::2],
        noise_work=state.noise_work
        + h * model.amplifiers.coil_noise * impulse.noise[: len(output)] * current[::2]
        + stray_work[::2]
        + stray_work[1::2],
        damper_loss=state.damper_loss + damper_loss,
        driver_work=state.driver_work + driver_work(model, (state.v + kicked + damped + v) / 4, impulse.force),
    )
    return new, record


def whole_flux(state: dict[str, Floats]) -> Floats:
    return np.concatenate([state["flux"], state["eddy"].ravel()])


def kick(model: Classic, q: Floats, magnetic: Floats, external: Floats) -> Floats:
    """Mean acceleration over the step at frozen displacement (S, 2, N), m/s²."""
    force = np.zeros_like(q)
    for j, s in enumerate(pole_string(model.poles.first)):
        force[s] += np.outer(magnetic[j], model.poles.weight[j])
    for x, s in enumerate(model.drivers.string):
        force[s, model.drivers.polarisation[x]] += external[x] * model.drivers.weight[x]
    strings = model.strings
    rise = (tension_rise(model, q) * strings.inverse_density)[:, None, None]
    return force * strings.inverse_mass[:, None, None] - rise * strings.curvature[:, None, :] * q


def damp(model: Classic, clock: int, v: Floats) -> tuple[Floats, Floats]:
    """Point dashpots for one step by the implicit midpoint rule, and the energy each takes."""
    v, dampers, loss = v.copy(), model.dampers, np.zeros(len(model.dampers.string))
    for d, s in enumerate(dampers.string):
        if not dampers.window[d, 0] <= clock < dampers.window[d, 1]:
            continue
        speed = v[s] @ dampers.weight[d]
        middle = speed / (1 + model.step * dampers.resistance[d] * dampers.strength[d] / 2)
        v[s] -= model.step * dampers.resistance[d] * model.strings.inverse_mass[s] * np.outer(middle, dampers.weight[d])
        loss[d] = model.step * dampers.resistance[d] * np.sum(middle**2)
    return v, loss


def driver_work(model: Classic, mean: Floats, force: Floats) -> Floats:
    drivers = model.drivers
    speeds = [mean[s, p] @ w for s, p, w in zip(drivers.string, drivers.polarisation, drivers.weight, strict=True)]
    return model.step * force * np.array(speeds).reshape(len(force))


def circuit_step(model: Classic, state: Plain, impulse: Impulse, inverse: Floats, magnets: Floats) -> dict[str, Floats]:
    """λ, λ_k, e, x, v_o, v_C after one implicit midpoint step at frozen displacement."""
    h, circuit = model.step, assemble(model, impulse, inverse, magnets)
    before = np.concatenate([whole_flux(state._asdict()), state.node, state.allpass, state.capacitor])
    solve = np.linalg.inv(np.eye(len(before)) - h / 2 * circuit.matrix)
    still = solve @ (before + h / 2 * circuit.constant)  # midpoint with v̄ = 0
    response = h / 2 * solve @ circuit.drive  # its change per volt of v̄
    answer = Answer(circuit.reading @ still + circuit.input_offset, circuit.reading @ response)
    output = settle(model, state.output, impulse.supply, answer)
    middle = still + response @ ((state.output + output) / 2)
    loops, coils = len(model.amplifiers.gain), len(magnets)
    whole, node, allpass, capacitor = np.split(2 * middle - before, [coils, coils + loops, coils + 2 * loops])
    flux, eddy = parted(model, whole)
    return {"flux": flux, "eddy": eddy, "node": node, "allpass": allpass, "output": output, "capacitor": capacitor}


def assemble(model: Classic, impulse: Impulse, inverse: Floats, magnets: Floats) -> Circuit:
    amp, circuits = model.amplifiers, model.circuits
    loops, coils = len(amp.gain), len(magnets)
    size = coils + 3 * loops
    matrix, constant, drive, reading = np.zeros((size, size)), np.zeros(size), np.zeros((size, loops)), np.zeros((loops, size))
    flux, resistance = slice(0, coils), whole_resistance(model)
    matrix[flux, flux] = -resistance[:, None] * inverse  # −R i, with i = L⁻¹(λ − Λ)
    constant[flux] = resistance * (inverse @ magnets)
    constant[: 2 * loops] -= circuits.area * impulse.stray
    for a in range(loops):
        sense, driven, e, x, v_c = 2 * a, 2 * a + 1, coils + a, coils + loops + a, coils + 2 * loops + a
        matrix[sense, e] += 1.0
        constant[sense] += amp.coil_noise[a] * impulse.noise[a]
        matrix[e, flux] = -inverse[sense] / amp.node_capacitance[a]
        constant[e] = inverse[sense] @ magnets / amp.node_capacitance[a]
        matrix[e, e] = -amp.node_conductance[a] / amp.node_capacitance[a]
        matrix[x, e], matrix[x, x] = amp.allpass_rate[a], -amp.allpass_rate[a]
        matrix[driven, v_c] = -1.0
        constant[driven] += amp.bias[a] * impulse.supply
        drive[driven, a] = 1.0
        matrix[v_c, flux] = circuits.elastance[driven] * inverse[driven]
        constant[v_c] = -circuits.elastance[driven] * (inverse[driven] @ magnets)
        reading[a, e], reading[a, x] = amp.polarity[a] * amp.direct[a], amp.polarity[a] * amp.lagged[a]
    return Circuit(matrix, constant, drive, reading, amp.offset + amp.input_noise * impulse.noise[loops:])


def settle(model: Classic, output: Floats, supply: float, answer: Answer) -> Floats:
    """The v⁺ with v⁺ = hold(v + h·clip(rate·(ū − v̄/G), ±slew)), ū = still + response·v̄, found by trying every branch."""
    best, least = output, np.inf
    for branches in product(BRANCHES, repeat=len(output)):
        later = solve_branch(model, output, supply, answer, branches)
        miss = float(np.max(np.abs(later - limited(model, output, later, supply, answer)), initial=0.0))
        if miss < least:
            best, least = later, miss
    return best


def limited(model: Classic, output: Floats, later: Floats, supply: float, answer: Answer) -> Floats:
    amp, middle = model.amplifiers, (output + later) / 2
    wanted = amp.rate * (answer.still + answer.response @ middle - middle / amp.gain)
    return np.clip(output + model.step * np.clip(wanted, -amp.slew, amp.slew), amp.low * supply, amp.high * supply)


def solve_branch(model: Classic, output: Floats, supply: float, answer: Answer, branches: tuple[str, ...]) -> Floats:
    """v⁺ if every amplifier sat in the named branch: rows of one linear system."""
    amp, h = model.amplifiers, model.step
    matrix, right = np.eye(len(output)), np.zeros(len(output))
    for a, branch in enumerate(branches):
        if branch == "linear":
            row = h * amp.rate[a] / 2 * (answer.response[a] - np.eye(len(output))[a] / amp.gain[a])
            matrix[a] -= row
            right[a] = output[a] + h * amp.rate[a] * answer.still[a] + row @ output
        else:
            slewed = {"slew up": output[a] + h * amp.slew[a], "slew down": output[a] - h * amp.slew[a]}
            right[a] = {**slewed, "upper rail": amp.high[a] * supply, "lower rail": amp.low[a] * supply}[branch]
    return np.linalg.solve(matrix, right)
