"""What the gate must know of a string before anything moves: weight, tension, stress."""

from __future__ import annotations

import math

from wirebloom.rig.materials import MATERIALS
from wirebloom.rig.section import Section, string_section, tension_for_pitch
from wirebloom.rig.strings import String


def load_diameter(string: String) -> float:
    """Return the diameter of the wire that carries the tension, m: the core of a wound string."""
    return string.core_diameter if string.core_diameter is not None else string.diameter


def _section(string: String) -> Section:
    return string_section(string, MATERIALS[string.material])


def linear_density(string: String) -> float:
    """Return the mass per length, kg/m, the wrap of a wound string included."""
    return _section(string).density


def bending_stiffness(string: String) -> float:
    """Return E I of the wire that carries the tension, N m²."""
    return _section(string).stiffness


def tension(string: String) -> float:
    """Return the tension, N: the stated one, or that which puts partial 1 of the pinned stiff string on pitch."""
    if string.tension is not None:
        return string.tension
    section = _section(string)
    return tension_for_pitch(string.pitch or 0.0, string.length, section.density, section.stiffness)


def stress(string: String) -> float:
    """Return the tensile stress in the wire that carries the tension, Pa."""
    return tension(string) / _section(string).area


def pitch(string: String) -> float:
    """Return the frequency of partial 1, Hz: the stated one, or that of the stated tension."""
    if string.pitch is not None:
        return string.pitch
    stiff = tension(string) + bending_stiffness(string) * (math.pi / string.length) ** 2
    return math.sqrt(stiff / linear_density(string)) / (2.0 * string.length)


def breaking_pitch(string: String) -> float:
    """Return the pitch at which the stress reaches the greatest strength of the wire, bending included, Hz."""
    most = MATERIALS[string.material].strength(load_diameter(string))[1]
    force = most * math.pi / 4.0 * load_diameter(string) ** 2
    stiff = force + bending_stiffness(string) * (math.pi / string.length) ** 2
    return math.sqrt(stiff / linear_density(string)) / (2.0 * string.length)
