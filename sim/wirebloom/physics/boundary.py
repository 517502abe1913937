"""Magnetic charge that a field from outside induces on iron, harmonic by harmonic around the axis: boundary elements.

H = −∇(φ_applied + φ_σ) with a surface charge σ (A/m) on every interface; the same B_n on both sides, with the normal n into the
less permeable side, asks for −(μ₁ + μ₂)/(2(μ₁ − μ₂)) σ − K′σ = ∂φ_applied/∂n, where K′σ is the mean of ∂φ_σ/∂n on both sides.
Constants on the surface of a very permeable body nearly solve this with nothing applied, which would blow up errors of K′ by
the permeability: what the flux through the whole surface, zero, says of σ is added to its equations.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.interfaces import GAUSS_NODES, ORDER, Panels
from wirebloom.physics.rings import ring_field, ring_potential

Floats = NDArray[np.float64]

CLOSE = 1.0  # half lengths of a panel from its middle: within so many its neighbourhood is integrated piece by piece
PIECES = 6  # halvings towards the nearest point: what is left is 2 % of the panel
CACHED = 16000  # pairs of places evaluated at a time
INNER_NODES, INNER_WEIGHTS = np.polynomial.legendre.leggauss(4)


@dataclass(frozen=True)
class Iron:
    """Iron of a head as panels.

    Attributes
    ----------
    panels : Panels
    harmonics : int
        Highest m.
    """

    panels: Panels
    harmonics: int

    @property
    def nodes(self) -> tuple[Floats, Floats]:
        """Radii and heights of the N nodes, m."""
        flat = self.panels.nodes.reshape(-1, 2)
        return flat[:, 0], flat[:, 1]

    def charge(self, applied_slope: Floats) -> Floats:
        """Radius × length × σ at the nodes (M + 1, N, S) that an applied ∂φ/∂n (M + 1, N, S) induces."""
        solved = np.linalg.solve(self._matrix, applied_slope)
        return np.asarray(self.panels.weights.reshape(-1, 1) * solved)

    def normal_slope(self, rings: tuple[Floats, Floats]) -> Floats:
        """∂g/∂n at the nodes of rings at S places (M + 1, N, S), 1/m²."""
        r, z = self.nodes
        field = ring_field((r[:, None], z[:, None]), rings, self.harmonics)
        normal = np.repeat(self.panels.normal, ORDER, axis=0)
        return np.asarray(normal[:, :1] * field.outwards + normal[:, 1:] * field.upwards)

    def potential(self, place: tuple[Floats, Floats]) -> Floats:
        """Potential g (M + 1, P, N) at P places off the iron of rings at the nodes, 1/m."""
        r, z = place
        return ring_potential((r[:, None], z[:, None]), self.nodes, self.harmonics)

    @cached_property
    def _matrix(self) -> Floats:
        """−(μ₁ + μ₂)/(2(μ₁ − μ₂)) − K′ with what the bodies' zero flux adds, (M + 1, N, N)."""
        panels = self.panels
        matrix = -self._mean_slope()
        count = matrix.shape[1]
        share = (panels.inside + panels.outside) / (2 * (panels.inside - panels.outside))
        matrix[:, np.arange(count), np.arange(count)] -= np.repeat(share, ORDER)
        per_charge = panels.inside * panels.outside / (panels.inside - panels.outside)
        for body in panels.bodies:
            flux = (panels.weights * (per_charge * body)[:, None]).ravel()
            matrix[0] -= np.repeat(body, ORDER)[:, None] * flux / flux.sum()
        return matrix

    def _mean_slope(self) -> Floats:
        """K′ (M + 1, N, N): far panels by their Gauss nodes, close ones piece by piece."""
        panels = self.panels
        places, count = panels.nodes.reshape(-1, 1, 2), panels.half.shape[0]
        way = places - panels.middle
        close = np.hypot(*np.moveaxis(way, -1, 0)) < (1 + CLOSE) * np.hypot(*panels.half.T)
        matrix = np.empty((self.harmonics + 1, places.shape[0], count, ORDER))
        row, panel = np.nonzero(~close)
        matrix[:, row, panel] = self._slope_from(row, panel, np.broadcast_to(GAUSS_NODES, (row.size, ORDER))) * panels.weights[panel]
        row, panel = np.nonzero(close)
        matrix[:, row, panel] = self._close(row, panel)
        return matrix.reshape(self.harmonics + 1, places.shape[0], -1)

    def _close(self, row: NDArray[np.intp], panel: NDArray[np.intp]) -> Floats:
        """Entries (M + 1, C, ORDER) of C pairs of a node and a panel near it."""
        place, weight = _pieces(self._nearest(row, panel))
        slope = self._slope_from(row, panel, place)
        half = np.hypot(*self.panels.half[panel].T)
        radius = self.panels.middle[panel, :1] + place * self.panels.half[panel, :1]
        return np.asarray(np.einsum("mcq,cq,cqk->mck", slope, weight * radius * half[:, None], _shapes(place), optimize=True))

    def _nearest(self, row: NDArray[np.intp], panel: NDArray[np.intp]) -> Floats:
        """Coordinate −1 … 1 of the point of the panel that is nearest to the node."""
        half = self.panels.half[panel]
        way = self.panels.nodes.reshape(-1, 2)[row] - self.panels.middle[panel]
        return np.asarray(np.clip((way * half).sum(axis=1) / (half**2).sum(axis=1), -1.0, 1.0))

    def _slope_from(self, row: NDArray[np.intp], panel: NDArray[np.intp], place: Floats) -> Floats:
        """∂g/∂n at nodes (C,) of rings on panels (C,) at coordinates (C, Q): (M + 1, C, Q), some at a time to stay in the cache."""
        slope = np.empty((self.harmonics + 1, *place.shape))
        step = max(1, CACHED // place.shape[1])
        for k in range(0, row.size, step):
            some = slice(k, k + step)
            slope[:, some] = self._slope_of(row[some], panel[some], place[some])
        return slope

    def _slope_of(self, row: NDArray[np.intp], panel: NDArray[np.intp], place: Floats) -> Floats:
        panels = self.panels
        r, z = (part[row][:, None] for part in self.nodes)
        ring = panels.middle[panel][:, None] + place[..., None] * panels.half[panel][:, None]
        field = ring_field((r, z), (ring[..., 0], ring[..., 1]), self.harmonics)
        normal = panels.normal[row // ORDER][:, None]
        return np.asarray(normal[..., 0] * field.outwards + normal[..., 1] * field.upwards)


def _pieces(nearest: Floats) -> tuple[Floats, Floats]:
    """Gauss nodes and weights (C, Q) on pieces of −1 … 1 halved towards a point of it (C,)."""
    cuts = np.concatenate([[0.0], 0.5 ** np.arange(PIECES, -1.0, -1.0)])
    middle, half = (cuts[1:] + cuts[:-1]) / 2, np.diff(cuts) / 2
    share = (middle[:, None] + half[:, None] * INNER_NODES).ravel()
    weight = (half[:, None] * INNER_WEIGHTS).ravel()
    left, right = -1.0 - nearest[:, None], 1.0 - nearest[:, None]
    place = nearest[:, None] + np.concatenate([left * share, right * share], axis=1)
    return place, np.concatenate([-left * weight, right * weight], axis=1)


def _shapes(place: Floats) -> Floats:
    """Polynomials (…, ORDER) that are one at one Gauss node and zero at the others."""
    others = [np.delete(GAUSS_NODES, k) for k in range(ORDER)]
    columns = [np.prod([(place - o) / (GAUSS_NODES[k] - o) for o in others[k]], axis=0) for k in range(ORDER)]
    return np.stack(columns, axis=-1)
