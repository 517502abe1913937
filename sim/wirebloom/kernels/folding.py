"""The rows of a network, folded for the loop: capacitors and inductors eliminated by the midpoint rule. Plain numpy.

x̄ = x + (h/2) x′(x̄, ī, v̄, u) = Φ (x + (h/2)(B_i ī + B_v v̄ + B_u u)), Φ = (1 − (h/2) B_x)⁻¹, put into every row.
"""

from typing import NamedTuple

import numpy as np

from wirebloom.kernels import desk
from wirebloom.kernels.layout import Floats, Model, Network, Stages

Sizes = tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...], tuple[float, ...], tuple[float, ...]]


class Counts(NamedTuple):
    """Columns of each kind."""

    x: int
    coils: int
    stages: int
    u: int


class Columns(NamedTuple):
    """How the desk has them in order."""

    counts: Counts
    inputs: int  # of which some may have no row in the network
    rest: int
    moving: int


class Folded(NamedTuple):
    """What the loop reads of a network."""

    sizes: Sizes  # see `desk`
    net: Floats  # flat, see `desk`
    joules: Floats  # (3A, Z, Z) J that each product of two columns is worth: feeding each loop, then heat in each circuit


def counts_of(network: Network, stages: Stages) -> Counts:
    """How many columns of each kind a network has."""
    x, coils, count = network.rate.shape[0], network.voltage.shape[0], stages.gain.size
    return Counts(x, coils, count, network.rate.shape[1] - x - coils - count)


def is_strict(network: Network, stages: Stages) -> bool:
    """Whether stages have limits that move with voltages and currents, or a gain that does."""
    counts = counts_of(network, stages)
    moving = network.high.shape[1] - counts.u
    swayed = np.any(network.high[:, :moving]) or np.any(network.low[:, :moving])
    limited = np.any(stages.bend > 0.0) or np.any(np.isfinite(stages.limit))
    return bool(swayed or counts.u > 1 or limited or np.any(np.isfinite(stages.target)))


def columns_of(model: Model) -> int:
    """Z: columns of the network on the desk, those that fill it up included."""
    counts, strict = counts_of(model.network, model.stages), is_strict(model.network, model.stages)
    still = counts.x + 1 + 2 * counts.stages * strict
    return 4 * (len(quads(still)) + len(quads(counts.coils + counts.stages)))


def mean_rows(h: float, network: Network) -> Floats:
    """x̄ over (x, ī, v̄, u), (X, Z)."""
    x = network.rate.shape[0]
    half = 0.5 * h * network.rate
    start = np.concatenate([np.eye(x), half[:, x:]], axis=1)
    return np.linalg.solve(np.eye(x) - half[:, :x], start)


def fold(rows: Floats, mean: Floats) -> Floats:
    """Rows over (x̄, ī, v̄, u) → rows over (x, ī, v̄, u)."""
    x = mean.shape[0]
    folded = rows[:, :x] @ mean
    folded[:, x:] += rows[:, x:]
    return np.asarray(folded)


def quads(count: int) -> tuple[float, ...]:
    """A tuple with one entry for every four."""
    return (1.0,) * -(-count // 4)


def by_column(rows: Floats, order: Columns, count: int) -> Floats:
    """Rows over (x, i, v, u), put into the order of the desk and filled up to `count`: (rest + moving, count)."""
    counts, inputs, rest, moving = order
    x, live = counts.x, counts.coils + counts.stages
    wide = np.zeros((rest + moving, count))
    wide[: counts.u, : rows.shape[0]] = rows[:, x + live :].T
    wide[inputs : inputs + x, : rows.shape[0]] = rows[:, :x].T
    wide[rest : rest + live, : rows.shape[0]] = rows[:, x : x + live].T
    return wide


def joules(h: float, network: Network, mean: Floats, order: Columns) -> Floats:
    """What each product of two columns is worth, J: of what feeds each loop, then of heat in each circuit, (3A, Z, Z)."""
    read = (network.power[:, 0], network.power[:, 1], network.heat)
    volts, amps, heats = (by_column(fold(rows, mean), order, rows.shape[0]) for rows in read)
    coils = network.voltage.shape[0]
    fed = [volts[:, own] @ amps[:, own].T for own in (network.power_loop == a for a in range(coils // 2))]
    lost = [heats[:, own] @ heats[:, own].T for own in (network.heat_home == c for c in range(coils))]
    return h * np.array([*fed, *lost]).reshape(-1, volts.shape[0], volts.shape[0])


def fold_network(model: Model) -> Folded:
    """Lay the network of a model out for the loop."""
    network, stages, h = model.network, model.stages, model.step
    counts, strict = counts_of(network, stages), is_strict(network, stages)
    inputs = 1 + 2 * counts.stages * strict
    mean = mean_rows(h, network)
    still = quads(counts.x + inputs)
    pad = np.zeros((4 * len(still) - inputs - counts.x, mean.shape[1]))
    behind = np.concatenate([mean, pad, fold(network.meter, mean)])
    wanted = [0.5 * h * network.voltage, network.heard, network.given] + ([network.high, network.low] if strict else [])
    sizes = ((1.0,) * (counts.coils // 2), (1.0,) * counts.stages, still, quads(behind.shape[0]), (1.0,) * strict)
    order = Columns(counts, inputs, desk.at_rest(sizes), desk.moving(sizes))
    blocks = [
        by_column(fold(np.concatenate(wanted), mean), order, desk.ahead(sizes)),
        by_column(behind, order, desk.behind(sizes)),
        by_column(network.given[: desk.before(sizes)], order, desk.before(sizes)),
    ]
    return Folded(sizes, np.concatenate([block.ravel() for block in blocks]), joules(h, network, mean, order))
