"""Magnetism of the steel that strings are drawn from, with the ranges in which it may lie.

Sources
-------
- Susceptibility of hard-drawn pearlitic wire: no measured curve was found. Anhysteretic 100 (50 to 300) and reversible 70
  (30 to 150) are estimates of the trade's range (common practice, no source); they are the model's largest unknown.
- Saturation of music wire: mixture of iron (2.158 T, from memory) and cementite (1.235 T, Staeblein & Schroeter 1928, seen) at
  0.85 % carbon, 13 % by volume: 2.04 T.
- Stainless: work hardening turns part of it into martensite; a share of a half is an estimate (from memory).
- Wrap of magnetic steel: every turn is a gap in the way of the flux along the string. 5 (2 to 10) is an estimate between a row
  of cylinders that stand apart (2) and one that touches everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wirebloom.rig.strings import String

MU_0 = 1.25663706127e-6  # CODATA 2022, from memory, H/m
MEASURED = 0.1  # relative error that a measured value is taken to have


@dataclass(frozen=True)
class Magnetism:
    """Magnetism of a string.

    Attributes
    ----------
    susceptibility, reversible : float
        Anhysteretic, and of small changes, both at small fields.
    saturation : float
        M_s, A/m.
    susceptibility_range, reversible_range, saturation_range : (float, float)
        In which they may lie.
    wrap_share : float
        Section of a magnetic wrap's metal over that of the core.
    wrap_susceptibility : float
        Of the wrap along the string.
    """

    susceptibility: float
    reversible: float
    saturation: float
    susceptibility_range: tuple[float, float]
    reversible_range: tuple[float, float]
    saturation_range: tuple[float, float]
    wrap_share: float = 0.0
    wrap_susceptibility: float = 0.0


MUSIC_WIRE = Magnetism(100.0, 70.0, 2.04 / MU_0, (50.0, 300.0), (30.0, 150.0), (1.8 / MU_0, 2.1 / MU_0))
STAINLESS = Magnetism(30.0, 20.0, 0.8 / MU_0, (10.0, 80.0), (8.0, 50.0), (0.4 / MU_0, 1.2 / MU_0))
WRAP_SUSCEPTIBILITY = 5.0


def magnetism_of(string: String) -> Magnetism | None:
    """Magnetism of a string of the rig: that of its material, with what was measured of it, and its wrap; None if it has none."""
    from wirebloom.rig.materials import MATERIALS  # noqa: PLC0415 - the materials name what this module holds

    material = MATERIALS[string.material]
    found = material.magnetism
    if found is None:
        return None
    if material.wrap_magnetic and string.core_diameter:
        ring = (string.diameter / string.core_diameter) ** 2 - 1.0
        found = replace(found, wrap_share=material.wrap_fill * ring, wrap_susceptibility=WRAP_SUSCEPTIBILITY)
    return _measured(found, string)


def _measured(found: Magnetism, string: String) -> Magnetism:
    """With the values that the scenario states, which are taken to be within a tenth."""
    own = string.magnetism
    if own is None:
        return found
    if own.susceptibility is not None:
        found = replace(found, susceptibility=own.susceptibility, susceptibility_range=_about(own.susceptibility))
    if own.reversible is not None:
        found = replace(found, reversible=own.reversible, reversible_range=_about(own.reversible))
    if own.saturation is not None:
        found = replace(found, saturation=own.saturation / MU_0, saturation_range=_about(own.saturation / MU_0))
    return found


def _about(value: float) -> tuple[float, float]:
    return value * (1.0 - MEASURED), value * (1.0 + MEASURED)
