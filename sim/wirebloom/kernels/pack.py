"""The named tuples of a model, laid side by side in the few arrays that the loop's inner functions take. Plain numpy."""

from typing import NamedTuple

import numpy as np

from wirebloom.kernels import circuit, contact, desk, modes, stages
from wirebloom.kernels.folding import Folded, Sizes, fold_network, is_strict
from wirebloom.kernels.layout import Contacts, Cores, Dampers, Floats, Ints, Model, Rotation, Stages, State, Strings

RECENT = 8  # steps whose products are added up at once: the sums, more than registers can hold, are fetched and put back once in so many


class Packed(NamedTuple):
    """A Model as the loop takes it."""

    sizes: Sizes  # tuples whose lengths fix the sizes of the electronics when the code is compiled, see `desk`
    solid: tuple[float, ...]  # one entry if any core is solid, none: the code for eddy currents is left out
    step: float  # h, s
    body: Floats  # (S, 3): h/m (s/kg), h·stretch/μ, m/2 (kg)
    shape: Floats  # (S, 4, N): k² (m⁻²), bridge force per displacement (N/m), weights of the first two poles (0: none)
    full: Floats  # (S, 2, 4, N)
    fine: Floats  # (S, 2, 4, N)
    half_fine: Floats  # (S, 2, 4, N)
    first: Ints  # (S + 1, 2): first pole, first contact point
    weight: Floats  # (J, N)
    pole: Ints  # (J, 3): table, circuit, core
    rest: Floats  # (J, 3): gap, offset (m), sign
    coefficient: Floats  # (T, G, Y, 4)
    axes: Floats  # (T, 4) start (m) and 1/step (m⁻¹) of gap and offset
    law: Floats  # (K, 8)
    contact_pole: Ints  # (K,)
    contact_weight: Floats  # (K, N)
    outside: Ints  # (X, 2): string, polarisation
    outside_weight: Floats  # (X, N)
    damper: Ints  # (D, 3): string, first step, step after the last
    damper_body: Floats  # (D, 4): resistance (N·s/m), h·R·Σw²/(2m) (1), h/m (s/kg), m/2 (kg)
    damper_weight: Floats  # (D, N)
    home: Ints  # (H,) circuit of every solid core
    joules: Floats  # (3A, Z, Z) J that each product of two columns of the desk is worth: feeding each loop, then heat in each circuit


class Working(NamedTuple):
    """A State as the loop takes it, and the loop's scratch."""

    q: Floats  # (S, 2, N) m
    v: Floats  # (S, 2, N) m/s
    desk: Floats  # the network's state, scratch and constants, flat, see `desk`
    stage: Floats  # (W, 39 + W) every stage's constants, state and scratch
    mesh: Floats  # (C, 10 + 3C + W) every circuit's flux, currents, matrices and energies
    iron: Floats  # (H, 14) every solid core's constants, flux and currents
    touch: Floats  # (K, 4)
    previous: Floats  # (J,) motion towards the heads one step ago, m
    clock: Ints  # (1,)
    work: Floats  # (S,) J
    damper_loss: Floats  # (D,) J
    driver_work: Floats  # (X,) J
    wire: Floats  # (J, 12)
    bent: Floats  # (S,)
    spare: Floats  # (2, N) a row of modes put aside
    recent: Floats  # (8, Z) columns of the last steps
    products: Floats  # (Z, Z)


def turns(rotation: Rotation) -> Floats:
    """The four coefficient arrays of a Rotation side by side: (S, 2, 4, N), rows QQ, QV, VQ, VV of `modes`."""
    return np.ascontiguousarray(np.stack([rotation.qq, rotation.qv, rotation.vq, rotation.vv], axis=2))


def gears(h: float, amps: Stages, model: Model) -> Floats:
    """Constants of every stage for a step h (s): the first 16 columns of its row, (W, 16)."""
    settle = 1.0 / (1.0 + 0.5 * h * amps.rate / amps.gain)
    share = model.network.rate.shape[0] + model.network.voltage.shape[0] + amps.gain.size
    columns = {
        stages.SETTLE: settle,
        stages.PUSH: 0.5 * h * amps.rate * settle,
        stages.REACH: 0.5 * h * amps.slew,
        stages.HIGH: model.network.high[:, share],
        stages.LOW: model.network.low[:, share],
        stages.HEADROOM_HIGH: amps.headroom_high,
        stages.HEADROOM_LOW: amps.headroom_low,
        stages.BEND: amps.bend,
        stages.LIMIT: amps.limit,
        stages.OFFSET: amps.offset,
        stages.NOISE: amps.noise,
        stages.QUIESCENT: amps.quiescent,
        stages.TARGET: amps.target,
        stages.ATTACK: -np.expm1(-h * amps.attack),
        stages.RELEASE: -np.expm1(-h * amps.release),
        stages.LEAST: amps.least,
    }
    gear = np.zeros((amps.gain.size, stages.OUTPUT))
    for column, values in columns.items():
        gear[:, column] = values
    return gear


