"""Strength of wire by its standard, where the material table has none."""

from __future__ import annotations

import numpy as np


def spring_wire_minimum(diameter: float) -> float:
    """Least tensile strength of patented cold-drawn spring wire of grade SM, Pa: what to count on when wire is not sold as music wire.

    Parameters
    ----------
    diameter : float
        m.

    References
    ----------
    EN 10270-1, 1980 − 740 log₁₀(d/mm) MPa.
    """
    return float(1980e6 - 740e6 * np.log10(diameter / 1e-3))
