"""One step of coils and any electronics the long way round: nothing folded, nothing eliminated, every branch of every limit tried.

States w = (λ, x) move as ẇ = A w + b + D v at frozen strings, with i = L⁻¹(λ − Λ); the implicit midpoint rule makes the mean of every row
affine in the stages' mean outputs v̄. What solves a step is told by `missing`, which knows the limits as they are stated and
nothing of how they are solved.
"""

from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.kernels.layout import Model, State

Floats = NDArray[np.float64]
BRANCHES = ("free", "slew up", "slew down", "high", "high, bent", "low", "low, bent", "most", "least")
PULL = 20.0  # V/A: how hard the current limit is taken to act; any positive number has the same solutions


class Coils(NamedTuple):
    """Coils at frozen strings."""

    inverse: Floats  # (C, C) H⁻¹
    magnets: Floats  # (C,) Wb
    emf: Floats  # (C,) V


class Mean(NamedTuple):
    """z̄ = still + response·v̄, and z at the start."""

    still: Floats  # (Z,)
    response: Floats  # (Z, W)
    start: Floats  # (Z,)


class Step(NamedTuple):
    """What a step leaves."""

    flux: Floats
    x: Floats
    output: Floats
    envelope: Floats
    draw: Floats
    middle: Floats  # z̄


def inputs_at(state: State, supply: float, size: int) -> Floats:
    """u in the middle of the step: draws are carried on as a straight line through the means of the last two steps."""
    last, before = state.draw[:, :, 0], state.draw[:, :, 1]
    return np.concatenate([[supply], np.maximum(1.5 * (last - before) + 0.5 * (last + before), 0.0).ravel()])[:size]


def mean_of(model: Model, state: State, coils: Coils, supply: float) -> Mean:
    network, h = model.network, model.step
    x, c, w = len(state.x), len(state.flux), len(state.output)
    u = inputs_at(state, supply, network.rate.shape[1] - x - c - w)
    rows = np.concatenate([network.voltage, network.rate])
    to_z = np.zeros((rows.shape[1], c + x))  # z over (λ, x)
    to_z[:x, c:], to_z[x : x + c, :c] = np.eye(x), coils.inverse
    fixed = np.concatenate([np.zeros(x), -coils.inverse @ coils.magnets, np.zeros(w), u])
    by_output = np.zeros((rows.shape[1], w))
    by_output[x + c : x + c + w] = np.eye(w)
    before = np.concatenate([state.flux, state.x])
    push = rows @ fixed + np.concatenate([coils.emf, np.zeros(x)])
    inverse = np.linalg.inv(np.eye(c + x) - h / 2 * rows @ to_z)
    still, response = inverse @ (before + h / 2 * push), h / 2 * inverse @ rows @ by_output
    return Mean(to_z @ still + fixed, to_z @ response + by_output, to_z @ before + fixed + by_output @ state.output)


def turned_down(model: Model, state: State) -> tuple[Floats, Floats]:
    """Envelopes in the middle of the step, and the shares of the gains that they leave."""
    stages, size = model.stages, np.abs(state.output)
    pace = np.where(size > state.envelope, stages.attack, stages.release)
    envelope = size + (state.envelope - size) * np.exp(-model.step * pace)
    over = np.divide(stages.target, envelope, out=np.ones_like(envelope), where=envelope > stages.target)
    return envelope, np.where(envelope > stages.target, np.maximum(over, stages.least), 1.0)


def heard(model: Model, state: State, noise: Floats, middle: Floats) -> Floats:
    stages = model.stages
    _, share = turned_down(model, state)
    return share * (model.network.heard @ middle + stages.offset + stages.noise * noise)


def missing(model: Model, state: State, noise: Floats, mean: Mean, later: Floats) -> Floats:
    """v⁺ less what the stated limits make of it: 0 for a solution."""
    stages, network, h, v = model.stages, model.network, model.step, state.output
    middle = mean.still + mean.response @ ((v + later) / 2)
    given, given_before = network.given @ middle, network.given @ mean.start
    high = network.high @ middle - stages.headroom_high - stages.bend * np.maximum(given, 0)
    low = network.low @ middle + stages.headroom_low + stages.bend * np.maximum(-given, 0)
    after = 2 * given - given_before
    slope = np.clip(stages.rate * (heard(model, state, noise, middle) - (v + later) / 2 / stages.gain), -stages.slew, stages.slew)
    most = np.clip(later + PULL * (stages.limit - after), low, high)
    least = np.clip(later - PULL * (stages.limit + after), low, high)
    return later - np.clip(v + h * slope, least, most)


def branch_rows(model: Model, state: State, noise: Floats, mean: Mean, branch: tuple[str, ...]) -> tuple[Floats, Floats]:
    """Linear equations for v⁺ if every stage sat in its named branch."""
    stages, network, h, v = model.stages, model.network, model.step, state.output
    count = len(v)
    middle, slope = mean.still + mean.response @ v / 2, mean.response / 2  # z̄ = middle + slope·v⁺
    _, share = turned_down(model, state)
    matrix, right = np.eye(count), np.zeros(count)
    for w, name in enumerate(branch):
        given, high, low = network.given[w], network.high[w], network.low[w]
        if name == "free":
            row = h * stages.rate[w] * (share[w] * network.heard[w] @ slope - np.eye(count)[w] / 2 / stages.gain[w])
            still = heard(model, state, noise, middle)[w] - v[w] / 2 / stages.gain[w]
            matrix[w] -= row
            right[w] = v[w] + h * stages.rate[w] * still
        elif name in {"slew up", "slew down"}:
            right[w] = v[w] + (h if name == "slew up" else -h) * stages.slew[w]
        elif name in {"most", "least"}:
            sign = 1.0 if name == "most" else -1.0
            matrix[w] = 2 * given @ slope
            right[w] = sign * stages.limit[w] + given @ mean.start - 2 * given @ middle
        else:
            bend = stages.bend[w] if name.endswith("bent") else 0.0
            rail = (high if name.startswith("high") else low) - bend * given
            room = -stages.headroom_high[w] if name.startswith("high") else stages.headroom_low[w]
            matrix[w] -= rail @ slope
            right[w] = rail @ middle + room
    return matrix, right


def one_step(model: Model, state: State, noise: Floats, coils: Coils, supply: float) -> tuple[Step, tuple[str, ...]]:
    """The step, and the branches of its solution."""
    mean = mean_of(model, state, coils, supply)
    best, least, found = state.output, np.inf, ()
    for branch in product(BRANCHES, repeat=len(state.output)):
        matrix, right = branch_rows(model, state, noise, mean, branch)
        if not np.all(np.isfinite(right)) or abs(np.linalg.det(matrix)) < 1e-12:
            continue
        later = np.linalg.solve(matrix, right)
        miss = float(np.max(np.abs(missing(model, state, noise, mean, later))))
        if miss < least:
            best, least, found = later, miss, branch
    if least > 1e-8:
        raise ArithmeticError(f"no branch solves the step: {least} V are missing")
    middle = mean.still + mean.response @ ((state.output + best) / 2)
    x, c = len(state.x), len(state.flux)
    flux = 2 * (np.linalg.solve(coils.inverse, middle[x : x + c]) + coils.magnets) - state.flux
    given = model.network.given @ middle
    idle = model.stages.quiescent * supply
    draw = np.stack([np.maximum(given, 0) + idle, np.maximum(-given, 0) + idle], axis=1)
    envelope, _ = turned_down(model, state)
    return Step(flux, 2 * middle[:x] - state.x, best, envelope, np.stack([draw, state.draw[:, :, 0]], axis=2), middle), found
