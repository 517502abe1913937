"""A wire over a head whose iron answers it, from the Fourier-mode elements' matrix: force factor and pull as slopes of a co-energy.

Unknown are the cells' moments along the wire and upwards. Everything that acts on them is one symmetric matrix: the wire's own
charges along it, the demagnetising factor 1/2 across it, and the answer. Charges and dipoles both are charges in the oracle's planes.
"""

from dataclasses import dataclass
from math import pi
from typing import NamedTuple

import numpy as np

from heads import MU0
from heads.fourier import Oracle, spread
from wirebloom.physics.field import HeadField

CELL, CELLS = 2e-4, 125


class Entries(NamedTuple):
    """Force factor, N/A, and pull, N."""

    factor: float
    pull: float


@dataclass(frozen=True)
class Wire:
    """Plain wire of the law M = M_s tanh(chi H / M_s); a saturation of infinity makes it linear."""

    radius: float
    susceptibility: float
    saturation: float

    @property
    def volume(self):
        """Of a cell, m3."""
        return pi * self.radius**2 * CELL

    def magnetisation(self, field):
        """M, dM/dH and the integral of H dM."""
        chi, top = self.susceptibility, self.saturation
        if np.isinf(top):
            return chi * field, np.full_like(field, chi), chi * field**2 / 2
        x = chi * field / top
        cosh = np.cosh(x)
        return top * np.tanh(x), chi / cosh**2, field * top * np.tanh(x) - top**2 / chi * np.log(cosh)


def entries(field: HeadField, oracle: Oracle, wire: Wire, *, answered=True, across=True) -> Entries:
    """Force factor and pull at the oracle's height, from the co-energy one step below and above it."""
    parts = [_coenergy(field, oracle, wire, row, answered=answered, across=across) for row in (-1, 1)]
    (below, flux_below), (above, flux_above) = parts
    return Entries((flux_below - flux_above) / (2 * oracle.step), (below - above) / (2 * oracle.step))


def _coenergy(field, oracle, wire, row, *, answered, across):
    """W (J) and flux linked per current (Wb) with the axis in a plane of the oracle next to the middle one."""
    height = oracle.height + row * oracle.step
    magnet, coil = (_applied(source, height, across=across) for source in (field.magnet, field.coil))
    own = _own(wire)
    if answered:
        terms = _charges(wire, oracle, row, across=across)
        size = terms.shape[0] * terms.shape[1]
        matrix = oracle.answer.reshape(size, size)
        matrix = (matrix + matrix.T) / 2
        terms = terms.reshape(size, -1)
        answer = -terms.T @ matrix @ terms / wire.volume
    else:
        answer = np.zeros((2 * CELLS, 2 * CELLS))
    coupling = answer
    coupling[:CELLS, :CELLS] += own
    coupling[CELLS:, CELLS:] -= np.eye(CELLS) / 2
    moment, stored = _magnetised(wire, magnet / MU0, coupling)
    coenergy = 2 * MU0 * wire.volume * (moment @ (magnet / MU0) + 0.5 * moment @ coupling @ moment - stored)
    return coenergy, 2 * wire.volume * moment @ coil


def _magnetised(wire, applied, coupling):
    """M (2n,) and the integral of H dM summed, by Newton's method; across the wire the law is linear."""
    chi = wire.susceptibility
    split = np.arange(applied.size) < CELLS

    def law(h):
        along = wire.magnetisation(h)
        return tuple(np.where(split, a, b) for a, b in zip(along, (chi * h, np.full_like(h, chi), chi * h**2 / 2), strict=True))

    h = applied / 10
    for _ in range(60):
        m, slope, _ = law(h)
        step = np.linalg.solve(np.eye(h.size) - coupling * slope, h - applied - coupling @ m)
        h = h - step
        if np.max(np.abs(step)) < 1e-11 * np.max(np.abs(applied)):
            break
    else:
        raise ArithmeticError("the oracle's wire did not converge")
    m, _, energy = law(h)
    return m, np.sum(energy)


def _applied(source, height, *, across):
    """Field along the cells of the half x > 0 (their mean) and upwards at their centres, T (2n,)."""
    ends = CELL * np.arange(CELLS + 1)
    along = -np.diff(source.at(height, ends).potential) / CELL
    upwards = source.at(height, ends[:-1] + CELL / 2).upwards
    return np.concatenate([along, upwards if across else np.zeros(CELLS)])


def _own(wire):
    """Mean axial field in cell i of unit magnetisation in j and of minus that in its mirror image, charges on the surface."""

    def step(s):
        return -(wire.radius**2) / 4 / np.hypot(s, wire.radius)

    def influence(d):
        return (2 * step(d) - step(d + CELL) - step(d - CELL)) / CELL

    k = np.arange(CELLS)
    return influence(CELL * (k[:, None] - k)) - influence(CELL * (k[:, None] + k + 1))


def _charges(wire, oracle, row, *, across):
    """Charges (5, N, 2n) in the oracle's planes and places that stand for unit magnetisation along and upwards in each cell."""
    area = wire.volume / CELL
    ends = CELL * np.arange(CELLS + 1)
    at_ends = np.zeros((CELLS + 1, CELLS))
    k = np.arange(CELLS)
    at_ends[k, k], at_ends[k + 1, k] = -area, area
    charges = np.zeros((5, oracle.nodes.size, 2 * CELLS))
    charges[2 + row, :, :CELLS] = spread(oracle.nodes, ends).T @ at_ends
    if across:
        pair = spread(oracle.nodes, ends[:-1] + CELL / 2).T * wire.volume / (2 * oracle.step)
        charges[3 + row, :, CELLS:], charges[1 + row, :, CELLS:] = pair, -pair
    return charges
