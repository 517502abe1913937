"""Everything that acts on a wire at one height over a head: magnets, coil, and the iron's answer to the wire itself.

Iron below the face answers the wire's magnetic charges and dipoles like an image. Its potential is −Σ_k f_k(P) a_k, with
amplitudes a_k = A [Σ M_x Δf_k − dx Σ (M_y S_k + M_z U_k)] of the wire's magnetisation: Δf over a cell of length dx, S and U
the fields −∂f/∂y and −∂f/∂z of the answer's k-th term. Magnetisation across the wire is linear, M = χ_t H, so that what it gets
back of its own answer sums to Z = (I − χ_t A dx Q)⁻¹ with Q = SᵀS + UᵀU.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.field import AxialField, HeadField
from wirebloom.physics.wire import MU0, Surroundings, WireGrid

if TYPE_CHECKING:
    from wirebloom.physics.reaction import Reaction

Floats = NDArray[np.float64]
NEAREST_AXIS = 2.5e-4  # m: height of the wire's axis from which on the iron's answer is known


class Components(NamedTuple):
    """A vector at the wire's cell centres: along the wire, across it sideways, across it upwards (…, n)."""

    along: Floats
    sideways: Floats
    upwards: Floats

    def __add__(self, other: Components) -> Components:  # type: ignore[override]
        return Components(*(a + b for a, b in zip(self, other, strict=True)))

    def times(self, factor: float | Floats) -> Components:
        """Every component multiplied."""
        return Components(*(factor * part for part in self))


class Answer(NamedTuple):
    """Terms of the iron's answer (…, n, K): differences of f along each cell, and fields across it at its centre."""

    along: Floats
    sideways: Floats
    upwards: Floats


@dataclass(frozen=True)
class Exposure:
    """A wire at one height and B offsets.

    Attributes
    ----------
    grid : WireGrid
    across : float or (B, 1) ndarray
        Susceptibility across the wire.
    magnet, coil : Components
        Their fields, T and T/A.
    magnet_slope, coil_slope : Components
        ∂/∂z of these.
    answer, answer_slope : Answer
    """

    grid: WireGrid
    across: float | Floats
    magnet: Components
    coil: Components
    magnet_slope: Components
    coil_slope: Components
    answer: Answer
    answer_slope: Answer

    @property
    def section(self) -> float:
        """Area of the magnetic wire, m²."""
        return self.grid.cell_volume / (2.0 * self.grid.cell)

    def surroundings(self) -> Surroundings:
        """Fields along the wire, with what they get back through the magnetisation across it."""
        along = self.answer.along
        back = np.asarray(self.across)[..., None] * self.section**2 * np.matmul(self._crossing, self._echo)
        mixing = self.section / self.grid.cell * np.eye(along.shape[-1]) + (back + _turned(back)) / 2.0
        coupling = self.grid.self_field + np.matmul(np.matmul(along, mixing), _turned(along))
        return Surroundings(self._felt(self.magnet), self._felt(self.coil), coupling)

    @cached_property
    def _crossing(self) -> Floats:
        """Q, (B, K, K), m⁻³."""
        _, sideways, upwards = self.answer
        return np.asarray(np.matmul(_turned(sideways), sideways) + np.matmul(_turned(upwards), upwards))

    @cached_property
    def _echo(self) -> Floats:
        """Z, (B, K, K), by its first three echoes: each is a few hundredths of the one before."""
        one = np.eye(self._crossing.shape[-1])
        echo = np.asarray(self.across)[..., None] * self.section * self.grid.cell * self._crossing
        return np.asarray(one + np.matmul(echo, one + np.matmul(echo, one + echo)))

    def _felt(self, field: Components) -> Floats:
        """Field along the wire (B, n), A/m, of an applied one in T."""
        return np.asarray((field.along + MU0 * _applied(self.answer.along, self._across_amplitude(field)) / self.grid.cell) / MU0)

    def _along_amplitude(self, magnetisation: Floats) -> Floats:
        """Amplitudes a_k (B, K), A m^½, of a magnetisation along the wire, A/m."""
        return np.asarray(self.section * _summed(self.answer.along, magnetisation))

    def _across_amplitude(self, field: Components) -> Floats:
        """Amplitudes a_k of what a field in T magnetises across the wire."""
        moved = _summed(self.answer.sideways, field.sideways) + _summed(self.answer.upwards, field.upwards)
        return np.asarray(-self.section * self.grid.cell * self.across / MU0 * _applied(self._echo, moved))

    def with_answer(self, applied: Components, along: Floats) -> tuple[Components, Components, Floats]:
        """An applied field with the iron's answer to the axial magnetisation (B, n), A/m, in it.

        Returns the field (T), the whole magnetisation (A/m) and the answer's amplitudes (B, K).
        """
        own = self._along_amplitude(along)
        outer = Components(
            applied.along, *(part - MU0 * _applied(terms, own) for part, terms in zip(applied[1:], self.answer[1:], strict=True))
        )
        across = self._across_amplitude(outer)
        field = Components(
            applied.along + MU0 / self.grid.cell * _applied(self.answer.along, across),
            *(part - MU0 * _applied(terms, across) for part, terms in zip(outer[1:], self.answer[1:], strict=True)),
        )
        moment = Components(along, self.across / MU0 * field.sideways, self.across / MU0 * field.upwards)
        return field, moment, own + across

    def slope_with_answer(self, slope: Components, amplitude: Floats) -> Components:
        """∂/∂z of that field where the wire stands, its own magnetisation held in place, T/m."""
        along = MU0 / self.grid.cell * _applied(self.answer_slope.along, amplitude)
        return slope + Components(along, *(-MU0 * _applied(terms, amplitude) for terms in self.answer_slope[1:]))

    def product(self, a: Components, b: Components) -> Floats:
        """∫ a·M dV (B,), J per unit of the two fields, of the magnetisation M that field b makes across the wire."""
        density = self.across / MU0 * (a.sideways * b.sideways + a.upwards * b.upwards)
        moved = _summed(self.answer.sideways, a.sideways) + _summed(self.answer.upwards, a.upwards)
        returned = -self.across * np.sum(moved * self._across_amplitude(b), axis=-1, keepdims=True)
        return np.asarray(self.grid.cell_volume * (np.sum(density, axis=-1) + returned[..., 0]))


