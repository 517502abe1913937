"""One string over its heads, some of which can be moved nearer or further, and what their magnets do to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.balance import Balance, Field
from wirebloom.physics.bspline import weights_at
from wirebloom.physics.equilibrium import Equilibrium, make_balance, static_equilibrium
from wirebloom.physics.head_table import HeadTable

Floats = NDArray[np.float64]
SPAN = 1e-6  # of the difference that gives a stiffness, m


@dataclass(frozen=True)
class Stand:
    """One string over its heads, some of which can be moved nearer or further.

    Attributes
    ----------
    compliance : (2, J, J) ndarray
        Of each polarisation from pole to pole, m/N.
    tables : tuple of HeadTable
        J of them.
    gap, offset : (J,) ndarray
        With the string straight, m.
    radius, recess : (J, 2) ndarray
        Of the two steps of each face, and their depths below the face plane, m.
    pole : int
        The head that is looked at.
    moving : tuple of int
        The heads that are moved, this one among them.
    """

    compliance: Floats
    tables: tuple[HeadTable, ...]
    gap: Floats
    offset: Floats
    radius: Floats
    recess: Floats
    pole: int
    moving: tuple[int, ...]

    def at(self, gap: float) -> Stand:
        """The same with the moving heads at another gap (m)."""
        moved = self.gap.copy()
        moved[list(self.moving)] = gap
        return replace(self, gap=moved)

    def stronger(self, pull: float) -> Stand:
        """The same with heads that all pull so many times as strongly."""
        return replace(self, tables=tuple(table.scaled(1.0, pull) for table in self.tables))

    def rest(self) -> Equilibrium:
        """Static equilibrium of the string over all its heads."""
        return static_equilibrium(self.compliance, self.field(), self.gap, self.depth)

    def balance(self) -> Balance:
        """The string's poles as equations."""
        return make_balance(self.compliance, self.field(), self.gap, self.depth)

    def field(self) -> Field:
        """Pull (J, 2), N, on the string displaced by (J, 2), m: towards each head, and sideways."""
        pulls = [_table_forces(table) for table in self.tables]

        def pull(u: Floats) -> Floats:
            gaps, sides = self.gap - u[:, 0], self.offset + u[:, 1]
            return np.array([one(float(g), float(y)) for one, g, y in zip(pulls, gaps, sides, strict=True)])

        return pull

    def depth(self, u: Floats) -> Floats:
        """How far beyond the face plane each pole may go (J,), m: infinite beside the head."""
        inside = np.abs(self.offset + u[:, 1])[:, None] <= self.radius
        return np.asarray(np.where(inside[:, 0], self.recess[:, 0], np.where(inside[:, 1], self.recess[:, 1], np.inf)))

    def stiffness(self) -> Floats:
        """Of the string over the head, towards it and sideways, its other poles left free: (2,) N/m."""
        return np.asarray(1.0 / self.compliance[:, self.pole, self.pole])


def side_stiffness(table: HeadTable, gap: float, offsets: Floats) -> Floats:
    """Stiffness that the magnets add to a string sideways, −∂F_y/∂y, (Y,) N/m: negative where they pull it aside."""
    half = SPAN / 2.0
    there = np.array([table.sideways_force(gap, float(y) + half) for y in offsets])
    here = np.array([table.sideways_force(gap, float(y) - half) for y in offsets])
    return np.asarray((here - there) / SPAN)


def pull_gradient(table: HeadTable, gap: float, offset: float) -> float:
    """How fast the pull rises towards the head, −∂F/∂gap, N/m: above the string's own stiffness it cannot hold on."""
    half = SPAN / 2.0
    gap = min(gap, float(table.gap[-1]) - SPAN)  # beyond its end a table knows no force, which is no edge of the field
    return (table.pull(gap - half, offset) - table.pull(gap + half, offset)) / SPAN


def _table_forces(table: HeadTable) -> Callable[[float, float], tuple[float, float]]:
    """Pull towards a head and force sideways, N, at a gap and an offset, m: as `HeadTable.pull`, ten times as fast."""
    own = np.ascontiguousarray(table.coefficient[..., 0])
    rows, columns = own.shape
    last = float(table.gap[-1]) * (1.0 - 1e-9)  # beyond it the pull is held: no edge, at which a string could seem to give way

    def forces(gap: float, offset: float) -> tuple[float, float]:
        g, by_gap, slope_gap = weights_at(min(gap, last), table.gap_start, table.gap_step, rows)
        y, by_side, slope_side = weights_at(offset, table.offset_start, table.offset_step, columns)
        patch = own[g : g + 4, y : y + 4]
        return -float(slope_gap @ patch @ by_side), float(by_gap @ patch @ slope_side)

    return forces
