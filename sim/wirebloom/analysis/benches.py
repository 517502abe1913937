"""A compiled rig → benches: its strings and electronics, apart where nothing couples them.

The linear model of the electronics, magnets' stiffness and links are those of `wirebloom.analysis.linear`; only the strings' modes are
left as they are instead of being written into one matrix.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from scipy.sparse.csgraph import connected_components

from wirebloom.analysis.linear import Linear, linear_model
from wirebloom.analysis.modes import pole_strings
from wirebloom.analysis.motional import Bench, Strand
from wirebloom.analysis.operating import sizes
from wirebloom.analysis.squeal import held_electronics
from wirebloom.analysis.wires import Magnetics
from wirebloom.kernels.layout import Floats, Ints, Model

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled


def rest_in_motion(model: Model, rest: Floats) -> Floats:
    """Rest (S, 2, N) about which a run moves, m: the time loop holds a mode a little further out than it rests."""
    return np.asarray(rest * np.sinc(0.5 * model.step * model.strings.frequency / np.pi))


class Laid(NamedTuple):
    """Benches of a rig, and what they were made of."""

    benches: tuple[Bench, ...]
    fluxes: tuple[Ints, ...]  # (c,) of each, its fluxes among all of the rig
    rest: Floats  # (S, 2, N) without currents, m
    amperes: Floats  # (C,) steady


def benches(compiled: Compiled) -> tuple[Bench, ...]:
    """All strings of a compiled rig with what acts on them, in groups that do not act on one another."""
    return laid_out(compiled).benches


def benches_of(model: Model, rest: Floats) -> tuple[Bench, ...]:
    """The same of a model about its strings' rest without currents, (S, 2, N), m."""
    return _laid(model, linear_model(model, rest, strings=False), rest).benches


def laid_out(compiled: Compiled, linear: Linear | None = None) -> Laid:
    """The same of a compiled rig, with what they were made of; linear: its model with the strings held, if it is at hand."""
    rest = rest_in_motion(compiled.model, compiled.rest)
    return _laid(compiled.model, linear_model(compiled.model, rest, strings=False) if linear is None else linear, rest)


def _laid(model: Model, linear: Linear, rest: Floats) -> Laid:
    magnets, flux = linear.magnets, linear.states("flux", "eddy")
    strands = [strand(model, linear.point.q, magnets, s) for s in range(rest.shape[0])]
    found = groups(linear, magnets, strands)
    fluxes = tuple(np.flatnonzero(np.isin(flux, states)) for _, states in found)
    made = (_bench(model, linear, [strands[s] for s in own], states, kept) for (own, states), kept in zip(found, fluxes, strict=True))
    return Laid(tuple(made), fluxes, rest, linear.point.z[sizes(model.network).currents])


def strand(model: Model, q: Floats, magnets: Magnetics, s: int) -> Strand:
    """String number s about modal displacements q (S, 2, N), m."""
    strings, poles = model.strings, np.flatnonzero(pole_strings(model) == s)
    alive = strings.frequency[s] > 0.0
    bent = strings.curvature[s] * q[s]
    tighter = strings.stretch[s] * float(np.sum(bent * q[s])) * strings.inverse_density[s]
    rows = np.stack([2 * poles, 2 * poles + 1], axis=1).ravel()
    shape = np.zeros((rows.size + 1, *q[s].shape))
    for k, j in enumerate(poles):
        shape[2 * k, 0] = shape[2 * k + 1, 1] = model.poles.weight[j]
    shape[-1] = bent
    stiffness = np.zeros((rows.size + 1,) * 2)
    stiffness[:-1, :-1] = magnets.stiffness[np.ix_(rows, rows)]
    stiffness[-1, -1] = -2.0 * strings.stretch[s] * strings.inverse_density[s] / strings.inverse_mass[s]
    return Strand(
        square=(strings.frequency[s] ** 2 + tighter * strings.curvature[s])[alive],
        decay=strings.decay[s][alive],
        shape=shape[:, alive] * np.sqrt(strings.inverse_mass[s]),
        stiffness=stiffness,
        link=np.concatenate([magnets.link[:, rows], np.zeros((magnets.link.shape[0], 1))], axis=1),
        place=tuple((s, p, n) for p, n in np.argwhere(alive).tolist()),
    )


def groups(linear: Linear, magnets: Magnetics, strands: list[Strand]) -> list[tuple[list[int], Ints]]:
    """Strings and states of the electronics that act on one another."""
    n, flux = linear.matrix.shape[0], linear.states("flux", "eddy")
    tied = np.zeros((n + len(strands),) * 2, dtype=bool)
    tied[:n, :n] = linear.matrix != 0.0
    tied[np.ix_(flux, flux)] |= magnets.inductance != 0.0
    for s, own in enumerate(strands):
        tied[n + s, flux] = np.any(own.link != 0.0, axis=1)
    count, label = connected_components(tied, directed=False)
    return [(np.flatnonzero(label[n:] == g).tolist(), np.flatnonzero(label[:n] == g)) for g in range(count)]


def _bench(model: Model, linear: Linear, strands: list[Strand], states: Ints, kept: Ints) -> Bench:
    flux = linear.states("flux", "eddy")
    where = {int(state): k for k, state in enumerate(states)}
    stages = held_electronics(linear, model).stages
    return Bench(
        strands=tuple(own._replace(link=own.link[kept]) for own in strands),
        matrix=linear.matrix[np.ix_(states, states)],
        flux=np.array([where[int(f)] for f in flux[kept]], dtype=np.int64),
        inductance=linear.magnets.inductance[np.ix_(kept, kept)],
        own=tuple(np.flatnonzero(kept == 2 * a) for a in range(model.coils.area.size // 2)),
        stages=tuple((where[state], loop, rate, gain) for state, loop, rate, gain in stages if state in where),
    )
