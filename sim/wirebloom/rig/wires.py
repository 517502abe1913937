"""Copper winding wire: gauges, metric sizes, resistance per length, diameter with enamel.

Sources
-------
- American wire gauge: 0.127 mm · 92^((36 − n)/39) for the bare diameter (the definition), with the resistivity of the
  annealed standard, 1/58 Ω mm²/m at 20 °C (NBS Circular 31, 1914; Handbook 100, 1966).
- Metric: nominal resistance by IEC 60317-0-1, conductivity 58.5 m/(Ω mm²) at 20 °C; smallest increase by the enamel and
  largest overall diameter of grade 1 from the same standard (from memory; 0.100 mm, 0.108 to 0.117 mm, seen).
- Temperature coefficient at 20 °C: 0.00393 /K (NBS Circular 31).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from pydantic import ValidationInfo
from pydantic_core import PydanticCustomError

from wirebloom.rig.dimensions import LENGTH
from wirebloom.rig.fields import Field
from wirebloom.rig.interpolation import between
from wirebloom.rig.quantities import quantity
from wirebloom.rig.sentences import refusal

ALPHA20 = 0.00393  # 1/K
DENSITY = 8890.0  # kg/m³
IACS_RESISTIVITY = 1e-6 / 58.0  # Ω m
IEC_RESISTIVITY = 1e-6 / 58.5  # Ω m

GAUGES = (25, 50)
THINNEST, THICKEST = 0.018e-3, 0.5e-3

# Bare diameter, smallest increase and largest overall diameter of grade 1, mm.
GRADE_1 = (
    (0.018, 0.002, 0.022),
    (0.020, 0.002, 0.024),
    (0.025, 0.003, 0.031),
    (0.032, 0.003, 0.039),
    (0.040, 0.004, 0.049),
    (0.050, 0.005, 0.060),
    (0.063, 0.006, 0.076),
    (0.071, 0.007, 0.084),
    (0.080, 0.007, 0.094),
    (0.090, 0.008, 0.105),
    (0.100, 0.008, 0.117),
    (0.112, 0.009, 0.130),
    (0.125, 0.010, 0.144),
    (0.140, 0.011, 0.160),
    (0.160, 0.012, 0.182),
    (0.180, 0.013, 0.204),
    (0.200, 0.014, 0.226),
    (0.224, 0.015, 0.252),
    (0.250, 0.017, 0.281),
    (0.280, 0.018, 0.312),
    (0.315, 0.019, 0.349),
    (0.355, 0.020, 0.392),
    (0.400, 0.021, 0.439),
    (0.450, 0.022, 0.491),
    (0.500, 0.024, 0.544),
)

_HAIR = 1e-9  # so that ten wires of 0.1 fit into 1.0 in spite of rounding
_GAUGE = re.compile(r"AWG\s*(\d{1,2})", re.ASCII | re.IGNORECASE)


@dataclass(frozen=True)
class CopperWire:
    """An enamelled copper wire.

    Attributes
    ----------
    diameter : float
        Bare, m.
    resistance : float
        Per length at 20 °C, Ω/m.
    least_overall, most_overall : float
        Limits of the diameter with grade 1 enamel, m.
    """

    diameter: float
    resistance: float
    least_overall: float
    most_overall: float

    @property
    def overall_diameter(self) -> float:
        """Usual diameter with enamel, the middle of the limits, m."""
        return (self.least_overall + self.most_overall) / 2.0

    @property
    def area(self) -> float:
        """Section of the copper, m²."""
        return math.pi * self.diameter**2 / 4.0


def awg_diameter(gauge: int) -> float:
    """Return the bare diameter of an American wire gauge, m.

    Examples
    --------
    >>> round(awg_diameter(36) * 1e3, 6)
    0.127
    """
    return float(0.127e-3 * 92.0 ** ((36 - gauge) / 39.0))


def resistance_at(resistance: float, temperature: float) -> float:
    """Return a copper resistance known at 20 °C at another temperature (K)."""
    return resistance * (1.0 + ALPHA20 * (temperature - 293.15))


@lru_cache(maxsize=64)
def wire(text: str) -> CopperWire:
    """Return the copper wire that a text names.

    Parameters
    ----------
    text : str
        ``AWG 38`` or a bare diameter such as ``0.10 mm``.

    Raises
    ------
    pydantic_core.PydanticCustomError
        If it names none, or one outside the tables.

    Examples
    --------
    >>> round(wire("0.10 mm").resistance, 4)
    2.1765
    """
    gauge = _GAUGE.fullmatch(text.strip())
    if gauge is None:
        return _metric(text)
    if not GAUGES[0] <= int(gauge[1]) <= GAUGES[1]:
        raise refusal(f"a gauge between AWG {GAUGES[0]} and AWG {GAUGES[1]}", text)
    return _enamelled(awg_diameter(int(gauge[1])), IACS_RESISTIVITY)


def _metric(text: str) -> CopperWire:
    try:
        diameter = quantity(text, LENGTH)
    except PydanticCustomError:
        raise refusal("a wire such as 0.10 mm (bare copper) or AWG 38", text or "an empty text") from None
    if not THINNEST * (1.0 - 1e-12) <= diameter <= THICKEST * (1.0 + 1e-12):
        raise refusal("a wire between 0.018 mm and 0.5 mm", text)
    return _enamelled(diameter, IEC_RESISTIVITY)


def _enamelled(diameter: float, resistivity: float) -> CopperWire:
    least, most = _enamel(diameter * 1e3)
    return CopperWire(diameter, resistivity / (math.pi * diameter**2 / 4.0), diameter + least * 1e-3, diameter + most * 1e-3)


def _enamel(bare: float) -> tuple[float, float]:
    """Smallest and largest increase (mm) by grade 1 enamel, between the standard's sizes by straight lines."""
    sizes = [row[0] for row in GRADE_1]
    least, most = [row[1] for row in GRADE_1], [row[2] - row[0] for row in GRADE_1]
    return between(bare, sizes, least), between(bare, sizes, most)


def turns_that_fit(overall: float, width: float, height: float) -> int:
    """Return how many round wires the closer of two packings puts into a rectangular window.

    Either layers straight above one another, or every other layer sunk into the grooves of the one below.

    Parameters
    ----------
    overall : float
        Diameter of the wire with enamel, m.
    width, height : float
        Of the window, m.

    Examples
    --------
    >>> turns_that_fit(0.1, 0.2, 1.0)
    20
    """
    if min(width, height) < overall * (1.0 - _HAIR):
        return 0
    full = math.floor(height / overall + _HAIR)
    shifted = math.floor(height / overall - 0.5 + _HAIR)
    sunk = 1 + math.floor((width / overall - 1.0) / (math.sqrt(3.0) / 2.0) + _HAIR)
    straight = full * math.floor(width / overall + _HAIR)
    return max(straight, full * ((sunk + 1) // 2) + shifted * (sunk // 2))


class Copper(Field):
    """The annotation for a copper wire."""

    def wanted(self) -> str:
        """What the value must be, in words."""
        return "a wire such as 0.10 mm (bare copper) or AWG 38"

    def validate(self, value: Any, info: ValidationInfo) -> str:
        """Return the text if it names a wire."""
        if not isinstance(value, str):
            raise refusal(self.wanted(), value)
        wire(value)
        return value
