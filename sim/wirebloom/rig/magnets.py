"""Grades of permanent magnets, as data with sources.

Sources
-------
- AlNiCo, cast: grades 5 and 8 (MMPA numbers; AlNiCo 37/5 and 38/11) from a maker's table (tmcmagnetics.com/table3, seen), grade 2
  from another (duramag.com, seen) and MMPA 0100-00 (from memory), which also gives grade 3 and all recoil permeabilities but that
  of grade 5 (3.6, seen). All lie in the ranges of ASTM A1070 (0.52 T to 1.35 T, 38 kA/m to 175 kA/m, seen). Service to 450 °C (seen).
- Sintered ferrite: SJ/T 10410 as several makers print it (metalmat.net, aomagnet.com, seen); recoil permeability 1.05 to 1.3 (seen).
- Sintered NdFeB: remanence of N35 to N52 from makers' tables (seen), in the range of ASTM A1101 (1.08 T to 1.5 T, coercivity of
  polarisation above 875 kA/m, seen); coercivity and energy product by the trade's common tables (from memory). The plain grades serve
  to 80 °C (common practice, no source).
- Resistivity: AlNiCo 0.47 µΩ m (seen), NdFeB 1.5 µΩ m, ferrite an insulator (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from wirebloom.rig.magnetism import MU_0

Range = tuple[float, float]
UNGRADED_SPREAD = 0.1  # relative, of a remanence that is only stated: common practice, no source
# Relative, of the field of a graded AlNiCo magnet. It works past its knee, where coercivity counts and not remanence: ± 5 % by the range
# of grade 5. How well it was magnetised and handled counts more: a measured rod lies 20 % below its grade (estimate, no source).
ALNICO_SPREAD = 0.15
UNGRADED_RECOIL = 1.05


@dataclass(frozen=True)
class Grade:
    """A grade of magnet at 20 °C.

    Attributes
    ----------
    name : str
        As scenarios call it.
    family : {"alnico", "ferrite", "neodymium"}
    remanence, coercivity, intrinsic_coercivity, energy_product : (float, float)
        Least and greatest: B_r (T), H_cB and H_cJ (A/m), (BH)max (J/m³).
    recoil_permeability : float
        Relative.
    hottest : float
        Of service, °C.
    """

    name: str
    family: str
    remanence: Range
    coercivity: Range
    intrinsic_coercivity: Range
    energy_product: Range
    recoil_permeability: float
    hottest: float

    @property
    def resistivity(self) -> float:
        """Ω m; infinite for an insulator."""
        return {"alnico": 0.47e-6, "neodymium": 1.5e-6}.get(self.family, float("inf"))

    @property
    def spread(self) -> float:
        """By which share a magnet's field may be off: half of the range of the remanence over its middle, where that is what counts."""
        if self.family == "alnico":
            return ALNICO_SPREAD
        low, high = self.remanence
        return (high - low) / (high + low)


class Knee(NamedTuple):
    """A demagnetisation curve by its usual figures: remanence (T), coercivity (A/m), energy product (J/m³)."""

    remanence: float
    coercivity: float
    energy_product: float


class MagnetData(NamedTuple):
    """What is known of a magnet's material.

    Attributes
    ----------
    remanence, spread : float
        B_r, T, and by which share the field of a magnet of this kind may be off.
    recoil_permeability : float
        Relative.
    curve : Knee, tuple of (H, B) or None
        Second quadrant by its figures or by points (A/m, T) from −H_cB to 0; None: a straight line.
    coercivity : float
        Demagnetising field (A/m) at which a straight line may end in a knee; infinite if not known.
    resistivity : float
        Ω m; infinite for an insulator, or if not known.
    """

    remanence: float
    spread: float
    recoil_permeability: float
    curve: Knee | tuple[tuple[float, float], ...] | None = None
    coercivity: float = float("inf")
    resistivity: float = float("inf")


def middle(low_high: Range) -> float:
    """Middle of a range."""
    return (low_high[0] + low_high[1]) / 2.0


