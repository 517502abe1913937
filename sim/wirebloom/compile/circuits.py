"""Loops of the rig → coil circuits and amplifiers."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from wirebloom.compile.poles import Pole
from wirebloom.errors import RigError
from wirebloom.kernels.layout import Amplifiers, Circuits, Cores, Floats
from wirebloom.physics.coil import mutual_inductance
from wirebloom.rig import Amplifier, Loop, Phase, Rig
from wirebloom.rig.dimensions import INDUCTANCE
from wirebloom.rig.quantities import shown
from wirebloom.rig.sentences import sentence
from wirebloom.rig.wires import resistance_at

BOLTZMANN = 1.380649e-23  # J/K, exact in the SI of 2019
PHASE_WEIGHTS = {"ideal lag": (-1.0, 2.0), "ideal lead": (1.0, -2.0)}  # ± (2x − e), the all-pass ∓ (s − a)/(s + a)


def circuits_of(rig: Rig) -> dict[str, int]:
    """Circuit of every head that belongs to a loop: 2a for the sense heads of loop a, 2a + 1 for its drive heads."""
    return {name: 2 * a + d for a, loop in enumerate(rig.loops) for d, names in enumerate((loop.sense, loop.drive)) for name in names}


def swing(amplifier: Amplifier) -> tuple[float, float, float]:
    """Lowest and highest output without bias, and bias, V."""
    half = amplifier.supply / 2.0 if amplifier.supply_kind == "single" else amplifier.supply
    bias = half if amplifier.supply_kind == "single" else 0.0
    return -(half - amplifier.headroom), half - amplifier.headroom, bias


def series_elastance(loop: Loop) -> float:
    """1/C of output and series capacitor together, F⁻¹. One state for both: two would leave a charge that nothing moves."""
    capacitors = (loop.output.capacitor, loop.phase.capacitor)
    return sum(1.0 / c for c in capacitors if c is not None)


def by_head(poles: Sequence[Pole]) -> dict[str, Pole]:
    """A pole of every head, for what depends on the head alone."""
    return {pole.head.name: pole for pole in reversed(poles)}


def winding_resistance(rig: Rig, heads: dict[str, Pole], names: Sequence[str]) -> float:
    """Coils in series at the temperature of the room, Ω."""
    return sum(resistance_at(heads[name].table.resistance, rig.room.temperature) for name in names)


def mutual_inductances(rig: Rig, poles: Sequence[Pole]) -> dict[frozenset[str], float]:
    """Mutual inductance of every pair of heads, H, for coils wound alike: the stated one, else that of two far dipoles.

    Heads that share no string stand at an unknown distance: nothing is assumed between them.
    """
    found: dict[frozenset[str], float] = {}
    for a, b in combinations(poles, 2):
        if a.string == b.string and a.head.name != b.head.name and a.table.dipole and b.table.dipole:
            apart = (a.place.position, a.place.offset), (b.place.position, b.place.offset)
            found[frozenset((a.head.name, b.head.name))] = mutual_inductance(a.table, apart[0], b.table, apart[1])
    for coupling in rig.couplings:
        found[frozenset(coupling.heads)] = coupling.mutual
    return found


def check_couplings(rig: Rig, heads: dict[str, Pole]) -> None:
    """Refuse a stated coupling of more flux than a coil has: its energy would have no lowest value.

    Raises
    ------
    RigError
        If a mutual inductance reaches √(L₁ L₂).
    """
    for index, coupling in enumerate(rig.couplings):
        one, other = (heads[name].table.inductance for name in coupling.heads)
        most = (one * other) ** 0.5
        if abs(coupling.mutual) >= most:
            what = f"within ± {shown(most, INDUCTANCE)} (√(L₁ L₂)), where all the flux of one coil passes the other"
            raise RigError(sentence(f"couplings[{index}].mutual", what, shown(coupling.mutual, INDUCTANCE)))


def inductance_matrix(rig: Rig, poles: Sequence[Pole]) -> Floats:
    """L⁰ of all circuits, (2A, 2A), H: coils in series, mutual terms with the sense of each winding.

    Raises
    ------
    RigError
        If a stated coupling is one that no two coils can have.
    """
    heads, where = by_head(poles), circuits_of(rig)
    check_couplings(rig, heads)
    sign = {head.name: -1.0 if head.reversed else 1.0 for head in rig.heads}
    matrix = np.zeros((2 * len(rig.loops),) * 2)
    for name, c in where.items():
        matrix[c, c] += heads[name].table.inductance
    for pair, mutual in mutual_inductances(rig, poles).items():
        a, b = sorted(pair)
        if a in where and b in where:
            matrix[where[a], where[b]] += sign[a] * sign[b] * mutual
            matrix[where[b], where[a]] += sign[a] * sign[b] * mutual
    _require_passive(matrix)
    return matrix


def _require_passive(matrix: Floats) -> None:
    """All couplings together must leave no current without an energy: each pair alone can be possible, and all of them not."""
    if matrix.size and np.linalg.eigvalsh(matrix)[0] <= 0.0:
        raise RigError(sentence("couplings", "such as coils can have all at once", "a set whose signs contradict one another"))


def lay_out_circuits(rig: Rig, poles: Sequence[Pole]) -> Circuits:
    """Coil circuits as the loop takes them."""
    heads = by_head(poles)
    resistance, elastance = np.zeros(2 * len(rig.loops)), np.zeros(2 * len(rig.loops))
    for a, loop in enumerate(rig.loops):
        amp = loop.amplifier
        resistance[2 * a] = winding_resistance(rig, heads, loop.sense)
        resistance[2 * a + 1] = winding_resistance(rig, heads, loop.drive) + amp.output_resistance + amp.level_resistor
        elastance[2 * a + 1] = series_elastance(loop)
    return Circuits(inductance_matrix(rig, poles), resistance, elastance, stray_areas(rig, heads))


def stray_areas(rig: Rig, heads: dict[str, Pole]) -> Floats:
    """Flux of every circuit per stray flux density along the axes of its heads, (C,), m².

    By reciprocity that is a coil's moment per ampere, its core's included: what it would do to a far loop, that loop does to it.
    """
    areas = np.zeros(2 * len(rig.loops))
    signs = {head.name: -1.0 if head.reversed else 1.0 for head in rig.heads}
    for name, c in circuits_of(rig).items():
        areas[c] += signs[name] * heads[name].table.dipole
    return areas


def lay_out_cores(rig: Rig, poles: Sequence[Pole]) -> Cores:
    """Solid cores of all heads that belong to a loop, as the loop takes them; `poles` as it takes them too."""
    where = circuits_of(rig)
    solid = {name: pole.table.ladder for name, pole in by_head(poles).items() if name in where and np.any(pole.table.ladder)}
    number = {name: g for g, name in enumerate(solid)}
    ladder = np.array(list(solid.values())).reshape(-1, 2, 3)
    return Cores(
        circuit=np.array([where[name] for name in solid], dtype=np.int64),
        under=np.array([number.get(pole.head.name, -1) for pole in poles], dtype=np.int64),
        inductance=ladder[:, :, 0].copy(),
        resistance=ladder[:, :, 1].copy(),
        share=ladder[:, :, 2].copy(),
    )


def phase_weights(phase: Phase) -> tuple[float, float, float]:
    """Rate of the all-pass (rad/s) and the weights of its input and of its state.

    lag: (a − s)/(a + s), −90° at a; lead: its negative, +90° at a.
    """
    direct, lagged = PHASE_WEIGHTS.get(phase.kind, (1.0, 0.0))
    return 2.0 * np.pi * (phase.frequency or 0.0), direct, lagged


def lay_out_amplifiers(rig: Rig, circuits: Circuits, step: float) -> Amplifiers:
    """Amplifiers as the loop takes them; noise as rms per step of `step` s: one-sided density S gives √(S/(2h))."""
    amps = [loop.amplifier for loop in rig.loops]
    phases = np.array([phase_weights(loop.phase) for loop in rig.loops]).reshape(-1, 3)
    swings = np.array([swing(amp) for amp in amps]).reshape(-1, 3)

    def each(values: Sequence[float]) -> Floats:
        return np.array(list(values), dtype=float)

    return Amplifiers(
        node_capacitance=each([amp.coil_capacitance + amp.input_capacitance for amp in amps]),
        node_conductance=each([1.0 / amp.input_resistance for amp in amps]),
        allpass_rate=phases[:, 0].copy(),
        direct=phases[:, 1].copy(),
        lagged=phases[:, 2].copy(),
        polarity=each([1.0 if amp.polarity == "normal" else -1.0 for amp in amps]),
        gain=each([amp.gain for amp in amps]),
        rate=each([2.0 * np.pi * amp.gain_bandwidth for amp in amps]),
        slew=each([amp.slew for amp in amps]),
        low=swings[:, 0].copy(),
        high=swings[:, 1].copy(),
        bias=swings[:, 2].copy(),
        offset=each([amp.input_offset for amp in amps]),
        coil_noise=np.sqrt(4.0 * BOLTZMANN * rig.room.temperature * circuits.resistance[0::2] / (2.0 * step)),
        input_noise=each([amp.noise / np.sqrt(2.0 * step) for amp in amps]),
    )
