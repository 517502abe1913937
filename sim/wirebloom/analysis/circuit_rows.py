"""What a rig's electronics say of themselves, as rows over Y = (fluxes of coils and of cores' turns, x) and n = (v, draws from rails)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.analysis.operating import sizes
from wirebloom.analysis.wires import Magnetics
from wirebloom.kernels.layout import Floats, Ints, Model, Stages


class Rows(NamedTuple):
    """Everything over (Y, n)."""

    change: Floats  # (Y, Y + n) Y′
    z: Floats  # (Z, Y + n)
    current: Floats  # (C + 2H, Y + n) A

    @property
    def order(self) -> int:
        """Length of Y."""
        return int(self.change.shape[0])


class Part(NamedTuple):
    """What is moved when some fluxes are: nothing else leaves its rest.

    rows over its own (Y, n), its fluxes first; linked: places of these among all; own: its stages' places among all; stages: these.
    """

    rows: Rows
    linked: Ints
    own: Ints
    stages: Stages


def rows_of(model: Model, magnets: Magnetics) -> Rows:
    """Lay out the rows of a model at a working point."""
    network, size = model.network, sizes(model.network)
    fluxes = magnets.inductance.shape[0]
    order = fluxes + size.states
    width = order + size.stages + size.given - 1
    current = np.zeros((fluxes, width))
    current[:, :fluxes] = np.linalg.inv(magnets.inductance) if fluxes else np.zeros((0, 0))
    z = np.zeros((network.rate.shape[1], width))
    z[: size.states, fluxes:order] = np.eye(size.states)
    z[size.currents] = current[: size.coils]
    z[size.volts, order : order + size.stages] = np.eye(size.stages)
    z[size.inner + 1 :, order + size.stages :] = np.eye(size.given - 1)
    turns = -model.cores.resistance.ravel()[:, None] * current[size.coils :]
    return Rows(np.concatenate([network.voltage @ z, turns, network.rate @ z]), z, current)


def part_of(model: Model, rows: Rows, begun: Ints) -> Part:
    """What is moved by fluxes at these places: of a wall of strings, each with a loop of its own, one loop in all."""
    network, size, order = model.network, sizes(model.network), rows.order
    moved = np.arange(rows.change.shape[1])
    if size.given == 1:  # rails that give way join all stages
        told = np.stack([row @ rows.z for row in (network.heard, network.high, network.low, network.given)])
        moved = np.flatnonzero(_reached(np.concatenate([rows.change != 0.0, np.any(told != 0.0, axis=0)]), begun))
    inner, own = moved[moved < order], moved[(moved >= order) & (moved < order + size.stages)] - order
    few = Rows(rows.change[np.ix_(inner, moved)], rows.z[:, moved], rows.current[:, moved])
    return Part(few, inner[inner < rows.current.shape[0]], own, Stages._make(values[own] for values in model.stages))


def _reached(joined: NDArray[np.bool_], begun: Ints) -> NDArray[np.bool_]:
    """Whether each is moved (n,) when those at `begun` are; joined (n, n): whether the column moves the row."""
    moved = np.zeros(joined.shape[0], dtype=bool)
    moved[begun] = True
    for _ in range(moved.size):
        more = moved | joined[:, moved].any(axis=1)
        if np.array_equal(more, moved):
            break
        moved = more
    return moved