def expose(head: tuple[HeadField, Reaction], grid: WireGrid, across: float, height: float, offsets: Floats) -> Exposure:
    """Collect what acts on a wire.

    Parameters
    ----------
    head : (HeadField, Reaction)
        Its fields, and how its iron answers.
    grid : WireGrid
    across : float
        Susceptibility across the wire.
    height : float
        Of the wire's axis above the face, m.
    offsets : (B,) ndarray
        Of the wire's axis from the head's, m.

    Returns
    -------
    Exposure
    """
    field, reaction = head
    magnet, magnet_slope = (components(field.magnet, grid, height, offsets, slope=slope) for slope in (0, 1))
    coil, coil_slope = (components(field.coil, grid, height, offsets, slope=slope) for slope in (0, 1))
    answer, answer_slope = _answers(reaction, grid, height, offsets)
    return Exposure(grid, across, magnet, coil, magnet_slope, coil_slope, answer, answer_slope)


def components(axial: AxialField, grid: WireGrid, height: float, offsets: Floats, *, slope: int = 0) -> Components:
    """A field in the cells for each offset; with slope = 1 its ∂/∂z.

    Along the wire it is the cell's mean, the difference of the potential at its ends: sampling would alias the rim of
    the core when the wire is nearer to the face than a cell is long.
    """
    y = offsets[:, None]
    ends, centres = np.hypot(grid.ends, y), np.hypot(grid.centres, y)
    along = np.asarray(-np.diff(axial.at(height, ends, slope=slope).potential, axis=1) / grid.cell)
    across = axial.at(height, centres, slope=slope)
    return Components(along, y / centres * across.outwards, across.upwards)


def _answers(reaction: Reaction, grid: WireGrid, height: float, offsets: Floats) -> tuple[Answer, Answer]:
    """Terms of the iron's answer (B, n, K) and their ∂/∂z; nearer than NEAREST_AXIS as they are there."""
    y = offsets[:, None]
    ends = reaction.along(height, grid.ends[None, :], y)
    centres = reaction.across(height, grid.centres[None, :], y)
    slope = Answer(np.diff(ends.potential_slope, axis=1), centres.sideways_slope, centres.upwards_slope)
    return Answer(np.diff(ends.potential, axis=1), centres.sideways, centres.upwards), slope


def _turned(terms: Floats) -> Floats:
    return np.swapaxes(terms, -1, -2)


def _applied(terms: Floats, amplitude: Floats) -> Floats:
    """Σ_k terms_k a_k, (B, n)."""
    return np.asarray(np.matmul(terms, amplitude[..., None])[..., 0])


def _summed(terms: Floats, moment: Floats) -> Floats:
    """Σ over the cells of terms times a moment, (B, K)."""
    return np.asarray(np.matmul(_turned(terms), moment[..., None])[..., 0])
