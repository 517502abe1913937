"""What every part of a circuit must bear: power in resistors, voltage over capacitors, current out of stages.

Each stage is taken for a source of a square wave over its whole swing, for that is what a string that feeds itself to the limit
makes of it. Its fundamental's size stands for the wave: a square wave of this peak has this rms. Among frequencies from 20 Hz to
5 kHz the worst one counts; what rests under direct voltage is added, as power in resistors, as a sum elsewhere.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.circuit.nodal import merged, of_kind
from wirebloom.circuit.parts import Capacitor, Inductor, Netlist, Resistor, Stage
from wirebloom.circuit.steady import steady
from wirebloom.kernels.layout import Floats, Network, Stages

AT = np.geomspace(20.0, 5e3, 33)  # Hz


class Stress(NamedTuple):
    """By names of parts: W in every resistor, V over every capacitor, A out of every stage."""

    power: dict[str, float]
    voltage: dict[str, float]
    current: dict[str, float]


def stress_of(netlist: Netlist, network: Network, stages: Stages, inductance: Floats) -> Stress:
    """The most that every part has to bear.

    Parameters
    ----------
    netlist : Netlist
    network : Network
        Of that netlist.
    stages : Stages
        Of that netlist.
    inductance : (C, C) ndarray
        Of the coils, H.

    Returns
    -------
    Stress
    """
    parts, rest = merged(netlist.parts), steady(network, stages)
    swing = np.maximum((rest.high - rest.low) / 2.0, 0.0)
    waves = np.array([columns(network, inductance, hertz) for hertz in AT]) * swing
    ends = [frozenset((part.a, part.b)) for part in parts if isinstance(part, Capacitor | Inductor)]
    warm = [part.name for part in of_kind(parts, Resistor) if part.ohm > 0.0]
    power = (network.heat @ rest.column) ** 2 + _worst(network.heat, waves) ** 2
    voltage = np.abs(rest.state) + _worst(np.eye(len(ends), network.rate.shape[1]), waves)
    current = np.abs(network.given @ rest.column) + _worst(network.given, waves)
    between = dict(zip(ends, voltage.tolist(), strict=True))
    return Stress(
        power=dict(zip(warm, power.tolist(), strict=True)),
        voltage={part.name: between[frozenset((part.a, part.b))] for part in of_kind(netlist.parts, Capacitor)},
        current=dict(zip([stage.name for stage in of_kind(parts, Stage)], current.tolist(), strict=True)),
    )


def _worst(rows: Floats, waves: Floats) -> Floats:
    """Greatest size of rows·z over all frequencies, the stages' waves (F, Z, W) all in step."""
    return np.asarray(np.abs(rows @ waves).sum(axis=2).max(axis=0))


def columns(network: Network, inductance: Floats, hertz: float) -> np.ndarray:
    """z per volt of every stage's wave at one frequency, (Z, W), complex: states and coils follow, the stages themselves are given."""
    states, circuits, count = network.rate.shape[0], network.voltage.shape[0], network.heard.shape[0]
    following, known = states + circuits, states + circuits + count
    rows = np.concatenate([network.rate, network.voltage])
    inert = np.zeros((following, following))
    inert[:states, :states], inert[states:, states:] = np.eye(states), inductance
    found = np.zeros((network.rate.shape[1], count), dtype=complex)
    found[:following] = np.linalg.solve(2j * np.pi * hertz * inert - rows[:, :following], rows[:, following:known])
    found[following:known] = np.eye(count)
    return found