def graded(grade: Grade, remanence: float | None = None, recoil: float | None = None) -> MagnetData:
    """Material of a grade, or of a specimen of it whose remanence is known.

    Parameters
    ----------
    grade : Grade
    remanence, recoil : float or None
        Stated values (T; relative) that go before the grade's. A curve is stretched along B to a stated remanence.

    Returns
    -------
    MagnetData

    Examples
    --------
    >>> f"{graded(GRADES['alnico 5']).remanence:.3f} T"
    '1.275 T'
    """
    nominal = middle(grade.remanence)
    found = nominal if remanence is None else remanence
    spread = grade.spread if remanence is None else max(grade.spread, UNGRADED_SPREAD)
    slope = grade.recoil_permeability if recoil is None else recoil
    if grade.family != "alnico":
        return MagnetData(found, spread, slope, None, grade.intrinsic_coercivity[0], grade.resistivity)
    curve = Knee(found, middle(grade.coercivity), middle(grade.energy_product) * found / nominal)
    return MagnetData(found, spread, slope, curve, resistivity=grade.resistivity)


def energy_limits(remanence: float, coercivity: float, recoil: float) -> Range:
    """Energy products that a bulging curve through a remanence and a coercivity can have.

    Least: the straight line between them. Greatest: the recoil line from the remanence, cut off at the coercivity.

    Parameters
    ----------
    remanence, coercivity, recoil : float
        T, A/m, relative.

    Returns
    -------
    tuple of float
        J/m³.

    Examples
    --------
    >>> tuple(round(limit / 1e3, 1) for limit in energy_limits(1.275, 50.1e3, 3.6))
    (16.0, 52.5)
    """
    slope = MU_0 * recoil
    at = min(coercivity, remanence / (2.0 * slope))
    return remanence * coercivity / 4.0, at * (remanence - slope * at)


def _alnico(name: str, remanence: Range, coercivity: Range, energy: Range, recoil: float) -> Grade:
    field = _thousands(coercivity)
    return Grade(name, "alnico", remanence, field, field, _thousands(energy), recoil, 450.0)


def _ferrite(name: str, remanence: Range, coercivity: Range, intrinsic: Range, energy: Range) -> Grade:
    return Grade(name, "ferrite", remanence, _thousands(coercivity), _thousands(intrinsic), _thousands(energy), 1.1, 250.0)


def _neodymium(name: str, remanence: Range, coercivity: Range, intrinsic: Range, energy: Range) -> Grade:
    return Grade(name, "neodymium", remanence, _thousands(coercivity), _thousands(intrinsic), _thousands(energy), 1.05, 80.0)


def _thousands(kilo: Range) -> Range:
    return kilo[0] * 1e3, kilo[1] * 1e3


GRADES: Mapping[str, Grade] = MappingProxyType(
    {
        grade.name: grade
        for grade in (
            _alnico("alnico 2", (0.70, 0.75), (40, 45), (12, 13.5), 6.4),
            _alnico("alnico 3", (0.65, 0.70), (38, 40), (10, 11), 6.5),
            _alnico("alnico 5", (1.25, 1.30), (47.7, 52.5), (38.2, 43.8), 3.6),
            _alnico("alnico 8", (0.83, 0.90), (110, 123), (38.2, 43.0), 2.0),
            _ferrite("ferrite", (0.36, 0.41), (135, 235), (140, 245), (22.5, 32)),
            _ferrite("Y25", (0.36, 0.40), (135, 170), (140, 200), (22.5, 28)),
            _ferrite("Y30", (0.37, 0.40), (175, 210), (180, 220), (26, 30)),
            _ferrite("Y30BH", (0.38, 0.39), (223, 235), (231, 245), (27, 30)),
            _ferrite("Y35", (0.40, 0.41), (175, 195), (180, 200), (30, 32)),
            _neodymium("neodymium", (1.08, 1.48), (796, 1030), (875, 1300), (220, 422)),
            _neodymium("N35", (1.17, 1.22), (868, 930), (955, 1300), (263, 287)),
            _neodymium("N38", (1.22, 1.25), (899, 950), (955, 1300), (287, 310)),
            _neodymium("N42", (1.28, 1.32), (915, 1000), (955, 1300), (318, 342)),
            _neodymium("N45", (1.32, 1.38), (923, 1030), (955, 1300), (342, 366)),
            _neodymium("N48", (1.38, 1.42), (923, 1060), (955, 1300), (366, 390)),
            _neodymium("N52", (1.43, 1.48), (796, 1100), (876, 1300), (398, 422)),
        )
    }
)
