"""The named tuples of a model, laid side by side in the few arrays that the loop's inner functions take. Plain numpy."""

from typing import NamedTuple

import numpy as np

from wirebloom.kernels import circuit, contact, modes
from wirebloom.kernels.layout import Amplifiers, Circuits, Contacts, Cores, Dampers, Floats, Ints, Model, Rotation, State, Strings


class Packed(NamedTuple):
    """A Model as the loop takes it."""

    loops: tuple[float, ...]  # one entry a loop: its length fixes the size of the circuits when the code is compiled
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


class Working(NamedTuple):
    """A State as the loop takes it, and the loop's scratch."""

    q: Floats  # (S, 2, N) m
    v: Floats  # (S, 2, N) m/s
    bank: Floats  # (A, 36) every loop's constants, state, scratch and energies
    mesh: Floats  # (C, 5 + 3C + A) every circuit's flux, currents and matrices
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


def turns(rotation: Rotation) -> Floats:
    """The four coefficient arrays of a Rotation side by side: (S, 2, 4, N), rows QQ, QV, VQ, VV of `modes`."""
    return np.ascontiguousarray(np.stack([rotation.qq, rotation.qv, rotation.vq, rotation.vv], axis=2))


def gears(h: float, circuits: Circuits, amplifiers: Amplifiers) -> Floats:
    """Constants of every loop for a step h (s): the first 21 columns of its bank, (A, 21)."""
    half = 0.5 * h
    a = amplifiers
    gear = np.zeros((a.gain.size, circuit.NODE))
    lag = half * a.allpass_rate
    settle = 1.0 / (1.0 + half * a.rate / a.gain)
    per_farad = half / a.node_capacitance
    columns = {
        circuit.PER_FARAD: per_farad,
        circuit.KEEP: 1.0 / (1.0 + per_farad * a.node_conductance),
        circuit.LAG: lag,
        circuit.PER_NODE: a.polarity * (a.direct + a.lagged * lag / (1.0 + lag)),
        circuit.PER_LAG: a.polarity * a.lagged / (1.0 + lag),
        circuit.OFFSET: a.offset,
        circuit.SETTLE: settle,
        circuit.PUSH: half * a.rate * settle,
        circuit.SLEW: half * a.slew,
        circuit.LOW: a.low,
        circuit.HIGH: a.high,
        circuit.BIAS: a.bias,
        circuit.COIL_NOISE: a.coil_noise,
        circuit.INPUT_NOISE: a.input_noise,
        circuit.CHARGE: h * circuits.elastance[1::2],
        circuit.R_SENSE: circuits.resistance[0::2],
        circuit.R_DRIVE: circuits.resistance[1::2],
        circuit.G_NODE: a.node_conductance,
        circuit.HALF: np.full(a.gain.size, half),
        circuit.A_SENSE: circuits.area[0::2],
        circuit.A_DRIVE: circuits.area[1::2],
    }
    for column, values in columns.items():
        gear[:, column] = values
    return gear


def open_inductance(inductance: Floats, cores: Cores) -> Floats:
    """L⁰ with all of the cores' shorted turns at no resistance, L∞: (C, C), H."""
    lessened = inductance.copy()
    np.subtract.at(lessened, (cores.circuit, cores.circuit), cores.inductance.sum(axis=1))
    return lessened


def middle_inductance(h: float, inductance: Floats, gear: Floats, cores: Cores) -> Floats:
    """L⁰ + (h/2)·R of every circuit, capacitances and cores included as they act over half a step h (s): (C, C), H."""
    half, stiff = gear[:, circuit.HALF], open_inductance(inductance, cores)
    held = cores.inductance * held_off(h, cores)
    np.add.at(stiff, (cores.circuit, cores.circuit), held.sum(axis=1))
    sense = half * (gear[:, circuit.R_SENSE] + gear[:, circuit.PER_FARAD] * gear[:, circuit.KEEP])
    drive = half * (gear[:, circuit.R_DRIVE] + 0.5 * gear[:, circuit.CHARGE])
    stiff[np.diag_indices_from(stiff)] += np.stack([sense, drive], axis=1).ravel()
    return stiff


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
    h, strings, poles, tables = model.step, model.strings, model.poles, model.tables
    body = [h * strings.inverse_mass, h * strings.stretch * strings.inverse_density, 0.5 / strings.inverse_mass]
    return Packed(
        loops=(1.0,) * model.amplifiers.gain.size,
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
    )


def make_mesh(h: float, inductance: Floats, gear: Floats, cores: Cores) -> Floats:
    """Circuits with their two matrices for a step h (s) filled in: (C, 5 + 3C + A)."""
    size = inductance.shape[0]
    mesh = np.zeros((size, circuit.INDUCTANCE + 3 * size + size // 2))
    mesh[:, circuit.INDUCTANCE : circuit.INDUCTANCE + size] = open_inductance(inductance, cores)
    mesh[:, circuit.INDUCTANCE + size : circuit.INDUCTANCE + 2 * size] = middle_inductance(h, inductance, gear, cores)
    return mesh


LOOP_COLUMNS = {
    "node": circuit.NODE,
    "allpass": circuit.ALLPASS,
    "output": circuit.OUTPUT,
    "capacitor": circuit.CAPACITOR,
    "supplied": circuit.SUPPLIED,
    "drive_heat": circuit.DRIVE_HEAT,
    "sense_heat": circuit.SENSE_HEAT,
    "noise_work": circuit.NOISE_WORK,
}


def take_up(state: State, model: Model) -> Working:
    """A working copy of a state, with fresh scratch. Arrays that have the same form are shared with the state."""
    poles, loops, points = state.last_gap.size, state.output.size, state.contact.size
    touch, bank = np.zeros((points, 4)), np.zeros((loops, circuit.BANK))
    touch[:, contact.PSI], touch[:, contact.LOST] = state.contact, state.contact_loss
    bank[:, : circuit.NODE] = gears(model.step, model.circuits, model.amplifiers)
    for name, column in LOOP_COLUMNS.items():
        bank[:, column] = getattr(state, name)
    mesh = make_mesh(model.step, model.circuits.inductance, bank, model.cores)
    mesh[:, circuit.FLUX] = state.flux
    return Working(
        q=state.q,
        v=state.v,
        bank=bank,
        mesh=mesh,
        iron=make_iron(model.step, model.cores, state.eddy),
        touch=touch,
        previous=model.poles.gap - state.last_gap,
        clock=state.clock,
        work=state.work,
        damper_loss=state.damper_loss,
        driver_work=state.driver_work,
        wire=np.zeros((poles, 12)),
        bent=np.zeros(state.q.shape[0]),
        spare=np.zeros((2, state.q.shape[2])),
    )


def put_down(working: Working, state: State, model: Model) -> None:
    """Write a working copy back into its state."""
    state.last_gap[:] = model.poles.gap - working.previous
    state.flux[:] = working.mesh[:, circuit.FLUX]
    state.eddy[:] = working.iron[:, circuit.EDDY : circuit.EDDY + 2]
    for name, column in LOOP_COLUMNS.items():
        getattr(state, name)[:] = working.bank[:, column]
    state.contact[:], state.contact_loss[:] = working.touch[:, contact.PSI], working.touch[:, contact.LOST]