def open_inductance(inductance: Floats, cores: Cores) -> Floats:
    """L⁰ with all of the cores' shorted turns at no resistance, L∞: (C, C), H."""
    lessened = inductance.copy()
    np.subtract.at(lessened, (cores.circuit, cores.circuit), cores.inductance.sum(axis=1))
    return lessened


def middle_inductance(model: Model, folded: Folded) -> Floats:
    """L⁰ + (h/2)·R of all circuits, electronics and cores included as they act over half a step h (s): (C, C), H."""
    cores, coils = model.cores, model.coils.area.size
    stiff = open_inductance(model.coils.inductance, cores)
    held = cores.inductance * held_off(model.step, cores)
    np.add.at(stiff, (cores.circuit, cores.circuit), held.sum(axis=1))
    rows, first = desk.ahead(folded.sizes), desk.at_rest(folded.sizes)
    wide = folded.net[first * rows : (first + coils) * rows].reshape(coils, rows)
    return np.asarray(stiff - wide[:, :coils].T)


def held_off(h: float, cores: Cores) -> Floats:
    """(h/2)R_k/(L_k + (h/2)R_k): what the resistance of a shorted turn holds off within half a step h (s), (H, 2)."""
    fall = 0.5 * h * cores.resistance
    return fall / (cores.inductance + fall)


def make_iron(h: float, cores: Cores, eddy: Floats) -> Floats:
    """Constants of every solid core for a step h (s), and its flux eddy (H, 2) (Wb): (H, 14)."""
    iron = np.zeros((cores.circuit.size, circuit.IRON))
    columns = {
        circuit.HELD: held_off(h, cores),
        circuit.PER_HENRY: 1.0 / (cores.inductance + 0.5 * h * cores.resistance),
        circuit.FALL: h * cores.resistance,
        circuit.SHARE: cores.share,
        circuit.EDDY: eddy,
    }
    for column, values in columns.items():
        iron[:, column : column + 2] = values
    return iron


def laws(contacts: Contacts) -> Floats:
    """Constants of every contact point: law (K, 8), columns as named in `contact`."""
    law = np.zeros((contacts.stiffness.size, 8))
    law[:, contact.STRENGTH], law[:, contact.STIFFNESS] = contacts.strength, contacts.stiffness
    law[:, contact.EXPONENT], law[:, contact.LOSS] = contacts.exponent, contacts.loss
    law[:, contact.CORE : contact.FLANGE + 1] = contacts.radius
    law[:, contact.CORE_RECESS : contact.FLANGE_RECESS + 1] = contacts.recess
    return law


def shapes(model: Model) -> Floats:
    """What the passes over the modes read of each string: (S, 4, N), rows as named in `modes`."""
    strings, poles = model.strings, model.poles
    shape = np.zeros((poles.first.size - 1, 4, poles.weight.shape[1]))
    shape[:, modes.CURVATURE], shape[:, modes.BRIDGE] = strings.curvature, strings.bridge
    for s in range(poles.first.size - 1):
        own = poles.weight[poles.first[s] : min(poles.first[s] + 2, poles.first[s + 1])]
        shape[s, modes.FIRST : modes.FIRST + own.shape[0]] = own
    return shape


def damper_bodies(h: float, strings: Strings, dampers: Dampers) -> Floats:
    """Constants of the point dampers: (D, 4), columns as in Packed."""
    inverse_mass = strings.inverse_mass[dampers.string]
    ratio = 0.5 * h * dampers.resistance * dampers.strength
    return np.stack([dampers.resistance, ratio, h * inverse_mass, 0.5 / inverse_mass], axis=1)


def pack(model: Model) -> Packed:
    """Lay a model out for the loop."""
    folded = fold_network(model)
    h, strings, poles, tables = model.step, model.strings, model.poles, model.tables
    body = [h * strings.inverse_mass, h * strings.stretch * strings.inverse_density, 0.5 / strings.inverse_mass]
    return Packed(
        sizes=folded.sizes,
        solid=(1.0,) * min(1, model.cores.circuit.size),
        step=h,
        body=np.stack(body, axis=1),
        shape=shapes(model),
        full=turns(model.full),
        fine=turns(model.fine),
        half_fine=turns(model.half_fine),
        first=np.stack([poles.first, model.contacts.first], axis=1),
        weight=poles.weight,
        pole=np.stack([poles.table, poles.circuit, model.cores.under], axis=1),
        rest=np.stack([poles.gap, poles.offset, poles.sign], axis=1),
        coefficient=tables.coefficient,
        axes=np.stack([tables.gap_start, 1.0 / tables.gap_step, tables.offset_start, 1.0 / tables.offset_step], axis=1),
        law=laws(model.contacts),
        contact_pole=model.contacts.pole,
        contact_weight=model.contacts.weight,
        outside=np.stack([model.drivers.string, model.drivers.polarisation], axis=1),
        outside_weight=model.drivers.weight,
        damper=np.concatenate([model.dampers.string[:, None], model.dampers.window], axis=1),
        damper_body=damper_bodies(h, strings, model.dampers),
        damper_weight=model.dampers.weight,
        home=model.cores.circuit,
        joules=folded.joules,
    )


