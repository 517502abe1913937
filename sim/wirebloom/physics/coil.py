"""The winding as an electrical part: length, mass and resistance of its wire, and what two heads induce in each other."""

from __future__ import annotations

from math import pi
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from wirebloom.physics.wire import MU0
from wirebloom.rig.wires import DENSITY

if TYPE_CHECKING:
    from wirebloom.physics.head_table import HeadTable
    from wirebloom.rig.parts import Coil


class Winding(NamedTuple):
    """Length (m), resistance at 20 °C (Ω) and mass (kg) of a coil's copper."""

    length: float
    resistance: float
    mass: float


def winding(coil: Coil) -> Winding:
    """Copper of a coil by its mean turn; a measured resistance overrides the table's.

    Parameters
    ----------
    coil : Coil

    Returns
    -------
    Winding

    Examples
    --------
    >>> from wirebloom.rig.parts import Coil
    >>> w = winding(Coil(turns=420, wire="0.10 mm", inner_diameter=5.6e-3, outer_diameter=11.2e-3, top=0.5e-3, bottom=8.5e-3))
    >>> f"{w.length:.2f} m, {w.resistance:.1f} ohm"
    '11.08 m, 24.1 ohm'
    """
    length = coil.turns * pi * (coil.inner_diameter + coil.outer_diameter) / 2
    resistance = length * coil.copper.resistance if coil.resistance is None else coil.resistance
    return Winding(length, resistance, length * coil.copper.area * DENSITY)


def mutual_inductance(table_a: HeadTable, pos_a: ArrayLike, table_b: HeadTable, pos_b: ArrayLike) -> float:
    """Mutual inductance of two heads side by side with parallel axes, from their far-field dipoles, H.

    M = −μ0 m_a m_b/(4π r³), with the moments per ampere of coil and core. Winding senses are not counted.

    Parameters
    ----------
    table_a, table_b : HeadTable
    pos_a, pos_b : array_like
        Places of the two axes in the plane of the strings, m: one number along a string, or (x, y).

    Returns
    -------
    float
        Negative: the return flux of one head crosses the other backwards.

    Raises
    ------
    ValueError
        If both heads are at one place.
    """
    distance = float(np.linalg.norm(np.atleast_1d(pos_a) - np.atleast_1d(pos_b)))
    if distance == 0.0:
        raise ValueError("pos_b must be another place than pos_a; instead received the same.")
    return -MU0 * table_a.dipole * table_b.dipole / (4 * pi * distance**3)
