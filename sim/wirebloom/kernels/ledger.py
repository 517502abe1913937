"""What is stored where, at a whole step. Plain numpy: it runs once a frame, not once a step."""

from typing import NamedTuple

import numpy as np

from wirebloom.kernels.circuit import CHANGE, IRON, LINKAGE, LINKED
from wirebloom.kernels.compiler import routine
from wirebloom.kernels.layout import Floats, Model, Rotation, State
from wirebloom.kernels.pack import Packed, open_inductance, pack
from wirebloom.kernels.poles import link


class Stored(NamedTuple):
    """Energies at a whole step, J."""

    modal: Floats  # (S,) ½m Σ(v² + ω²q²)
    tension: Floats  # (S,) of the stretching, ΔT²L/(2EA)
    magnetic: float  # ½(λ − Λ)ᵀ i − Σ W₀; W₀ counts from the wire far away
    electric: float  # in capacitors, and in inductors that are no coils of heads
    contact: float

    def total(self) -> float:
        """All of it, J."""
        return float(self.modal.sum() + self.tension.sum()) + self.magnetic + self.electric + self.contact


@routine
def link_wires(loops, solid, coefficient, axes, pole, rest, moved, wire, mesh, iron):
    """`link` for callers outside the loop."""
    link(loops, solid, coefficient, axes, pole, rest, moved, wire, mesh, iron)


def wires_at(packed: Packed, moved: Floats) -> tuple[Floats, Floats]:
    """Table values of every pole (J, 12) and what they add to every circuit, columns CHANGE and LINKAGE, at motion (J, 2) (m)."""
    wire, mesh, _ = _linked(packed, moved)
    return wire, mesh


def _linked(packed: Packed, moved: Floats) -> tuple[Floats, Floats, Floats]:
    """The same, and Λ (H,) over every solid core, Wb."""
    loops = packed.sizes[0]
    wire, mesh = np.zeros((moved.shape[0], 12)), np.zeros((2 * len(loops), LINKAGE + 1))
    iron, moved = np.zeros((packed.home.size, IRON)), np.ascontiguousarray(moved)
    link_wires(loops, packed.solid, packed.coefficient, packed.axes, packed.pole, packed.rest, moved, wire, mesh, iron)
    return wire, mesh, iron[:, LINKED]


def linkages(model: Model, moved: Floats) -> Floats:
    """Flux linkage of every circuit (C,), Wb, with no current, at motion (J, 2) (m)."""
    return wires_at(pack(model), moved)[1][:, LINKAGE].copy()


def core_linkages(model: Model, moved: Floats) -> Floats:
    """Flux linkage of every stage of every solid core (H, 2), Wb, with no current, at motion (J, 2) (m)."""
    return model.cores.share * _linked(pack(model), moved)[2][:, None]


def turned(q: Floats, v: Floats, turn: Rotation) -> tuple[Floats, Floats]:
    """Modal displacement and velocity after a rotation, as copies."""
    return turn.qq * q + turn.qv * v, turn.vq * q + turn.vv * v


def pole_strings(model: Model) -> np.ndarray:
    """String of every pole, (J,)."""
    return np.repeat(np.arange(model.poles.first.size - 1), np.diff(model.poles.first))


def pole_motion(model: Model, q: Floats) -> Floats:
    """Motion at every pole, (J, 2), m, of modal displacements (S, 2, N)."""
    return np.asarray(np.einsum("jn,jpn->jp", model.poles.weight, q[pole_strings(model)]))


def magnetic_energy(model: Model, packed: Packed, q: Floats, flux: Floats, eddy: Floats) -> float:
    """½(λ − Λ)ᵀ i − Σ W₀ of all circuits, cores and wires, J; eddy (H, 2) flux linkages of the cores, Wb."""
    wire, coil, linked = _linked(packed, pole_motion(model, q))
    driven, free = flux - coil[:, LINKAGE], eddy - model.cores.share * linked[:, None]
    lent, bound = np.zeros_like(flux), np.diag(coil[:, CHANGE])
    np.add.at(lent, model.cores.circuit, free.sum(axis=1))
    current = np.linalg.solve(open_inductance(model.coils.inductance, model.cores) + bound, driven - lent)
    stages = free / model.cores.inductance - current[model.cores.circuit][:, None]
    return float(0.5 * (driven @ current + np.sum(free * stages)) - wire[:, 0].sum())


def electric_energy(model: Model, state: State) -> float:
    """Energy in the capacitors and inductors of the network, J."""
    return float(0.5 * (model.network.inertia @ state.x**2))


def stored(model: Model, packed: Packed, state: State) -> Stored:
    """All stored energies, with the modes turned back to where the circuits stand."""
    q, v = turned(state.q, state.v, model.back)
    strings = model.strings
    mass = 1.0 / strings.inverse_mass
    pace = strings.frequency * q
    motion = np.einsum("spn,spn->s", v, v) + np.einsum("spn,spn->s", pace, pace)
    tighter = strings.stretch * np.einsum("sn,spn,spn->s", strings.curvature, q, q)
    length = 2.0 * mass * strings.inverse_density
    return Stored(
        modal=0.5 * mass * motion,
        tension=tighter**2 * length / (8.0 * strings.stretch),
        magnetic=magnetic_energy(model, packed, q, state.flux, state.eddy),
        electric=electric_energy(model, state),
        contact=float(0.5 * (state.contact**2).sum()),
    )
