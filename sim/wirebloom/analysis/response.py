"""What a linear model answers: responses over frequency, eigenvalues with the states that they belong to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.analysis.linear import Linear
from wirebloom.kernels.layout import Floats

Complex = NDArray[np.complex128]
TOGETHER = 2**22  # numbers solved at once: some 60 MB


class Motion(NamedTuple):
    """One eigenvalue.

    Attributes
    ----------
    growth_per_s : float
        Real part: positive grows.
    frequency_Hz : float
        Imaginary part over 2π, none negative.
    string, polarisation, partial : int or None
        Of the mode that takes the largest part in it, partial from 0; None for a motion of the electronics.
    share : float
        Of that mode, or of all electronics, in it: participation factors, left times right eigenvector, which no choice of
        units changes.
    """

    growth_per_s: float
    frequency_Hz: float
    string: int | None
    polarisation: int | None
    partial: int | None
    share: float


def response(linear: Linear, frequency: Floats, output: str, source: str) -> Complex:
    """Complex response of an output to an input at frequencies (F,), Hz.

    Returns
    -------
    (F, k, m) ndarray
        In the output's unit per unit of the input. Of a rig that is unstable it still is the ratio of the two, but nothing
        that a run settles at.
    """
    columns = linear.inputs[source]
    into, through = linear.into[:, columns], linear.through[output][:, columns]
    found = [np.zeros((0, *through.shape), dtype=complex)]
    count = max(1, TOGETHER // max(1, linear.matrix.size))
    for first in range(0, len(frequency), count):
        s = 2j * np.pi * np.asarray(frequency[first : first + count])
        inner = np.linalg.solve(s[:, None, None] * np.eye(linear.matrix.shape[0]) - linear.matrix, into.astype(complex))
        found.append(linear.out[output] @ inner + through)
    return np.concatenate(found)


def motions(linear: Linear) -> tuple[Motion, ...]:
    """Eigenvalues of a linear model, one of each conjugate pair, those that grow fastest first."""
    value, right = np.linalg.eig(linear.matrix)
    part = np.abs(right * _left(right).T)
    part /= part.sum(axis=0)
    modes, groups = _modes(linear)
    kept = np.flatnonzero(value.imag >= 0.0)
    found = [_motion(value[k], groups @ part[:, k], modes) for k in kept]
    return tuple(sorted(found, key=lambda motion: -motion.growth_per_s))


def _left(right: Complex) -> Complex:
    """Left eigenvectors, as rows, to right ones; where two of these are alike, as near as can be."""
    try:
        return np.asarray(np.linalg.inv(right), dtype=np.complex128)
    except np.linalg.LinAlgError:
        return np.asarray(np.linalg.pinv(right), dtype=np.complex128)


def _modes(linear: Linear) -> tuple[list[tuple[int, ...]], Floats]:
    """All modes' places, and the sums over states that belong to each of them, and last to the electronics."""
    modes = [label.place for label in linear.labels if label.kind == "displacement"]
    row = {place: k for k, place in enumerate(modes)}
    groups = np.zeros((len(modes) + 1, len(linear.labels)))
    for k, label in enumerate(linear.labels):
        groups[row[label.place] if label.kind in ("displacement", "velocity") else len(modes), k] = 1.0
    return modes, groups


def _motion(value: complex, parts: Floats, modes: Sequence[tuple[int, ...]]) -> Motion:
    best = int(np.argmax(parts))
    s, p, n = modes[best] if best < len(modes) else (None, None, None)
    return Motion(float(value.real), abs(float(value.imag)) / (2.0 * np.pi), s, p, n, float(parts[best]))
