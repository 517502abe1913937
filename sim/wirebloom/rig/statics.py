"""What the gate must know of a string before anything moves: weight, tension, stress."""

from __future__ import annotations

import math

from wirebloom.rig.materials import MATERIALS
from wirebloom.rig.strings import String


def load_diameter(string: String) -> float:
    """Return the diameter of the wire that carries the tension, m: the core of a wound string."""
    return string.core_diameter if string.core_diameter is not None else string.diameter


def linear_density(string: String) -> float:
    """Return the mass per length, kg/m, the wrap of a wound string included."""
    material = MATERIALS[string.material]
    core = load_diameter(string)
    ring = math.pi / 4.0 * (string.diameter**2 - core**2)
    return math.pi / 4.0 * core**2 * material.density + ring * material.wrap_fill * material.wrap_density


def bending_stiffness(string: String) -> float:
    """Return E I of the wire that carries the tension, N m²."""
    return MATERIALS[string.material].youngs_modulus * math.pi / 64.0 * load_diameter(string) ** 4


def tension(string: String) -> float:
    """Return the tension, N: the stated one, or that which puts partial 1 of the pinned stiff string on pitch.

    References
    ----------
    f₁ = (1/2L) √((T + E I π²/L²)/μ), Fletcher 1964, JASA 36:203 (from memory).
    """
    if string.tension is not None:
        return string.tension
    pitch = string.pitch or 0.0
    return linear_density(string) * (2.0 * string.length * pitch) ** 2 - bending_stiffness(string) * (math.pi / string.length) ** 2


def stress(string: String) -> float:
    """Return the tensile stress in the wire that carries the tension, Pa."""
    return tension(string) / (math.pi / 4.0 * load_diameter(string) ** 2)


def pitch(string: String) -> float:
    """Return the frequency of partial 1, Hz: the stated one, or that of the stated tension."""
    if string.pitch is not None:
        return string.pitch
    stiff = tension(string) + bending_stiffness(string) * (math.pi / string.length) ** 2
    return math.sqrt(stiff / linear_density(string)) / (2.0 * string.length)


def breaking_pitch(string: String) -> float:
    """Return the pitch at which the stress reaches the greatest strength of the wire, Hz."""
    most = MATERIALS[string.material].strength(load_diameter(string))[1]
    force = most * math.pi / 4.0 * load_diameter(string) ** 2
    return math.sqrt(force / linear_density(string)) / (2.0 * string.length)
