"""What the electronics of every loop come to: swing, bias, gain, resistance of the drive circuit."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.circuit.parts import METERS, Netlist
from wirebloom.circuit.steady import Steady, steady
from wirebloom.kernels.layout import Floats, Model, Network, Stages

GAIN_AT = np.geomspace(20.0, 20e3, 61)  # Hz: the greatest gain among these counts


class Drive(NamedTuple):
    """Facts of one loop's electronics.

    gain: greatest, 20 Hz … 20 kHz, of the sense coil's open terminal voltage (its EMF with the sign turned) to the output;
    negative where the stages turn the sign. Swing without bias (V), its bias and the whole supply (V), direct resistance of the
    drive circuit (Ω), quiescent current of all stages (A).
    """

    gain: float
    low: float
    high: float
    bias: float
    supply: float
    resistance: float
    quiescent: float


def drives_of(netlist: Netlist, model: Model) -> tuple[Drive, ...]:
    """Of every loop of a rig."""
    network, stages = model.network, model.stages
    rest = steady(network, stages._replace(offset=np.zeros_like(stages.offset)))
    return tuple(_drive(a, len(netlist.loops), network, stages, rest) for a in range(len(netlist.loops)))


def _drive(a: int, loops: int, network: Network, stages: Stages, rest: Steady) -> Drive:
    own = np.nonzero(stages.loop == a)[0]
    last, coil = own[-1], 2 * a + 1
    output = METERS.index("output") * loops + a
    bias = float(network.meter[output] @ rest.column - rest.output[last])
    return Drive(
        gain=_greatest(-transfer(network, stages, 2 * a, network.meter[output], GAIN_AT)),
        low=float(rest.low[last]),
        high=float(rest.high[last]),
        bias=bias,
        supply=float(network.meter[METERS.index("supply") * loops + a] @ rest.column),
        resistance=float(-network.voltage[coil, network.rate.shape[0] + coil]),
        quiescent=float(stages.quiescent[own].sum()),
    )


def _greatest(response: Floats) -> float:
    """Size of the greatest of some complex values, with the sign of its real part."""
    most = response[np.argmax(np.abs(response))]
    return float(np.copysign(np.abs(most), most.real))


def transfer(network: Network, stages: Stages, coil: int, row: Floats, hertz: Floats) -> Floats:
    """Complex response of row·z to an EMF in one coil, at frequencies (F,), Hz; the coils without inductance, stages within limits."""
    states, circuits, count = network.rate.shape[0], network.voltage.shape[0], stages.gain.size
    known = states + circuits + count
    found = np.zeros(hertz.size, dtype=complex)
    for k, omega in enumerate(2.0 * np.pi * hertz):
        rows = [network.rate, network.voltage, stages.rate[:, None] * network.heard]
        matrix = np.concatenate(rows)[:, :known].astype(complex)
        matrix[np.arange(states), np.arange(states)] -= 1j * omega
        ends = np.arange(states + circuits, known)
        matrix[ends, ends] -= stages.rate / stages.gain + 1j * omega
        right = np.zeros(known)
        right[states + coil] = -1.0
        found[k] = row[:known] @ np.linalg.solve(matrix, right)
    return found
