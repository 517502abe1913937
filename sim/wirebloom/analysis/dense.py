"""All roots of a bench from one large matrix: slow, without names, and with nothing to go wrong."""

from __future__ import annotations

import numpy as np

from wirebloom.analysis.motional import Bench, Complex, Setting
from wirebloom.kernels.layout import Floats


def dense_matrix(bench: Bench, setting: Setting) -> Floats:
    """y′ = A y of all modes, their velocities and the electronics, (2M + n, 2M + n), for a setting that is the same for all roots."""
    modes = [strand.square.size for strand in bench.strands]
    ends, total, n = np.cumsum([0, *modes]), sum(modes), bench.matrix.shape[0]
    q, v, e = slice(0, total), slice(total, 2 * total), slice(2 * total, 2 * total + n)
    whole, linked = np.zeros((2 * total + n,) * 2), np.zeros((bench.flux.size, total))
    for strand, first in zip(bench.strands, ends, strict=False):
        own = slice(int(first), int(first) + strand.square.size)
        linked[:, own] = strand.link @ strand.shape
        drop = np.diag(strand.square) - strand.shape.T @ strand.stiffness @ strand.shape
        whole[v, q][own, own] = -drop
        whole[v, v][own, own] = -np.diag(2.0 * strand.decay)
    inverse = np.linalg.inv(bench.inductance)
    whole[q, v] = np.eye(total)
    whole[v, q] -= linked.T @ inverse @ linked
    whole[v, e][:, bench.flux] = linked.T @ inverse
    moved = setting.e[0][:, bench.flux] - np.eye(n)[:, bench.flux] * setting.factor[0]
    rows = np.concatenate([-setting.a[0][:, bench.flux] @ linked, moved @ linked, setting.a[0]], axis=1)
    whole[e] = np.linalg.solve(setting.e[0], rows)
    return whole


def dense_roots(bench: Bench, setting: Setting) -> Complex:
    """Its eigenvalues, (2M + n,)."""
    return np.asarray(np.linalg.eigvals(dense_matrix(bench, setting)), dtype=complex)


def nearest(aim: Complex, roots: Complex) -> Complex:
    """Of all roots, one each for what was aimed at (M,), as near as they can be all together."""
    from scipy.optimize import linear_sum_assignment  # noqa: PLC0415 - hardly ever needed, and slow to import

    upper = roots[roots.imag >= 0.0]
    return np.asarray(upper[linear_sum_assignment(np.abs(aim[:, None] - upper))[1]])
