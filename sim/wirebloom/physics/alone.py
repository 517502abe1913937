"""What its own field leaves of a magnet that lies in air, before it comes into a head."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator

from wirebloom.physics.axisymmetric import Factors, flux_density, isotropic, stiffness
from wirebloom.physics.demagnetising import DemagnetisingCurve
from wirebloom.physics.geometry import Block
from wirebloom.physics.head_mesh import head_basis, materials
from wirebloom.physics.laws import KneeLaw
from wirebloom.physics.newton import Region, Straight, part_of, settle

Floats = NDArray[np.float64]
Left = Callable[[Floats, Floats], Floats]

FINEST, COARSEST = 1e-4, 1.2e-3  # cells, m: what is left varies smoothly but at the rims


def left_alone(block: Block) -> Left:
    """Remanence that is left in a magnet magnetised to saturation and then taken into air.

    Parameters
    ----------
    block : Block
        A magnet with a knee.

    Returns
    -------
    callable
        (radius, height) in the head's frame, m, any shape → T, at least 0, in the magnet's own direction.
    """
    if block.knee is None:
        raise ValueError("knee must be given; instead received nothing.")
    grid = _left(block.inner, block.outer, block.top - block.bottom, block.knee)

    def left(radius: Floats, height: Floats) -> Floats:
        r, z = grid.grid
        places = np.stack([np.clip(radius, r[0], r[-1]), np.clip(height - block.top, z[0], z[-1])], axis=-1)
        return np.asarray(grid(places))

    return left


@lru_cache(maxsize=32)
def _left(inner: float, outer: float, height: float, knee: DemagnetisingCurve) -> RegularGridInterpolator:
    """Remanence over radius and height below the magnet's upper face, at the quadrature points of a mesh of its own."""
    block = Block(inner, outer, -height, 0.0, knee.recoil, knee.remanence, knee=knee)
    basis = head_basis([block], FINEST, COARSEST)
    made = materials([block], basis)
    factors = Factors(basis, stiffness(basis, isotropic(made.reluctivity)))
    elements = np.flatnonzero(made.owner == 0)
    own = part_of(basis, elements)
    law = KneeLaw(knee, 1.0, np.full(own.dx.shape, knee.remanence))
    potential = settle(Straight(basis, made.reluctivity, made.remanence, factors), [Region(elements, own, law)])
    places = own.global_coordinates()
    return _on_grid(places[0], places[1], law.remaining(flux_density(own, potential)[1]))


def _on_grid(radius: Floats, height: Floats, values: Floats) -> RegularGridInterpolator:
    """Values at points that form a grid, as all quadrature points of a tensor mesh do."""
    r, column = np.unique(np.round(radius, 10), return_inverse=True)
    z, row = np.unique(np.round(height, 10), return_inverse=True)
    table = np.empty((r.size, z.size))
    table[column, row] = values
    return RegularGridInterpolator((r, z), table)
