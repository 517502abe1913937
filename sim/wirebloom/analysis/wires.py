"""Strings over heads near a working point: slopes and curvatures of the co-energy W′ = W₀ + Λ i + ½ L₁ i²."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.analysis.modes import motion_of
from wirebloom.kernels.layout import Cores, Floats, Model, Tables
from wirebloom.physics.bspline import evaluate

NEAR = 1e-7  # m, to either side: within one cell of a table slopes are quadratic, and their differences exact


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
    gap, offset = model.poles.gap - moved[:, 0], model.poles.offset + moved[:, 1]
    near = NEAR * np.eye(2)
    sides = [(_slopes(model, gap - d[0], offset + d[1]), _slopes(model, gap + d[0], offset - d[1])) for d in near]
    bend = np.stack([(ahead - behind) / (2.0 * NEAR) for ahead, behind in sides], axis=2)
    return Wires(_parts(model, gap, offset), _slopes(model, gap, offset), 0.5 * (bend + bend.transpose(0, 2, 1, 3)))


def _slopes(model: Model, gap: Floats, offset: Floats) -> Floats:
    """(J, 2, 3)."""
    return np.stack([-_parts(model, gap, offset, dx=1), _parts(model, gap, offset, dy=1)], axis=1)


def _parts(model: Model, gap: Floats, offset: Floats, dx: int = 0, dy: int = 0) -> Floats:
    """(J, 3)."""
    found = [_read(model.tables, int(t), gap[j], offset[j], (dx, dy)) for j, t in enumerate(model.poles.table)]
    return np.array(found).reshape(-1, 3)


def _read(tables: Tables, t: int, gap: float, offset: float, order: tuple[int, int]) -> Floats:
    axes = (float(tables.gap_start[t]), float(tables.gap_step[t])), (float(tables.offset_start[t]), float(tables.offset_step[t]))
    found = evaluate(tables.coefficient[t], axes, np.array([gap]), np.array([offset]), dx=order[0], dy=order[1])
    return found[0, :3]


def magnetics(model: Model, q: Floats, current: Floats) -> Magnetics:
    """Coils, cores and wires about modal displacements q (S, 2, N), m, with steady currents (C,), A; cores carry none then."""
    moved = (motion_of(model) @ q.ravel()).reshape(-1, 2)
    wire, seen = wires(model, moved), _seen(model, current)
    flowing = np.stack([np.zeros_like(seen), model.poles.sign * seen, 0.5 * seen**2], axis=1)
    stiffness = np.einsum("jabk,jk->jab", wire.bend, flowing) + wire.bend[:, :, :, 0]
    poles, whole = moved.shape[0], np.zeros((2 * moved.shape[0],) * 2)
    for j in range(poles):
        whole[2 * j : 2 * j + 2, 2 * j : 2 * j + 2] = stiffness[j]
    force = np.einsum("jak,jk->ja", wire.slope, flowing).ravel()
    return Magnetics(_inductance(model, wire), _link(model, wire, seen), whole, force)


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