def make_mesh(model: Model, state: State, folded: Folded) -> Floats:
    """Circuits with their two matrices filled in, and their state: (C, 10 + 3C + W)."""
    size = model.coils.area.size
    mesh = np.zeros((size, circuit.INDUCTANCE + 3 * size + model.stages.gain.size))
    mesh[:, circuit.INDUCTANCE : circuit.INDUCTANCE + size] = open_inductance(model.coils.inductance, model.cores)
    mesh[:, circuit.INDUCTANCE + size : circuit.INDUCTANCE + 2 * size] = middle_inductance(model, folded)
    mesh[:, circuit.NOISE], mesh[:, circuit.AREA] = model.coils.noise, model.coils.area
    mesh[:, circuit.FLUX], mesh[:, circuit.HEAT], mesh[0::2, circuit.NOISE_WORK] = state.flux, state.core_heat, state.noise_work
    return mesh


def make_stages(model: Model, state: State) -> Floats:
    """Constants and state of every stage: (W, 39 + W)."""
    count = state.output.size
    rows = np.zeros((count, stages.MATRIX + count + 2))
    rows[:, : stages.OUTPUT] = gears(model.step, model.stages, model)
    rows[:, stages.OUTPUT], rows[:, stages.ENVELOPE] = state.output, state.envelope
    rows[:, stages.DRAW : stages.DRAW + 4] = state.draw.reshape(count, 4)
    rows[:, stages.DRAWN : stages.DRAWN + 2] = state.drawn
    return rows


def voltages(sizes: Sizes, states: int) -> slice:
    """Where the network's state stands on the desk."""
    return slice(desk.inputs(sizes), desk.inputs(sizes) + states)


def make_desk(folded: Folded, state: State) -> Floats:
    """A desk with the network's state and constants on it."""
    room = np.zeros(desk.net_ahead(folded.sizes))
    room[voltages(folded.sizes, state.x.size)] = state.x
    return np.concatenate([room, folded.net])


def energies(packed: Packed, state: State) -> tuple[Floats, Floats]:
    """What has fed each loop (A,), and what has become heat in each circuit (C,), J."""
    last, upper = state.recent[: state.clock[0] % RECENT], np.triu(state.products)
    found = np.tensordot(packed.joules, upper + np.triu(upper, 1).T + last.T @ last)
    return found[: state.supplied.size], found[state.supplied.size :] + state.core_heat


def take_up(state: State, model: Model) -> Working:
    """A working copy of a state, with fresh scratch. Arrays that have the same form are shared with the state."""
    folded = fold_network(model)
    touch = np.zeros((state.contact.size, 4))
    touch[:, contact.PSI], touch[:, contact.LOST] = state.contact, state.contact_loss
    return Working(
        q=state.q,
        v=state.v,
        desk=make_desk(folded, state),
        stage=make_stages(model, state),
        mesh=make_mesh(model, state, folded),
        iron=make_iron(model.step, model.cores, state.eddy),
        touch=touch,
        previous=model.poles.gap - state.last_gap,
        clock=state.clock,
        work=state.work,
        damper_loss=state.damper_loss,
        driver_work=state.driver_work,
        wire=np.zeros((state.last_gap.size, 12)),
        bent=np.zeros(state.q.shape[0]),
        spare=np.zeros((2, state.q.shape[2])),
        recent=state.recent,
        products=state.products,
    )


def put_down(working: Working, state: State, model: Model, packed: Packed) -> None:
    """Write a working copy back into its state."""
    state.last_gap[:] = model.poles.gap - working.previous
    state.flux[:] = working.mesh[:, circuit.FLUX]
    state.eddy[:] = working.iron[:, circuit.EDDY : circuit.EDDY + 2]
    strict = is_strict(model.network, model.stages)
    first = 1 + 2 * state.output.size * strict
    state.x[:] = working.desk[first : first + state.x.size]
    state.output[:], state.envelope[:] = working.stage[:, stages.OUTPUT], working.stage[:, stages.ENVELOPE]
    state.draw[:] = working.stage[:, stages.DRAW : stages.DRAW + 4].reshape(state.draw.shape)
    state.drawn[:] = working.stage[:, stages.DRAWN : stages.DRAWN + 2]
    state.core_heat[:], state.noise_work[:] = working.mesh[:, circuit.HEAT], working.mesh[0::2, circuit.NOISE_WORK]
    fed, heat = energies(packed, state)
    state.supplied[:], state.sense_heat[:], state.drive_heat[:] = fed, heat[0::2], heat[1::2]
    state.contact[:], state.contact_loss[:] = working.touch[:, contact.PSI], working.touch[:, contact.LOST]
