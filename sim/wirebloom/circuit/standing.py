"""Where electronics stand without a signal: supply up, all transients gone, every stage at rest or held at a rail by its offset.

Nothing changes there: x′ = 0, no voltage over a coil, e = v/gain of every stage that is not held.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.kernels.layout import Floats, Ints, Network, Stages

ROUNDS = 60  # of rails that give way and of stages that meet theirs; two or three do
ALIKE = 1e-12  # relative: no more change than that is none
FLAT = 1e-13  # share of the largest singular value below which nothing decides: a charge between two capacitors
PUSHED = 1e-9  # V that a held stage must want back before it is let go


class Sizes(NamedTuple):
    """How long the parts of z = (x, i, v, u) are."""

    states: int
    coils: int
    stages: int
    given: int

    @property
    def volts(self) -> slice:
        """The stages' places in z."""
        return slice(self.states + self.coils, self.states + self.coils + self.stages)

    @property
    def currents(self) -> slice:
        """The coils' places in z."""
        return slice(self.states, self.states + self.coils)

    @property
    def inner(self) -> int:
        """Length of (x, i, v)."""
        return self.states + self.coils + self.stages


class Standing(NamedTuple):
    """Electronics at rest.

    Attributes
    ----------
    z : (Z,) ndarray
        Capacitor voltages and inductor currents, coil currents, stages' voltages, supply and draws.
    held : (W,) ndarray of int
        1 for a stage that its offset holds at its high rail, −1 at its low one, 0 for a free one.
    """

    z: Floats
    held: Ints


def sizes(network: Network) -> Sizes:
    """Read the lengths of the parts of z off a network."""
    x, c, w = network.rate.shape[0], network.voltage.shape[0], network.heard.shape[0]
    return Sizes(x, c, w, network.rate.shape[1] - x - c - w)


def standing(network: Network, stages: Stages) -> Standing:
    """Direct voltages and currents of electronics with their supply fully up and nothing heard.

    Capacitors in line share their voltage evenly: nothing but their leakage decides.

    Parameters
    ----------
    network : Network
    stages : Stages

    Returns
    -------
    Standing
    """
    size, held = sizes(network), np.zeros(stages.gain.size, dtype=np.int64)
    z = np.zeros(size.inner + size.given)
    z[size.inner] = 1.0
    for _ in range(ROUNDS):
        before, was = z, held
        z = _balanced(network, stages, held, before)
        held = _held(network, stages, z, was)
        if np.array_equal(held, was) and np.allclose(z, before, rtol=ALIKE, atol=ALIKE):
            break
    return Standing(z, held)


def draws(network: Network, stages: Stages, z: Floats) -> Floats:
    """What every stage draws from its high rail and gives into its low one, (2W,), A."""
    given = network.given @ z
    return np.stack([np.maximum(given, 0.0), np.maximum(-given, 0.0)], axis=1).ravel() + np.repeat(stages.quiescent, 2)


def limits(network: Network, stages: Stages, z: Floats) -> tuple[Floats, Floats]:
    """Lowest and highest signal voltage of every stage at the rails of z, (W,) each, V."""
    given = network.given @ z
    lowest = network.low @ z + stages.headroom_low + stages.bend * np.maximum(-given, 0.0)
    highest = network.high @ z - stages.headroom_high - stages.bend * np.maximum(given, 0.0)
    return lowest, np.maximum(lowest, highest)


def _balanced(network: Network, stages: Stages, held: Ints, before: Floats) -> Floats:
    """z in balance with the held stages at their rails; what is drawn, and what a current takes off the swing, as `before`."""
    size = sizes(network)
    u = before[size.inner :].copy()
    u[1:] = draws(network, stages, before)[: size.given - 1]
    rows = np.concatenate([network.rate, network.voltage, _stage_rows(network, stages, held)])
    right = np.zeros(size.inner)
    right[size.volts] = np.where(held == 0, -stages.offset, _held_at(network, stages, held, before))
    scale = np.abs(rows).max(axis=1, initial=0.0)
    scale[scale == 0.0] = 1.0
    found = _least(rows[:, : size.inner] / scale[:, None], (right - rows[:, size.inner :] @ u) / scale)
    return np.concatenate([found, u])


def _least(matrix: Floats, right: Floats) -> Floats:
    """Smallest x with matrix x = right; ohms stand beside microsiemens in it, so the answer is refined by what it misses."""
    inverse, answer = np.linalg.pinv(matrix, rcond=FLAT), np.zeros(matrix.shape[1])
    for _ in range(3):
        answer += inverse @ (right - matrix @ answer)
    return answer


def _stage_rows(network: Network, stages: Stages, held: Ints) -> Floats:
    """heard − v/gain of every free stage, v − rail of every held one: (W, Z)."""
    own = np.zeros_like(network.heard)
    own[:, sizes(network).volts] = np.eye(held.size)
    rail = np.where((held > 0)[:, None], network.high, network.low)
    return np.where((held == 0)[:, None], network.heard - own / stages.gain[:, None], own - rail)


def _held_at(network: Network, stages: Stages, held: Ints, before: Floats) -> Floats:
    """How far off its rail a held stage stays (W,), V."""
    lowest, highest = limits(network, stages, before)
    return np.where(held > 0, highest - network.high @ before, lowest - network.low @ before)


def _held(network: Network, stages: Stages, z: Floats, was: Ints) -> Ints:
    """Hold what lies beyond its rails; let go of what its input pulls back from them."""
    volts, (lowest, highest) = z[sizes(network).volts], limits(network, stages, z)
    beyond = np.where(volts > highest, 1, np.where(volts < lowest, -1, 0))
    wanted = network.heard @ z + stages.offset - volts / stages.gain
    back = (was != 0) & (wanted * was < -PUSHED / stages.gain)
    return np.where(was == 0, beyond, np.where(back, 0, was))
