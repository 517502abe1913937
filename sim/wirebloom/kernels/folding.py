"""The rows of a network, folded for the loop: capacitors and inductors eliminated by the midpoint rule. Plain numpy.

x̄ = x + (h/2) x′(x̄, ī, v̄, u) = Φ (x + (h/2)(B_i ī + B_v v̄ + B_u u)), Φ = (1 − (h/2) B_x)⁻¹, put into every row.
"""

from typing import NamedTuple

import numpy as np

from wirebloom.kernels import desk
from wirebloom.kernels.layout import Floats, Ints, Model, Network, Stages

SAME = 1e-12  # of every entry: what parts two rows at most that are multiples of each other
QUADS = 2  # rows behind come in eights, that fewer sizes have to be compiled

Sizes = tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...], tuple[float, ...], tuple[float, ...]]


class Counts(NamedTuple):
    """Columns of each kind."""

    x: int
    coils: int
    stages: int
    u: int


class Folded(NamedTuple):
    """What the loop reads of a network."""

    sizes: Sizes  # see `desk`
    net: Floats  # flat, see `desk`
    booked: Ints  # (3A + 3,) first rows in desk of each loop's power, of each circuit's heat, and from voltages to currents of power


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


def merged(rows: Floats) -> Floats:
    """As few rows with the same sum of squares: one for resistances that carry the same current, and never more than columns."""
    rows = np.array([unit * np.sqrt(np.sum(sizes**2)) for unit, sizes in alike(rows)]).reshape(-1, rows.shape[1])
    return rows if rows.shape[0] <= rows.shape[1] else np.asarray(np.linalg.qr(rows, mode="r"))


def alike(rows: Floats) -> list[tuple[Floats, Floats]]:
    """Rows that are multiples of each other: one of each kind (Z,), and how much of it each of the rows is (n,).

    Compared entry by entry, for columns are of different units.
    """
    found: list[tuple[Floats, Floats]] = []
    left = np.any(rows != 0.0, axis=1)
    for k in range(rows.shape[0]):
        if left[k]:
            column = int(np.flatnonzero(rows[k])[0])
            share = rows[:, column] / rows[k, column]
            own = left & np.all(np.abs(rows - np.outer(share, rows[k])) <= SAME * np.abs(rows), axis=1)
            left &= ~own
            found.append((rows[k], np.where(own, share, 0.0)))
    return found


def paired(power: Floats) -> Floats:
    """As few pairs of rows with the same sum of products, (P', 2, Z): what has a voltage or a current in common is put together."""
    for one, other in ((0, 1), (1, 0)):
        pairs = np.zeros((0, *power.shape[1:]))
        for unit, share in alike(power[:, one]):
            pair = np.zeros((1, *power.shape[1:]))
            pair[0, one], pair[0, other] = unit, share @ power[:, other]
            pairs = np.concatenate([pairs, pair])
        power = pairs
    return power


def heat_rows(network: Network, coils: int) -> list[Floats]:
    """Rows of heat of every circuit."""
    return [merged(network.heat[network.heat_home == c]) for c in range(coils)]


def power_rows(network: Network, loops: int) -> list[Floats]:
    """Voltages and currents of what feeds every loop, (P', 2, Z) each."""
    return [paired(network.power[network.power_loop == a]) for a in range(loops)]


def quads(count: int, by: int = 1) -> tuple[float, ...]:
    """A tuple with one entry for every four, in multiples of `by`."""
    return (1.0,) * (by * -(-count // (4 * by)))


def laid(rows: Floats, counts: Counts, rest: int, moving: int, inputs: int, count: int) -> Floats:
    """Rows over (x, i, v, u) as numbers column by column in the order of the desk, (rest + moving) × count."""
    x, live = counts.x, counts.coils + counts.stages
    wide = np.zeros((rest + moving, count))
    wide[: counts.u, : rows.shape[0]] = rows[:, x + live :].T
    wide[inputs : inputs + x, : rows.shape[0]] = rows[:, :x].T
    wide[rest : rest + live, : rows.shape[0]] = rows[:, x : x + live].T
    return wide.ravel()


def fold_network(model: Model) -> Folded:
    """Lay the network of a model out for the loop."""
    network, stages, h = model.network, model.stages, model.step
    counts, strict = counts_of(network, stages), is_strict(network, stages)
    loops = counts.coils // 2
    inputs = 1 + 2 * counts.stages * strict
    mean = mean_rows(h, network)
    heats, feeds = heat_rows(network, counts.coils), power_rows(network, loops)
    still = quads(counts.x + inputs)
    pad = np.zeros((4 * len(still) - inputs - counts.x, mean.shape[1]))
    voltages, currents = ([part[:, k] for part in feeds] for k in (0, 1))
    read = [network.given, network.meter, *voltages, *currents, *heats]
    behind = np.concatenate([mean, pad, *(fold(rows, mean) for rows in read)])
    wanted = [0.5 * h * network.voltage, network.heard] + ([network.given, network.high, network.low] if strict else [])
    sizes = ((1.0,) * loops, (1.0,) * counts.stages, still, quads(behind.shape[0], QUADS), (1.0,) * strict)
    rest, moving = desk.at_rest(sizes), desk.moving(sizes)

    def lay(rows: Floats, count: int) -> Floats:
        return laid(rows, counts, rest, moving, inputs, count)

    blocks = [lay(fold(np.concatenate(wanted), mean), desk.ahead(sizes)), lay(behind, desk.behind(sizes))]
    blocks.append(lay(network.given[: desk.before(sizes)], desk.before(sizes)))
    first = desk.place_meters(sizes) + network.meter.shape[0]
    return Folded(sizes, np.concatenate(blocks), booked_rows(first, [part.shape[0] for part in feeds], [part.shape[0] for part in heats]))


def booked_rows(first: int, feeds: list[int], heats: list[int]) -> Ints:
    """First row of each loop's power and of each circuit's heat, and the way from voltages to currents."""
    power, apart = first + np.cumsum([0, *feeds]), sum(feeds)
    heat = first + 2 * apart + np.cumsum([0, *heats])
    return np.concatenate([power, heat, [apart]]).astype(np.int64)
