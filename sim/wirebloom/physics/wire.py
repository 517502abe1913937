"""A steel string in a head's field: its axial magnetisation by a 1-D integral equation.

Charges sit on the wire's surface between uniform cells of length dx. A unit step of axial magnetisation at distance s
gives on the axis H = dg/ds with g(s) = −(a²/4)/√(s² + a²), so the mean field of cell j in cell i, at distance D, is
T(D) = [2g(D) − g(D + dx) − g(D − dx)]/dx: symmetric, hence one co-energy for force and flux linkage.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import pi

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.steel import WireMaterial

Floats = NDArray[np.float64]

MU0 = 4e-7 * pi  # H/m; the measured value differs by 1e-10
NEWTON_STEPS, HALVINGS = 60, 20
LAST_STEP = 1e-6  # of the largest field: convergence is quadratic, so that after such a step 1e-12 is left


@dataclass(frozen=True)
class WireGrid:
    """The half x > 0 of a straight wire over a head, cut into uniform cells; the other half is its mirror image.

    Attributes
    ----------
    radius : float
        Of the magnetic wire or core, a, m.
    half_length : float
        Length of the magnetised piece to each side of the head, m.
    cells : int
        Cells per half.
    """

    radius: float
    half_length: float = 0.025
    cells: int = 125

    @property
    def cell(self) -> float:
        """Length of a cell, m."""
        return self.half_length / self.cells

    @property
    def centres(self) -> Floats:
        """Cell centres on the positive half, m (n,)."""
        return np.asarray((np.arange(self.cells) + 0.5) * self.cell, dtype=np.float64)

    @property
    def ends(self) -> Floats:
        """Ends of the cells on the positive half, m (n + 1,)."""
        return np.asarray(np.arange(self.cells + 1) * self.cell, dtype=np.float64)

    @property
    def both_sides(self) -> Floats:
        """Cell centres of both halves, from one end to the other, m (2n,)."""
        return np.concatenate([-self.centres[::-1], self.centres])

    @property
    def cell_volume(self) -> float:
        """Volume of a cell and its mirror image together, m³."""
        return 2 * pi * self.radius**2 * self.cell

    @cached_property
    def self_field(self) -> Floats:
        """Matrix (n, n) of the axial field in cell i of a unit magnetisation in cell j and minus that in j's image."""
        k = np.arange(float(self.cells))
        near = self.influence((k[:, None] - k[None, :]) * self.cell)
        return near - self.influence((k[:, None] + k[None, :] + 1) * self.cell)

    def influence(self, distance: Floats) -> Floats:
        """T(D): mean axial field in a cell at a distance D, in m, from a cell of unit magnetisation."""
        dx = self.cell
        between = self._step_potential(distance + dx) + self._step_potential(distance - dx)
        return np.asarray((2 * self._step_potential(distance) - between) / dx)

    def _step_potential(self, s: Floats) -> Floats:
        """g(s) of the module's head, m."""
        return np.asarray(-(self.radius**2) / 4 / np.sqrt(s**2 + self.radius**2))


@dataclass(frozen=True)
class Surroundings:
    """What acts on B wires: applied fields along them, and how each cell's magnetisation acts on the others.

    Attributes
    ----------
    applied : (B, n) ndarray
        Axial field of the magnets at the cell centres, A/m.
    per_ampere : (B, n) ndarray
        Axial field of the coil per ampere, 1/m.
    coupling : (n, n) or (B, n, n) ndarray
        Axial field in cell i of a unit magnetisation in cell j, symmetric: the wire's own and that of the iron's answer.
    """

    applied: Floats
    per_ampere: Floats
    coupling: Floats

    def own_field(self, magnetisation: Floats) -> Floats:
        """Field that the magnetisation (B, n) makes in the wire, A/m."""
        return np.asarray(np.matmul(self.coupling, magnetisation[..., None])[..., 0])


