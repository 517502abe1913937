"""A solid core's eddy currents as what the time loop can carry: two shorted turns beside each coil.

Each stage k is a loop of self-inductance L_k that shares all its flux with the coil (mutual inductance L_k) and has the
resistance R_k, so that

    L(ω) = L∞ + Σ L_k R_k/(R_k + jωL_k),    i_k = −jωL_k/(R_k + jωL_k) · i

and a share κ_k of the flux that the coil sends through the string runs through it: the string sees the current i + Σ κ_k i_k,
its force factor is K(ω)/K(0) = κ∞ + Σ κ_k R_k/(R_k + jωL_k), and the stage links κ_k Λ. One energy gives all of it.
"""

from __future__ import annotations

from dataclasses import replace
from math import pi
from typing import NamedTuple

import numpy as np
from scipy.optimize import least_squares, nnls

from wirebloom.physics.fem import Solution
from wirebloom.physics.fem_eddy import Complexes, Floats, Reduced, reduced_head
from wirebloom.physics.field import HeadField, upwards_above
from wirebloom.physics.geometry import Block
from wirebloom.physics.wire import MU0

FREQUENCIES = np.geomspace(50.0, 1e4, 24)  # Hz: where the stages are fitted
HEIGHT = 1.2e-3  # m: a string's axis; between 0.5 and 3 mm the shares differ by 0.02 of themselves at 10 kHz
NEAR, FAR = 12e-3, 28e-3  # m: how far along the string is looked, at least and at most
GUESS = 1 / (2 * pi * np.array([400.0, 8e3]))  # s
CONDUCTS = 1e3  # S/m: what conducts less has no eddy currents worth the name
FAINT = 3e-3  # change of inductance and force factor at 10 kHz below which there are none
MOST = 0.98  # of the inductance: the coil keeps some flux of its own
NONE = (2, 3)


class Fit(NamedTuple):
    """Two stages.

    Attributes
    ----------
    delay : (2,) ndarray
        L_k/R_k, s.
    inductance, flux : (2,) ndarray
        L_k as a share of the whole inductance, and κ_k.
    """

    delay: Floats
    inductance: Floats
    flux: Floats

    def ratios(self, frequency: Floats) -> Complexes:
        """L(ω)/L(0) and K(ω)/K(0) at frequencies (n,), Hz: (n, 2)."""
        return np.asarray(1.0 - _lags(frequency, self.delay) @ np.column_stack([self.inductance, self.flux]))


def ladder_of(solution: Solution, field: HeadField, inductance: float) -> Floats:
    """The two stages of a head.

    Parameters
    ----------
    solution : Solution
        Its blocks' conductivities count; iron that saturates has the permeability that small changes meet.
    field : HeadField
        Its magnets say how a string is magnetised.
    inductance : float
        Of the coil without a string, H.

    Returns
    -------
    (2, 3) ndarray
        Inductance L_k (H), resistance R_k (Ω) and share κ_k of the string's flux of every stage; zeros where eddy currents
        change nothing worth mentioning below 10 kHz.
    """
    blocks = small_change_blocks(solution)
    if all(block.conductivity < CONDUCTS for block in blocks):
        return np.zeros(NONE)
    widest = max(block.outer for block in blocks)
    ratios = responses(reduced_head(blocks), field, widest, FREQUENCIES)
    if np.abs(1.0 - ratios[-1]).max() < FAINT:
        return np.zeros(NONE)
    fit = fitted(FREQUENCIES, ratios)
    own = inductance * fit.inductance
    return np.column_stack([own, own / fit.delay, fit.flux])


def small_change_blocks(solution: Solution) -> tuple[Block, ...]:
    """A head's blocks, those of saturating iron with their mean permeability for small changes."""
    blocks = list(solution.blocks)
    for index in solution.bent:
        if blocks[index].steel is not None:
            meets = float(np.mean(1.0 / solution.incremental.axial[solution.owner == index]))
            blocks[index] = replace(blocks[index], permeability=max(1.0, meets / MU0), steel=None)
    return tuple(blocks)


def responses(reduced: Reduced, field: HeadField, widest: float, frequency: Floats) -> Complexes:
    """L(ω)/L(0) and K(ω)/K(0) of a head at frequencies (n,), Hz: (n, 2).

    K is what the coil's field does to the magnetic charges that the magnets' field leaves along a string; `widest` is the radius of
    the head's widest part, m.
    """
    r = np.linspace(2e-5, min(max(NEAR, 1.5 * widest), FAR), 150)
    along = field.magnet.at(HEIGHT, r).outwards
    if not np.any(along):
        along = field.coil.at(HEIGHT, r).outwards
    factor = np.gradient(along, r) @ upwards_above(reduced.radius, reduced.face, HEIGHT, r)
    parts = np.column_stack([reduced.linkage, factor])
    return np.asarray(reduced.lag(frequency) @ (parts / parts.sum(axis=0)))


def fitted(frequency: Floats, ratios: Complexes) -> Fit:
    """The two stages nearest to ratios (n, 2) of inductance and force factor, in the sense of least squares of their relative errors.

    With both delays given the shares follow by linear least squares, so that only two numbers are searched for.
    """

    def errors(logarithms: Floats) -> Floats:
        found = _shares(frequency, ratios, np.exp(logarithms))
        return _real(found.ratios(frequency) / ratios - 1.0).ravel()

    best = least_squares(errors, np.log(GUESS), x_scale=0.3)
    return _shares(frequency, ratios, np.exp(best.x))


def _shares(frequency: Floats, ratios: Complexes, delay: Floats) -> Fit:
    wanted = [_real((1.0 - ratios[:, part]) / ratios[:, part]) for part in (0, 1)]
    stages = [_real(_lags(frequency, delay) / ratios[:, part, None]) for part in (0, 1)]
    own, _ = nnls(stages[0], wanted[0])
    own = np.maximum(own, 1e-9)  # a stage that is not needed stays one
    flux = np.linalg.lstsq(stages[1], wanted[1], rcond=None)[0]
    return Fit(delay, np.asarray(own * min(1.0, MOST / float(own.sum())), dtype=np.float64), np.asarray(flux, dtype=np.float64))


def _lags(frequency: Floats, delay: Floats) -> Complexes:
    """jωτ/(1 + jωτ): (n, 2)."""
    turned = 2j * pi * frequency[:, None] * delay
    return np.asarray(turned / (1.0 + turned))


def _real(values: Complexes) -> Floats:
    """Real parts above imaginary ones."""
    return np.concatenate([values.real, values.imag])
