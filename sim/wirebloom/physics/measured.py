"""A head known by measurement: force factor and pull over the gap as a curve, or one point and a law."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import cumulative_simpson
from scipy.interpolate import PchipInterpolator

from wirebloom.physics.head_table import HeadTable, assemble
from wirebloom.rig.heads import MeasuredHead

Floats = NDArray[np.float64]

FINER = 8  # integration steps per node of the table
LONGEST_TAIL = 5e-3  # m; beyond the last point a head's field falls at least this fast
FLOOR = 1e-6  # of the largest value: what a measured zero counts as
LOAD_POINTS = 100


def measured_table(head: MeasuredHead, gap: Floats, offset: Floats) -> HeadTable:
    """Table whose slopes are the measured curves: Λ = ∫ K and W₀ = ∫ pull from the gap to infinity.

    No sideways force and no L₁: they were not measured.

    Parameters
    ----------
    head : MeasuredHead
    gap, offset : (G,), (Y,) ndarray
        Nodes, m.

    Returns
    -------
    HeadTable
    """
    factor, pull = (_remaining_integral(*curve, gap) for curve in _curves(head))
    parts = np.stack([pull, factor, np.zeros_like(factor)])[:, :, None].repeat(offset.size, axis=2)
    return assemble(
        offset,
        parts,
        _hann_load(head.aperture, gap.size),
        resistance=head.resistance,
        inductance=head.inductance,
        dipole=head.dipole or 0.0,
        face_field=None,
        core_field=None,
        copper_mass=None,
        wire_length=None,
    )


def _curves(head: MeasuredHead) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
    """Gaps and values of the force factor and of the pull; a law becomes three points of an exponential."""
    if head.law is not None:
        law = head.law
        gaps: Floats = np.asarray(law.gap + law.decay_length * np.arange(3.0))
        fall: Floats = np.exp(-np.arange(3.0))
        return (gaps, law.factor * fall), (gaps, law.pull * fall)
    measured = np.array(head.points, dtype=np.float64).T
    return (measured[0], measured[1]), (measured[0], measured[2])


def _remaining_integral(gaps: Floats, values: Floats, nodes: Floats) -> Floats:
    """∫ of a curve from each node to infinity."""
    if not values.any():
        return np.zeros_like(nodes)
    x = np.linspace(nodes[0], nodes[-1], FINER * (nodes.size - 1) + 1)
    y, tail_length = _continued(gaps, values, x)
    done = cumulative_simpson(y, x=x, initial=0.0)
    return np.asarray((done[-1] - done + y[-1] * tail_length)[::FINER])


def _continued(gaps: Floats, values: Floats, x: Floats) -> tuple[Floats, float]:
    """Curve at x through the logarithms of the values, exponential beyond both ends; and the last decay length."""
    log = np.log(np.maximum(values, FLOOR * values.max()))
    first = (log[1] - log[0]) / (gaps[1] - gaps[0])
    last = min((log[-1] - log[-2]) / (gaps[-1] - gaps[-2]), -1 / LONGEST_TAIL)
    inside = PchipInterpolator(gaps, log)(np.clip(x, gaps[0], gaps[-1]))
    outside = first * np.minimum(x - gaps[0], 0.0) + last * np.maximum(x - gaps[-1], 0.0)
    return np.exp(inside + outside), -1 / last


def _hann_load(aperture: float, gaps: int) -> tuple[Floats, Floats]:
    """Raised cosine whose width at half height is the aperture."""
    x = aperture * ((np.arange(LOAD_POINTS) + 0.5) / LOAD_POINTS * 2 - 1)
    density = (1 + np.cos(np.pi * x / aperture)) / (2 * aperture)
    return x, np.tile(density, (3, gaps, 1))
