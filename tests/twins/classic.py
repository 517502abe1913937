"""The loops of the twins as circuits and amplifiers with names of their own: sense node, all-pass, output, series capacitor.

The kernel knows none of these: it is handed rows over voltages and currents. `Classic` is a model with both descriptions, written
apart from each other, and `Plain` a state with the electrical states by name.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.kernels import layout

Floats = NDArray[np.float64]


class Circuits(NamedTuple):
    """λ = L(q) i + Λ(q); λ′ = V − R i (− v_C). Row 2a: sense coil of loop a, row 2a + 1: its drive coil."""

    inductance: Floats  # (C, C) without the wire's share, mutual terms off the diagonal, H
    resistance: Floats  # (C,) whole series resistance, Ω
    elastance: Floats  # (C,) 1/C of the series capacitor in the drive circuit, 0: none; sense rows 0, F⁻¹
    area: Floats  # (C,) flux from a uniform stray field, m²


class Amplifiers(NamedTuple):
    """v̇ = clip(rate·(u − v/G), ±slew), v held within the swing; u = polarity·(direct·e + lagged·x) + noise."""

    node_capacitance: Floats  # (A,) F
    node_conductance: Floats  # (A,) S
    allpass_rate: Floats  # (A,) a in ẋ = a(e − x), rad/s (0: no all-pass)
    direct: Floats  # (A,) weight of the node voltage e
    lagged: Floats  # (A,) weight of the all-pass state x
    polarity: Floats  # (A,) ±1
    gain: Floats  # (A,)
    rate: Floats  # (A,) rad/s
    slew: Floats  # (A,) V/s
    low: Floats  # (A,) lower swing limit at full supply, V
    high: Floats  # (A,) upper swing limit at full supply, V
    bias: Floats  # (A,) resting output at full supply, V
    offset: Floats  # (A,) input offset, V
    coil_noise: Floats  # (A,) rms per step of the sense coil's thermal EMF, V
    input_noise: Floats  # (A,) rms per step of the amplifier's own noise, V


class Classic(NamedTuple):
    """A layout.Model, field for field, and the same electronics by name behind it."""

    step: float
    strings: layout.Strings
    full: layout.Rotation
    ahead: layout.Rotation
    back: layout.Rotation
    fine: layout.Rotation
    half_fine: layout.Rotation
    poles: layout.Poles
    tables: layout.Tables
    contacts: layout.Contacts
    dampers: layout.Dampers
    drivers: layout.Drivers
    coils: layout.Coils
    cores: layout.Cores
    network: layout.Network
    stages: layout.Stages
    circuits: Circuits
    amplifiers: Amplifiers


STATES = 3  # of every loop in x: node, all-pass, series capacitor


class Electrical(NamedTuple):
    """The network's states by name, (A,) V each; views into x."""

    node: Floats
    allpass: Floats
    capacitor: Floats


def named(x: Floats) -> Electrical:
    """The parts of x (3A,): node, all-pass and capacitor of loop 0, then those of loop 1 …"""
    return Electrical(x[0::STATES], x[1::STATES], x[2::STATES])


def lined_up(node: Floats, allpass: Floats, capacitor: Floats) -> Floats:
    return np.stack([node, allpass, capacitor], axis=1).ravel()


def coils_of(circuits: Circuits, amps: Amplifiers) -> layout.Coils:
    noise = np.zeros(circuits.area.size)
    noise[::2] = amps.coil_noise
    return layout.Coils(circuits.inductance, circuits.area, noise)


def network_of(circuits: Circuits, amps: Amplifiers) -> layout.Network:
    """The rows of loops with a sense node, an all-pass and a series capacitor, written out entry by entry.

    A loop without a series capacitor keeps a state that nothing moves.
    """
    loops = amps.gain.size
    x, coils = STATES * loops, 2 * loops
    size = x + coils + loops + 1
    supply = size - 1
    rate, inertia, voltage = np.zeros((x, size)), np.zeros(x), np.zeros((coils, size))
    heard, given, high, low = (np.zeros((loops, size)) for _ in range(4))
    heat, homes = np.zeros((3 * loops, size)), np.zeros(3 * loops, dtype=np.int64)
    power, meter = np.zeros((loops, 2, size)), np.zeros((4, loops, size))
    for a in range(loops):
        node, allpass, capacitor, sense, drive, output = 3 * a, 3 * a + 1, 3 * a + 2, x + 2 * a, x + 2 * a + 1, x + coils + a
        elastance = circuits.elastance[2 * a + 1]
        rate[node, sense] = -1.0 / amps.node_capacitance[a]
        rate[node, node] = -amps.node_conductance[a] / amps.node_capacitance[a]
        rate[allpass, node], rate[allpass, allpass] = amps.allpass_rate[a], -amps.allpass_rate[a]
        rate[capacitor, drive] = elastance
        inertia[node], inertia[capacitor] = amps.node_capacitance[a], 1.0 / elastance if elastance > 0.0 else 0.0
        voltage[2 * a, node], voltage[2 * a, sense] = 1.0, -circuits.resistance[2 * a]
        voltage[2 * a + 1, [output, capacitor, supply]] = 1.0, -1.0, amps.bias[a]
        voltage[2 * a + 1, drive] = -circuits.resistance[2 * a + 1]
        heard[a, node], heard[a, allpass] = amps.polarity[a] * amps.direct[a], amps.polarity[a] * amps.lagged[a]
        given[a, drive] = 1.0
        high[a, supply], low[a, supply] = amps.high[a], amps.low[a]
        heat[3 * a, sense], heat[3 * a + 1, drive] = np.sqrt(circuits.resistance[2 * a]), np.sqrt(circuits.resistance[2 * a + 1])
        heat[3 * a + 2, node] = np.sqrt(amps.node_conductance[a])
        homes[3 * a : 3 * a + 3] = 2 * a, 2 * a + 1, 2 * a
        power[a, 0, [output, supply]], power[a, 1, drive] = (1.0, amps.bias[a]), 1.0
        meter[0, a, node] = 1.0
        meter[1, a, [output, supply]] = 1.0, amps.bias[a]
        meter[2, a, capacitor] = 1.0
        meter[3, a, supply] = amps.high[a] - amps.low[a]
    return layout.Network(
        rate, voltage, heard, given, high, low, heat, homes, power, np.arange(loops), meter.reshape(4 * loops, size), inertia
    )


def stages_of(amps: Amplifiers) -> layout.Stages:
    loops = amps.gain.size
    nothing, endless = np.zeros(loops), np.full(loops, np.inf)
    return layout.Stages(
        loop=np.arange(loops),
        gain=amps.gain,
        rate=amps.rate,
        slew=amps.slew,
        headroom_high=nothing,
        headroom_low=nothing,
        bend=nothing,
        limit=endless,
        offset=amps.offset,
        noise=amps.input_noise,
        quiescent=nothing,
        target=endless,
        attack=nothing,
        release=nothing,
        least=nothing,
    )


class Plain(layout.State):
    """A state of the time loop whose network is that of `network_of`, with its parts by name (views)."""

    __slots__ = ()

    @property
    def node(self) -> Floats:
        return named(self.x).node

    @property
    def allpass(self) -> Floats:
        return named(self.x).allpass

    @property
    def capacitor(self) -> Floats:
        return named(self.x).capacitor
