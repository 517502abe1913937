"""How hard a string is pulled against what its wire bears.

Cautions belong to whoever shows these numbers: a breaking string whips; wear eye protection and tune slowly.
"""

from __future__ import annotations

import numpy as np


def tensile_stress(tension: float, diameter: float) -> float:
    """Stress in the wire that carries the tension (the core of a wound string), Pa."""
    return tension / (np.pi * diameter**2 / 4.0)


def stress_at_pitch(density: float, length: float, pitch: float) -> float:
    """ρ (2 L f₁)², Pa: what a plain string of a density (kg/m³) is under at a pitch, whatever its diameter."""
    return density * (2.0 * length * pitch) ** 2


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
