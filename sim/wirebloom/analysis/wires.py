"""Strings over heads near a working point: slopes and curvatures of the co-energy W′ = W₀ + Λ i + ½ L₁ i²."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.analysis.modes import motions_of
from wirebloom.kernels.layout import Cores, Floats, Ints, Model

FOUR = np.arange(4)
CUBES = np.array([[1.0, 4.0, 1.0, 0.0], [-3.0, 0.0, 3.0, 0.0], [3.0, -6.0, 3.0, 0.0], [-1.0, 3.0, -3.0, 1.0]]) / 6.0
"""The four cubic B-splines in powers 1, t, t², t³ (rows)."""
BY_POWER = np.diag([1.0, 2.0, 3.0], 1)
SPLINES = np.concatenate([CUBES, BY_POWER @ CUBES, BY_POWER @ BY_POWER @ CUBES], axis=1)  # and their slopes and bends


class Wires(NamedTuple):
    """Of every pole, u = (towards the head, sideways); parts W₀, Λ, L₁ of the co-energy along the last axis."""

    value: Floats  # (J, 3) J, Wb, H
    slope: Floats  # (J, 2, 3) ∂/∂u
    bend: Floats  # (J, 2, 2, 3) ∂²/∂u²


class Magnetics(NamedTuple):
    """Small changes about a working point: δflux = inductance · δcurrent + link · δu, δF = stiffness · δu + linkᵀ · δcurrent.

    Currents are those of the circuits and, behind them, of every stage of every solid core: C + 2H. u (2J): pole by pole.
    """

    inductance: Floats  # (C + 2H, C + 2H) H
    link: Floats  # (C + 2H, 2J) V s/m, N/A
    stiffness: Floats  # (2J, 2J) N/m
    force: Floats  # (2J,) at the working point, less what it is without currents, N


def wires(model: Model, moved: Floats) -> Wires:
    """Co-energy of every pole about its motion (J, 2), m."""
    return wires_of(model, np.arange(model.poles.gap.size), moved)


def wires_of(model: Model, poles: Ints, moved: Floats) -> Wires:
    """The same of some poles (J,), at their motions (J, 2), m."""
    tables, rows = model.tables, model.poles.table[poles]
    first, weight = _cells(
        np.array([model.poles.gap[poles] - moved[:, 0], model.poles.offset[poles] + moved[:, 1]]),
        np.array([tables.gap_start[rows], tables.offset_start[rows]]),
        np.array([tables.gap_step[rows], tables.offset_step[rows]]),
        np.array(tables.coefficient.shape[1:3])[:, None],
    )
    row, column = first[:, :, None] + FOUR
    patch = tables.coefficient[rows[:, None, None], row[:, :, None], column[:, None, :], :3]
    found = np.einsum("jyb,jxbk->jxyk", weight[1], (weight[0] @ patch.reshape(-1, 4, 12)).reshape(-1, 3, 4, 3))
    slope, bend = np.empty((poles.size, 2, 3)), np.empty((poles.size, 2, 2, 3))  # found: derivatives by the gap, by the offset
    slope[:, 0], slope[:, 1] = -found[:, 1, 0], found[:, 0, 1]
    bend[:, 0, 0], bend[:, 1, 1] = found[:, 2, 0], found[:, 0, 2]
    bend[:, 0, 1] = bend[:, 1, 0] = -found[:, 1, 1]
    return Wires(found[:, 0, 0], slope, bend)


def _cells(place: Floats, start: Floats, step: Floats, count: Ints) -> tuple[Ints, Floats]:
    """First coefficients (2, J) of both axes at places, and the weights (2, J, 3, 4) of value, slope and bend; none beyond the ends."""
    s = (place - start) / step
    held = np.minimum(np.maximum(s, 0.0), count - 3)
    first = np.minimum(held.astype(np.int64), count - 4)
    t = held - first
    weight = (np.stack([np.ones_like(t), t, t * t, t * t * t], axis=-1) @ SPLINES).reshape(*t.shape, 3, 4)
    inside = ((held == s) / step)[..., None]
    weight[:, :, 1] *= inside
    weight[:, :, 2] *= inside / step[..., None]
    return first, weight


def magnetics(model: Model, q: Floats, current: Floats) -> Magnetics:
    """Coils, cores and wires about modal displacements q (S, 2, N), m, with steady currents (C,), A; cores carry none then."""
    wire, seen = wires(model, motions_of(model, q)), _seen(model, current)
    # = wires(model, moved), _seen(model, current)
    flowing = np.stack([np.zeros_like(seen), model.poles.sign * seen, 0.5 * seen**2], axis=1)
    force = np.einsum("jak,jk->ja", wire.slope, flowing).ravel()
    return Magnetics(_inductance(model, wire), _link(model, wire, seen), _stiffness(wire, flowing), force)


def _stiffness(wire: Wires, flowing: Floats) -> Floats:
    """Of magnets under currents (J, 3) in the terms of the co-energy: no pole feels another's."""
    poles = wire.value.shape[0]
    own, whole = np.einsum("jabk,jk->jab", wire.bend, flowing) + wire.bend[:, :, :, 0], np.zeros((poles, 2, poles, 2))
    whole[np.arange(poles), :, np.arange(poles)] = own
    return whole.reshape(2 * poles, 2 * poles)


def _seen(model: Model, current: Floats) -> Floats:
    """Steady current in the coil of every pole's head (J,), A."""
    return np.where(model.poles.circuit >= 0, np.append(current, 0.0)[model.poles.circuit], 0.0)


def _inductance(model: Model, wire: Wires) -> Floats:
    coils, cores = model.coils.area.size, model.cores
    own = np.diag(np.concatenate([np.zeros(coils), cores.inductance.ravel()]))
    own[:coils, :coils] = model.coils.inductance
    for j, c in enumerate(model.poles.circuit):
        if c >= 0:
            own[c, c] += wire.value[j, 2]
    for row, c, inductance in _turns(cores, coils):
        own[row, c] = own[c, row] = inductance
    return own


def _turns(cores: Cores, coils: int) -> list[tuple[int, int, float]]:
    """Row, circuit and inductance of every shorted turn."""
    return [(coils + 2 * g + k, int(c), float(cores.inductance[g, k])) for g, c in enumerate(cores.circuit) for k in range(2)]


def _link(model: Model, wire: Wires, seen: Floats) -> Floats:
    """Flux linkage per motion: sign Λ′ + i L₁′ of the coil, κ sign Λ′ of its core's turns."""
    coils, cores = model.coils.area.size, model.cores
    link = np.zeros((coils + cores.share.size, 2 * wire.value.shape[0]))
    for j, (c, g) in enumerate(zip(model.poles.circuit, cores.under, strict=True)):
        own = model.poles.sign[j] * wire.slope[j, :, 1]
        if c >= 0:
            link[c, 2 * j : 2 * j + 2] = own + seen[j] * wire.slope[j, :, 2]
        if g >= 0:
            link[coils + 2 * g : coils + 2 * g + 2, 2 * j : 2 * j + 2] = np.outer(cores.share[g], own)
    return link
