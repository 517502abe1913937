"""Transverse modes of one stiff string on pinned ends: pitch, partials, losses.

ω_n² = (T k_n² + E I k_n⁴)/μ with k_n = nπ/L, so f_n = n f₀ √(1 + B n²), f₀ = √(T/μ)/(2L), B = π² E I/(T L²).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wirebloom.errors import RigError
from wirebloom.physics.air import air_at
from wirebloom.physics.damping import Strung, decay_rates, with_measured
from wirebloom.physics.levels import interval_ratio
from wirebloom.rig.section import string_section, tension_for_pitch

if TYPE_CHECKING:
    from wirebloom.rig.materials import Material
    from wirebloom.rig.models import Room
    from wirebloom.rig.strings import String

Floats = NDArray[np.float64]
ROUNDING = 1e-9  # a partial exactly at the upper frequency counts


@dataclass(frozen=True)
class StringModes:
    """One string as the sum of its partials, N of them.

    Attributes
    ----------
    length : float
        m.
    tension : float
        With the string at rest, at the temperature of the room, N.
    density : float
        Per length, kg/m.
    stiffness : float
        Against bending, E I, N m².
    axial : float
        Against stretching, E A, N.
    mass : float
        Modal mass μL/2, kg.
    inharmonicity : float
        B.
    wavenumber : (N,) ndarray
        k_n, 1/m.
    frequency : (2, N) ndarray
        Undamped frequency of each polarisation, Hz.
    decay : (2, N) ndarray
        σ_n, 1/s.
    """

    length: float
    tension: float
    density: float
    stiffness: float
    axial: float
    mass: float
    inharmonicity: float
    wavenumber: Floats
    frequency: Floats
    decay: Floats

    @property
    def modal_stiffness(self) -> Floats:
        """(2, N) force that holds a partial at unit displacement, m ω_n², N/m."""
        return self.mass * (2.0 * np.pi * self.frequency) ** 2

    @property
    def bridge(self) -> Floats:
        """(N,) transverse force on the bridge per modal displacement, T k + E I k³, N/m."""
        k = self.wavenumber
        return self.tension * k + self.stiffness * k**3


def inharmonicity(tension: float, length: float, stiffness: float) -> float:
    """B = π² E I/(T L²)."""
    return float(stiffness * np.pi**2 / (tension * length**2))


def partial_frequencies(numbers: NDArray[np.int64], tension: float, length: float, density: float, stiffness: float) -> Floats:
    """f_n = n f₀ √(1 + B n²), Hz, of partials `numbers` on pinned ends."""
    lowest = np.sqrt(tension / density) / (2.0 * length)
    return np.asarray(numbers * lowest * np.sqrt(1.0 + inharmonicity(tension, length, stiffness) * numbers**2.0))


def partial_count(highest: float, tension: float, length: float, density: float, stiffness: float) -> int:
    """How many partials lie at or below a frequency (Hz); at least one."""
    ratio = (highest * 2.0 * length) ** 2 * density / tension
    squared = 2.0 * ratio / (1.0 + np.sqrt(1.0 + 4.0 * inharmonicity(tension, length, stiffness) * ratio))
    return max(1, int(np.sqrt(squared) + ROUNDING))


def thermal_tension(axial: float, expansion: float, warming: float) -> float:
    """Change of tension of a string in a frame that does not grow with it, −E A α ΔT, N."""
    return -axial * expansion * warming


def string_tension(string: String, material: Material, room: Room) -> float:
    """Tension at the temperature of the room, N.

    Raises
    ------
    RigError
        If nothing pulls on the string at its pitch and temperature.
    """
    section = string_section(string, material)
    if string.tension is not None:
        tuned = string.tension
    else:
        tuned = tension_for_pitch(string.pitch or 0.0, string.length, section.density, section.stiffness)
        _require_tight(tuned, f"strings.{string.name}.pitch must be high enough for a string that is under tension")
    warm = tuned + thermal_tension(section.axial, material.expansion, room.temperature - room.tuning_temperature)
    return _require_tight(warm, f"room.temperature must be low enough to leave string {string.name} under tension")


def _require_tight(tension: float, sentence: str) -> float:
    if not tension > 0.0:
        raise RigError(f"{sentence}; instead received one that leaves {tension:.3g} N.")
    return tension


def string_modes(string: String, material: Material, room: Room) -> StringModes:
    """All partials of a string up to its `partials_to`, both polarisations.

    Parameters
    ----------
    string : String
    material : Material
        What it is made of.
    room : Room
        Temperatures of now and of tuning.

    Returns
    -------
    StringModes

    Raises
    ------
    RigError
        If the string would hang loose.
    """
    section = string_section(string, material)
    tension = string_tension(string, material, room)
    size = (tension, string.length, section.density, section.stiffness)
    numbers = np.arange(1, partial_count(string.partials_to, *size) + 1)
    straight = partial_frequencies(numbers, *size)
    frequency = np.stack([straight, straight * interval_ratio(string.sideways.detune)])
    strung = Strung(section, tension, material, air_at(room.temperature))
    decay = decay_rates(frequency, strung, string.damping, string.sideways.support_q)
    return StringModes(
        length=string.length,
        tension=tension,
        density=section.density,
        stiffness=section.stiffness,
        axial=section.axial,
        mass=section.density * string.length / 2.0,
        inharmonicity=inharmonicity(tension, string.length, section.stiffness),
        wavenumber=np.asarray(numbers * (np.pi / string.length), dtype=np.float64),
        frequency=frequency,
        decay=with_measured(decay, frequency, string.damping.t60),
    )
