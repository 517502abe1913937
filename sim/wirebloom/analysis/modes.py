"""Modes of all strings in one row, string by string, polarisation by polarisation: motion at the poles, stiffness, friction."""

from __future__ import annotations

import numpy as np

from wirebloom.kernels.layout import Floats, Ints, Model, Poles, Strings


def pole_strings(model: Model) -> Ints:
    """String of every pole, (J,)."""
    return np.repeat(np.arange(model.poles.first.size - 1), np.diff(model.poles.first))


def motion_of(model: Model) -> Floats:
    """Motion of every pole per modal displacement, pole by pole: (2J, 2SN), 1."""
    strings, _, partials = model.strings.frequency.shape
    shapes = np.zeros((model.poles.gap.size, 2, strings, 2, partials))
    for j, s in enumerate(pole_strings(model)):
        for p in range(2):
            shapes[j, p, s, p] = model.poles.weight[j]
    return shapes.reshape(2 * model.poles.gap.size, model.strings.frequency.size)


def motions_of(model: Model, q: Floats) -> Floats:
    """Motion of every pole (J, 2), m, at modal displacements (S, 2, N), m."""
    return np.asarray(np.einsum("jn,jpn->jp", model.poles.weight, q[pole_strings(model)]))


def only_string(model: Model, s: int) -> Model:
    """The model with one of its strings, over its own poles."""
    first, end = model.poles.first[s : s + 2]
    rows = {name: values[first:end] for name, values in model.poles._asdict().items()} | {"first": np.array([0, end - first])}
    poles = Poles(**rows)
    strings, cores = Strings(*(values[s : s + 1] for values in model.strings)), model.cores._replace(under=model.cores.under[first:end])
    return model._replace(strings=strings, poles=poles, cores=cores)


def string_matrix(model: Model, q: Floats) -> Floats:
    """Stiffness over mass of all modes, the tension's rise at q (S, 2, N) (m) included: (2SN, 2SN), s⁻²."""
    strings = model.strings
    bent = strings.curvature[:, None, :] * q
    rise = strings.stretch * np.einsum("spn,spn->s", bent, q)
    tighter = (rise * strings.inverse_density)[:, None, None] * np.broadcast_to(strings.curvature[:, None, :], q.shape)
    whole = np.diag((strings.frequency**2 + tighter).ravel())
    count = q[0].size
    for s in range(q.shape[0]):
        own = slice(s * count, (s + 1) * count)
        whole[own, own] += 2.0 * strings.stretch[s] * strings.inverse_density[s] * np.outer(bent[s], bent[s])
    return whole


def per_mode(model: Model, values: Floats) -> Floats:
    """A value a string (S,) spread over its modes, (2SN,)."""
    return np.repeat(values, model.strings.frequency[0].size)


def friction(model: Model, moment: float | None) -> Floats:
    """Damping of all modes over their mass, point dampers at work included: (2SN, 2SN), s⁻¹."""
    whole = np.diag(2.0 * model.strings.decay.ravel())
    if moment is None:
        return whole
    dampers, (_, _, partials) = model.dampers, model.strings.frequency.shape
    window = dampers.window * model.step
    for d, s in enumerate(dampers.string):
        if window[d, 0] <= moment < window[d, 1]:
            drag = dampers.resistance[d] * model.strings.inverse_mass[s] * np.outer(dampers.weight[d], dampers.weight[d])
            for p in range(2):
                own = slice((2 * s + p) * partials, (2 * s + p + 1) * partials)
                whole[own, own] += drag
    return whole
