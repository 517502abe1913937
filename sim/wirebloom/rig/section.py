"""Cross-section of a plain or a wound string: what it weighs and how it resists."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from wirebloom.rig.materials import Material
    from wirebloom.rig.strings import String


class Section(NamedTuple):
    """What a string's cross-section amounts to.

    Only the core bends and stretches: the turns of a wrap slide on one another.
    """

    diameter: float  # outer, m
    density: float  # μ, kg/m
    stiffness: float  # E I of the core, N m²
    axial: float  # E A of the core, N
    area: float  # of the core, m²


def disc_area(diameter: float) -> float:
    """π d²/4."""
    return math.pi * diameter**2 / 4.0


def second_moment(diameter: float) -> float:
    """π d⁴/64 of a full round section, m⁴."""
    return math.pi * diameter**4 / 64.0


def wound_density(core_diameter: float, diameter: float, core: float, wrap: float) -> float:
    """Linear density of a core with a close wrap, kg/m.

    Parameters
    ----------
    core_diameter, diameter : float
        Of the core and over the wrap, m.
    core : float
        Density of the core, kg/m³.
    wrap : float
        Density of the wrapped ring as a whole, air between the turns included, kg/m³; π/4 of the metal's for one
        layer of round wire, turn against turn.
    """
    return core * disc_area(core_diameter) + wrap * (disc_area(diameter) - disc_area(core_diameter))


def string_section(string: String, material: Material) -> Section:
    """Section of a string of the rig; `core_diameter` None is a plain one."""
    core = string.core_diameter or string.diameter
    return Section(
        diameter=string.diameter,
        density=wound_density(core, string.diameter, material.density, material.wrap_density * material.wrap_fill),
        stiffness=material.youngs_modulus * second_moment(core),
        axial=material.youngs_modulus * disc_area(core),
        area=disc_area(core),
    )


def tension_for_pitch(pitch: float, length: float, density: float, stiffness: float = 0.0) -> float:
    """Tension that brings partial 1 to a frequency: T = μ (2 L f₁)² − π² E I/L².

    Parameters
    ----------
    pitch, length, density, stiffness : float
        Hz, m, kg/m, N m².

    Returns
    -------
    float
        N; negative when bending alone would sound higher.

    Examples
    --------
    >>> round(tension_for_pitch(329.628, 0.648, 5.7278e-4), 2)
    104.53
    """
    return density * (2.0 * length * pitch) ** 2 - stiffness * (math.pi / length) ** 2
