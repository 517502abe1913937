"""What electronics start from where they have been on for long."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.circuit.standing import limits, sizes, standing
from wirebloom.kernels.layout import Floats, Network, Stages

NO_CURRENT = 1e-9  # A: less than this in a coil counts as blocked


class Steady(NamedTuple):
    """Settled state of all electronics: z = (x, i, v, u), its parts, and the limits of every stage's v (W,), V."""

    state: Floats  # (X,)
    current: Floats  # (C,) A
    output: Floats  # (W,) V
    column: Floats  # (Z,)
    low: Floats
    high: Floats


def steady(network: Network, stages: Stages) -> Steady:
    """Direct-current state, input offsets and all.

    A loop whose offset would send a direct current through its drive coil starts from none of it: there the offset acts as a
    start of its own.

    Parameters
    ----------
    network : Network
    stages : Stages

    Returns
    -------
    Steady
    """
    found = _settled(network, stages)
    carried = np.abs(found.current[2 * stages.loop + 1]) > NO_CURRENT
    if np.any(carried):
        found = _settled(network, stages._replace(offset=np.where(carried, 0.0, stages.offset)))
    return found


def _settled(network: Network, stages: Stages) -> Steady:
    z, size = standing(network, stages).z, sizes(network)
    return Steady(z[: size.states], z[size.currents], z[size.volts], z, *limits(network, stages, z))
