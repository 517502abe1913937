"""What a head would do if what is not known of it were otherwise: one quantity at a time, at either end of its range."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.exposure import Exposure
from wirebloom.physics.head_table import REMANENCE, SOURCES
from wirebloom.physics.steel import WireMaterial
from wirebloom.physics.sweep import force_loads
from wirebloom.physics.wire import magnetise
from wirebloom.rig.magnetism import Magnetism

Floats = NDArray[np.float64]


def shifts(exposures: Sequence[Exposure], steel: Magnetism, nominal: WireMaterial) -> Floats:
    """Natural logarithm of force factor and pull over their nominal values, for every source at its weak and its strong end.

    Parameters
    ----------
    exposures : sequence of Exposure
        Of one wire at several heights, one offset each.
    steel : Magnetism
        Ranges of the steel's magnetism.
    nominal : WireMaterial

    Returns
    -------
    (B, Q, 2, 2) ndarray
        Over heights; sources; weak and strong end; force factor and pull. Zeros where a head has no magnets.
    """
    material, magnets = _materials(steel, nominal)
    found = [_shift(exposure, material, magnets) for exposure in exposures]
    return np.stack(found).reshape(len(exposures), len(SOURCES), 2, 2)


def _materials(steel: Magnetism, nominal: WireMaterial) -> tuple[WireMaterial, Floats]:
    """The nominal wire and its variants as one batch (1 + 2Q, 1), and the strength of the magnets with each."""
    rows = 1 + 2 * len(SOURCES)
    susceptibility, reversible, saturation = (np.full((rows, 1), v) for v in (steel.susceptibility, steel.reversible, steel.saturation))
    roundness, magnets = np.zeros((rows, 1)), np.ones((rows, 1))
    susceptibility[1:3, 0] = steel.susceptibility_range
    reversible[3:5, 0] = steel.reversible_range
    roundness[5, 0] = 1.0
    saturation[7:9, 0] = steel.saturation_range
    magnets[9:11, 0] = 1.0 - REMANENCE, 1.0 + REMANENCE
    changed = replace(nominal, susceptibility=susceptibility, reversible=reversible, saturation=saturation, roundness=roundness)
    return changed, magnets


def _shift(exposure: Exposure, material: WireMaterial, magnets: Floats) -> Floats:
    """ln ratios (2Q, 2) at one height."""
    changed = replace(
        exposure,
        across=material.transverse,
        magnet=exposure.magnet.times(magnets),
        magnet_slope=exposure.magnet_slope.times(magnets),
        coil=exposure.coil.times(np.ones_like(magnets)),
        coil_slope=exposure.coil_slope.times(np.ones_like(magnets)),
    )
    state = magnetise(material, changed.surroundings())
    loads = force_loads(changed, state.magnetisation, state.reversible)
    totals = np.stack([np.abs(loads.per_ampere.sum(axis=1)), np.abs(loads.static.sum(axis=1))], axis=1)
    if not (totals > 0.0).all():
        return np.zeros((totals.shape[0] - 1, 2))
    return np.asarray(np.log(totals[1:] / totals[0]))