@dataclass(frozen=True)
class Magnetised:
    """State of a wire in B sets of applied fields.

    Attributes
    ----------
    field : (B, n) ndarray
        Total axial field H, A/m.
    magnetisation : (B, n) ndarray
        M, A/m.
    per_ampere : (B, n) ndarray
        dM/di at zero current along the bias curve, 1/m.
    reversible : (B, n) ndarray
        dM/di by the reversible susceptibility, 1/m.
    """

    field: Floats
    magnetisation: Floats
    per_ampere: Floats
    reversible: Floats


def magnetise(material: WireMaterial, around: Surroundings, guess: Floats | None = None) -> Magnetised:
    """Solve H = H_applied + T M(H) for B wires at once, and its answer to a small current.

    Parameters
    ----------
    material : WireMaterial
    around : Surroundings
    guess : (B, n) ndarray, optional
        Field to start from, A/m.

    Returns
    -------
    Magnetised

    Raises
    ------
    ArithmeticError
        If Newton's method has not converged, with the residual.
    """
    applied = around.applied
    field = applied / (1 + material.susceptibility / 10) if guess is None else guess
    scale, last = float(np.max(np.abs(applied))), 0.0
    for _ in range(NEWTON_STEPS):
        residual = field - applied - around.own_field(material.magnetisation(field))
        slope = material.slope(field)
        solved = np.linalg.solve(_tangent(around, slope), np.stack([residual, around.per_ampere], axis=-1))
        step: Floats = np.asarray(solved[..., 0], dtype=np.float64)
        response = slope * solved[..., 1]
        field = field - _share(material, around, field, step, residual) * step
        last = float(np.max(np.abs(step)))
        if last <= LAST_STEP * scale:
            return Magnetised(field, material.magnetisation(field), response, _reversible(material, around, field, response))
    raise ArithmeticError(f"the wire's magnetisation must converge; instead Newton's last step was {last:.1e} A/m of {scale:.1e}.")


def _tangent(around: Surroundings, slope: Floats) -> Floats:
    """I − T diag(dM/dH), (B, n, n)."""
    return np.asarray(np.eye(slope.shape[-1]) - around.coupling * slope[:, None, :])


def _reversible(material: WireMaterial, around: Surroundings, field: Floats, response: Floats) -> Floats:
    """dM/di with the reversible susceptibility in place of the bias curve's slope."""
    if material.reversible is None:
        return response
    slope = material.reversible_slope(field)
    return np.asarray(slope * np.linalg.solve(_tangent(around, slope), around.per_ampere[..., None])[..., 0])


def _share(material: WireMaterial, around: Surroundings, field: Floats, step: Floats, residual: Floats) -> Floats:
    """Share of a Newton step to take for each wire (B, 1): halved until the residual falls or is round-off.

    Of the change of the residual only the magnetisation's part is not linear in the share.
    """
    share = np.ones((field.shape[0], 1))
    size = np.max(np.abs(residual), axis=1, keepdims=True)
    allowed = size + 1e-9 * np.max(np.abs(field))
    for _ in range(HALVINGS):
        change = material.magnetisation(field - share * step) - material.magnetisation(field)
        new = residual - share * step - around.own_field(change)
        worse = np.max(np.abs(new), axis=1, keepdims=True) > allowed
        if not worse.any():
            break
        share = np.where(worse, share / 2, share)
    return share


def axial_coenergy(grid: WireGrid, material: WireMaterial, around: Surroundings, state: Magnetised) -> Floats:
    """Co-energy of the axial magnetisation, J (B,).

    W = μ0 V Σ [M H_applied + ½ M (T M) − ∫H dM]: stationary at the solution, so that dW = μ0 V Σ M dH_applied.
    """
    m = state.magnetisation
    density = m * around.applied + 0.5 * m * around.own_field(m) - material.energy(state.field)
    return np.asarray(MU0 * grid.cell_volume * density.sum(axis=1))
