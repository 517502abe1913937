"""The iron's answer as few terms: ring charges at the lowest height, the charge they induce, its strongest combinations, a table.

The answer to rings at the lowest height, weighted with the length of string they stand for, is −U Λ Uᵀ in each harmonic; a term is
the potential of the charge induced by a column of U/√Λ. What no charge at the lowest height can excite, none above it can.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import make_interp_spline

from wirebloom.physics.boundary import Iron
from wirebloom.physics.interfaces import NEAR, Panels

Floats = NDArray[np.float64]

DEGREE = 5  # of the interpolating splines: the stiffness hangs on second derivatives
LOWEST, CEILING = 2.5e-4, 0.02  # heights between which the terms hold, m
REACH = 0.05  # radius to which they hold, m, and more for wide heads
STEP, RATIO, HIGHER = 1.5e-4, 1.2, 1.25  # spacing of the interpolation lines over the iron, m; its growth outwards; of heights
SHALLOW = 2e-3  # m: iron deeper than this below the face needs no close lines
ON_AXIS = 1e-9  # m: radius that stands for the axis
WEAKEST = 5e-4  # share of the strongest term from which a term is kept


class TermTable(NamedTuple):
    """Tensor spline of the terms f, m^(−½), without their cos mθ or sin mθ.

    Attributes
    ----------
    harmonic : (K,) ndarray of int
        m of each term, increasing.
    knots_r, knots_z : ndarray
        Over radius, on both sides of the axis, and height, m.
    coefficient : (Z, R, K) ndarray
    """

    harmonic: NDArray[np.int64]
    knots_r: Floats
    knots_z: Floats
    coefficient: Floats


def tabulated_terms(iron: Iron, r: Floats, z: Floats, weakest: float) -> TermTable:
    """Terms of the iron's answer on a grid of radii and heights, m; of those only that are stronger than a share of the strongest."""
    charges = _charges(iron, r, weakest)
    harmonic = np.repeat(np.arange(len(charges)), [charge.shape[1] for charge in charges])
    return TermTable(harmonic, *_interpolated(r, z, _potentials(iron, r, z, charges), harmonic))


def rim_radius(panels: Panels) -> float:
    """Outermost radius at which iron comes near the string, m."""
    r, z = np.moveaxis(panels.nodes, -1, 0)
    return float(np.max(np.minimum(r, NEAR), where=z > -SHALLOW, initial=0.0))


def interpolation_lines(outermost: float, reach: float) -> tuple[Floats, Floats]:
    """Radii and heights at which the terms are evaluated, m: close over the iron, and out to `reach` and REACH."""
    near = np.arange(0.0, outermost + 1e-3, STEP)
    far = near[-1] + np.cumsum(STEP * RATIO ** np.arange(1.0, 300.0))
    r = np.concatenate([near, far[: np.searchsorted(far, max(reach, REACH)) + 1]])
    count = int(np.ceil(np.log(CEILING / LOWEST) / np.log(HIGHER)))
    return r, np.geomspace(LOWEST, CEILING, count + 1)


def _charges(iron: Iron, r: Floats, weakest: float) -> list[Floats]:
    """Charges on the nodes (N, K_m) whose potentials are the terms of each harmonic."""
    r = r[1:]
    weight = np.sqrt(np.gradient(r))
    height = np.full(r.size, LOWEST)
    induced = iron.charge(iron.normal_slope((r, height))) * weight
    answer = -np.matmul(iron.potential((r, height)), induced) * weight[:, None]
    doubled = np.where(np.arange(iron.harmonics + 1) == 0, 1.0, 2.0) / pi
    values, vectors = np.linalg.eigh(doubled[:, None, None] * (answer + np.swapaxes(answer, 1, 2)) / 2)
    charges = []
    for m in range(iron.harmonics + 1):
        kept = np.flatnonzero(values[m] > weakest * values.max())[::-1]
        charges.append(-doubled[m] * induced[m] @ (vectors[m][:, kept] / np.sqrt(values[m][kept])))
    return charges


def _potentials(iron: Iron, r: Floats, z: Floats, charges: Sequence[Floats]) -> Floats:
    """Terms on all lines (Z, R, K), the first of them the axis."""
    rows = []
    for height in z:
        potential = iron.potential((np.maximum(r, ON_AXIS), np.full(r.size, height)))
        potential[1:, 0] = 0.0
        rows.append(np.concatenate([p @ charge for p, charge in zip(potential, charges, strict=True)], axis=1))
    return np.stack(rows)


def _interpolated(r: Floats, z: Floats, terms: Floats, harmonic: NDArray[np.int64]) -> tuple[Floats, Floats, Floats]:
    """Tensor spline, even or odd at the axis as the harmonic."""
    parity = np.where(harmonic % 2 == 0, 1.0, -1.0)
    over_r = make_interp_spline(np.concatenate([-r[:0:-1], r]), np.concatenate([parity * terms[:, :0:-1], terms], axis=1), DEGREE, axis=1)
    over_z = make_interp_spline(z, np.moveaxis(over_r.c, 0, 1), DEGREE)
    return over_r.t, over_z.t, over_z.c
