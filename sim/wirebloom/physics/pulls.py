"""What pulls on a string at rest and what stops it, pole by pole, as functions of its displacement."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.balance import Field
from wirebloom.physics.bspline import evaluate

if TYPE_CHECKING:
    from wirebloom.physics.head_table import HeadTable

Floats = NDArray[np.float64]


def table_pull(tables: Sequence[HeadTable], gap: Floats, offset: Floats) -> Field:
    """Pull of the magnets with no current, from the heads' tables: −∂W₀/∂gap towards the head, +∂W₀/∂offset sideways.

    Parameters
    ----------
    tables : sequence of HeadTable
        One for each of J poles.
    gap, offset : (J,) ndarray
        Of the straight string, m.

    Returns
    -------
    callable
        Displacement (J, 2) in m to force (J, 2) in N.
    """

    def pull(displacement: Floats) -> Floats:
        place = np.stack([gap - displacement[:, 0], offset + displacement[:, 1]], axis=1)
        return np.array([_force(table, *at) for table, at in zip(tables, place, strict=True)]).reshape(-1, 2)

    return pull


def _force(table: HeadTable, gap: float, offset: float) -> tuple[float, float]:
    axes = ((table.gap_start, table.gap_step), (table.offset_start, table.offset_step))
    energy, x, y = table.coefficient[..., 0], np.array([gap]), np.array([offset])
    return -float(evaluate(energy, axes, x, y, dx=1)[0]), float(evaluate(energy, axes, x, y, dy=1)[0])


def stepped_depth(radius: Floats, recess: Floats, offset: Floats) -> Field:
    """How far beyond its face plane a stepped round head lets the string go.

    Parameters
    ----------
    radius : (J, 2) ndarray
        Of core and flange, m.
    recess : (J, 2) ndarray
        How deep they lie below the face plane, m.
    offset : (J,) ndarray
        Of the straight string from the head's axis, m.

    Returns
    -------
    callable
        Displacement (J, 2) in m to depth (J,) in m: the core's recess over the core, the flange's over the flange,
        infinite beside both.
    """

    def depth(displacement: Floats) -> Floats:
        aside = np.abs(offset + displacement[:, 1])
        beside_core = np.where(aside <= radius[:, 1], recess[:, 1], np.inf)
        return np.where(aside <= radius[:, 0], recess[:, 0], beside_core)

    return depth
