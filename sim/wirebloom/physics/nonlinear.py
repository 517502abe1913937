"""A head with saturating iron or magnets with a knee: what its magnets have left, and what its coil meets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.alone import left_alone
from wirebloom.physics.axisymmetric import Factors, Tensor, flux_density, isotropic
from wirebloom.physics.geometry import Block
from wirebloom.physics.head_mesh import Materials
from wirebloom.physics.laws import KneeLaw, SteelLaw
from wirebloom.physics.newton import Law, Region, Straight, mean_slope, part_of, settle

Floats = NDArray[np.float64]

BENDS = 1.2  # T: flux density in linear iron above which its curve is followed


class Settled(NamedTuple):
    """State of a head under its own magnets.

    Attributes
    ----------
    potential : (D,) ndarray
        A_φ of the magnets, T m.
    remanence : (E,) ndarray
        What is left, T.
    incremental : Tensor of (E,) ndarray
        Reluctivity for small changes, m/H.
    """

    potential: Floats
    remanence: Floats
    incremental: Tensor


def bends(blocks: Sequence[Block], owner: NDArray[np.int64], basis: Any, linear: Floats) -> tuple[int, ...]:
    """Indices of the blocks whose curves matter, given A_φ of the magnets by straight lines (D,)."""
    flux = np.hypot(*flux_density(basis, linear)).mean(axis=1)

    def bend(index: int, block: Block) -> bool:
        own = flux[owner == index]
        return own.size > 0 and (block.knee is not None or (block.steel is not None and float(np.quantile(own, 0.98)) > BENDS))

    return tuple(index for index, block in enumerate(blocks) if bend(index, block))


def settled(blocks: Sequence[Block], basis: Any, made: Materials, factors: Factors, bent: Sequence[int]) -> Settled:
    """Let the curves of some blocks act.

    Parameters
    ----------
    blocks : sequence of Block
    basis : skfem.Basis
    made : Materials
    factors : Factors
        Of the matrix by straight lines.
    bent : sequence of int
        Blocks whose curves are followed.

    Returns
    -------
    Settled
    """
    alone = _all_air_but(bent, blocks)
    regions = [_region(blocks[index], np.flatnonzero(made.owner == index), basis, alone=alone) for index in bent]
    remanence = _left_in(regions, made.remanence)
    potential = settle(Straight(basis, made.reluctivity, remanence, factors), regions)
    return Settled(potential, _left_in(regions, remanence, potential), _incremental(regions, made.reluctivity, potential))


def _all_air_but(bent: Sequence[int], blocks: Sequence[Block]) -> bool:
    """Whether a single magnet is all there is besides the coil: then apart and in place are the same."""
    others = [block for index, block in enumerate(blocks) if index not in bent]
    return len(bent) == 1 and all(block.permeability == 1.0 and not block.remanence for block in others)


def _region(block: Block, elements: NDArray[np.int64], basis: Any, *, alone: bool) -> Region:
    own = part_of(basis, elements)
    if block.knee is None:
        return Region(elements, own, SteelLaw(block.steel or ()))
    full = np.full(own.dx.shape, block.knee.remanence)
    left = left_alone(block)(*own.global_coordinates()) if block.apart and not alone else full
    return Region(elements, own, KneeLaw(block.knee, float(np.sign(block.remanence)), left))


def _left_in(regions: Sequence[Region], remanence: Floats, potential: Floats | None = None) -> Floats:
    """Remanence of every element: what was left before, or after a field (D,) has acted, T."""
    found = remanence.copy()
    for region in regions:
        law: Law = region.law
        if isinstance(law, KneeLaw):
            left = law.left if potential is None else law.remaining(flux_density(region.basis, potential)[1])
            found[region.elements] = law.sign * left.mean(axis=1)
    return found


def _incremental(regions: Sequence[Region], reluctivity: Floats, potential: Floats) -> Tensor:
    """Reluctivity for small changes: the curve's slope in iron; a magnet goes along its recoil line."""
    found = Tensor(*(part.copy() for part in isotropic(reluctivity)))
    for region in regions:
        if isinstance(region.law, SteelLaw):
            for part, slope in zip(found, mean_slope(region, potential), strict=True):
                part[region.elements] = slope
    return found
