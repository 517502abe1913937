"""Where on its demagnetisation curve a magnet stands."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.geometry import Block
from wirebloom.physics.wire import MU0

Floats = NDArray[np.float64]

SOUND = 0.95  # share of the remanence below which a magnet with a knee counts as weakened


class WorkingPoint(NamedTuple):
    """Means over a magnet's volume, along its magnetisation.

    Attributes
    ----------
    flux_density : float
        B, T.
    field : float
        H, A/m; negative: against the magnetisation.
    left : float
        Share of the remanence that is left.
    beyond : float
        Share of the volume that has come past its knee; of a magnet taken as a straight line, past the least coercivity of
        polarisation of its grade (by as much as specimens exceed it, the knee lies below: common practice, no source).
    """

    flux_density: float
    field: float
    left: float
    beyond: float

    @property
    def permeance(self) -> float:
        """Slope of the load line, −B/(μ0 H)."""
        return -self.flux_density / (MU0 * self.field) if self.field else float("inf")


def working_point(block: Block, remanence: Floats, b_z: Floats, weight: Floats) -> WorkingPoint:
    """Working point of one magnet.

    Parameters
    ----------
    block : Block
    remanence : (M,) ndarray
        Left in each of its elements, T.
    b_z, weight : (M, Q) ndarray
        Axial flux density at the quadrature points, T, and their shares of the volume.

    Returns
    -------
    WorkingPoint
    """
    sign, share = np.sign(block.remanence), weight / weight.sum()
    left = sign * remanence[:, None] * np.ones_like(b_z)
    field = (sign * b_z - left) / (MU0 * block.permeability)
    full = abs(block.remanence)
    past = left < SOUND * full if block.knee is not None else -field > block.coercivity
    means = (float(np.sum(share * values)) for values in (sign * b_z, field, left / full, past))
    return WorkingPoint(*means)
