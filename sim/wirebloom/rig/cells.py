"""Cells and ready-made blocks of cells, as data with sources.

Between full and empty, voltage without load and internal resistance follow straight lines over the charge taken: an estimate.

Sources
-------
- Names and nominal voltages: IEC 60086-2 (primary: LR6, LR20, 6LR61, 6F22), IEC 61951-2 (nickel-metal hydride), IEC 61960-3 (lithium),
  IEC 61056-1 (small lead-acid); from memory.
- Rated currents: a fifth of the capacity per hour for nickel-metal hydride and lithium, a twentieth for small lead-acid (these
  standards, from memory); of primary cells as makers' data sheets state their capacity (from memory).
- Alkaline 9 V block: 500 mAh at 15 mA (seen, techbuddha.in). All other capacities, end voltages (0.8 V to 0.9 V an alkaline cell, 1 V
  nickel, 3 V lithium, 1.75 V lead) and internal resistances: data-sheet class, from memory; expect 20 % in capacity and a factor 1.5
  in resistance.
- Peukert exponents: 1.2 for lead-acid (as in the example of ajdesigner.com, seen; 1.1 to 1.3 from memory), 1.2 for alkaline, 1.3 for
  zinc-carbon, 1.05 for nickel and lithium (fitted to capacities at several currents, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

AMPERE_HOUR = 3600.0  # C

Chemistry = Literal["alkaline", "zinc-carbon", "nickel", "lithium", "lead"]
Two = tuple[float, float]
Four = tuple[float, float, float, float]

PEUKERT: Mapping[Chemistry, float] = MappingProxyType({"alkaline": 1.2, "zinc-carbon": 1.3, "nickel": 1.05, "lithium": 1.05, "lead": 1.2})


@dataclass(frozen=True)
class Cell:
    """A cell, or a block that is sold as one.

    Attributes
    ----------
    name : str
        As scenarios call it.
    chemistry : {"alkaline", "zinc-carbon", "nickel", "lithium", "lead"}
    nominal : float
        What is printed on it, V.
    full, empty : float
        Without load when full, and when all its charge is taken, V.
    end : float
        Under load, at which its capacity counts as taken, V.
    charge : float
        Capacity at the rated current, C.
    rated : float
        Current at which the capacity holds, A.
    peukert : float
        Exponent n in t ∝ I⁻ⁿ.
    resistance, worn : float
        Internal resistance when full and when empty, Ω.
    """

    name: str
    chemistry: Chemistry
    nominal: float
    full: float
    empty: float
    end: float
    charge: float
    rated: float
    peukert: float
    resistance: float
    worn: float

    def voltage(self, used: float) -> float:
        """Without load after a share of the charge, V.

        Examples
        --------
        >>> round(CELLS["alkaline AA"].voltage(0.5), 2)
        1.35
        """
        return self.full + used * (self.empty - self.full)

    def resistance_at(self, used: float) -> float:
        """Internal resistance after a share of the charge, Ω."""
        return self.resistance + used * (self.worn - self.resistance)


def _cell(name: str, chemistry: Chemistry, volts: Four, ampere_hours: Two, ohms: Two) -> Cell:
    """From (nominal, full, empty, end) in V, (capacity in Ah, at so many A) and resistance (full, empty) in Ω."""
    capacity, rated = ampere_hours
    return Cell(name, chemistry, *volts, capacity * AMPERE_HOUR, rated, PEUKERT[chemistry], *ohms)


CELLS: Mapping[str, Cell] = MappingProxyType(
    {
        cell.name: cell
        for cell in (
            _cell("alkaline 9 V block", "alkaline", (9.0, 9.5, 6.6, 5.0), (0.50, 0.015), (1.7, 5.0)),
            _cell("alkaline AA", "alkaline", (1.5, 1.6, 1.1, 0.85), (2.6, 0.05), (0.15, 0.5)),
            _cell("alkaline D", "alkaline", (1.5, 1.6, 1.1, 0.85), (14.0, 0.1), (0.10, 0.3)),
            _cell("zinc-carbon 9 V block", "zinc-carbon", (9.0, 9.5, 6.6, 5.0), (0.30, 0.010), (15.0, 60.0)),
            _cell("NiMH AA", "nickel", (1.2, 1.40, 1.10, 1.0), (2.0, 0.4), (0.03, 0.06)),
            _cell("NiMH 9 V block", "nickel", (8.4, 9.8, 7.7, 7.0), (0.20, 0.04), (1.0, 2.0)),
            _cell("Li-ion 18650", "lithium", (3.6, 4.2, 3.2, 3.0), (2.6, 0.52), (0.05, 0.09)),
            _cell("LiFePO4 18650", "lithium", (3.2, 3.4, 2.9, 2.5), (1.5, 0.3), (0.04, 0.07)),
            _cell("lead-acid 7 Ah", "lead", (2.0, 2.14, 1.92, 1.75), (7.0, 0.35), (0.004, 0.012)),
        )
    }
)
