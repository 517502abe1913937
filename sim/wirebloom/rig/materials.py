"""What strings are made of, as data with sources.

Elastic constants and densities are nominal: handbooks spread by 5 % in E and 1 % in density. Strength is a range between
what the standard promises and the most it allows; a string breaks somewhere within it or above.

Sources
-------
- Music wire: E 206 GPa, density 7850 kg/m³ (EN 10270-1, seen); strength ASTM A228 (0.009 in to 0.020 in seen, the rest from
  memory); expansion 12e-6 /K and Poisson's ratio 0.29 (material data page on A228, seen).
- Stainless: EN 10270-3, grade 1.4310 (from memory). Cold drawing makes it weakly magnetic; how much is an estimate.
- Bronze: tin bronze CuSn6, hard (EN 12166, from memory); the same for a wrap.
- Magnetism: see :mod:`wirebloom.rig.magnetism`.
- Loss: thermo-elastic 2.03e-4 and visco-elastic 4.5e-3, fitted to a measured string (Valette & Cuesta 1993 as used by
  Issanchou et al. 2017, JSV 393, seen).
- Wound strings: round wrap wire laid close fills π/4 of the ring it occupies (derived: mean turn times section).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from wirebloom.rig.interpolation import between
from wirebloom.rig.magnetism import MUSIC_WIRE, STAINLESS, Magnetism

_KSI = 6.894757e6
_INCH = 0.0254

# ASTM A228: diameter in inches, least and largest strength in ksi.
A228 = (
    (0.004, 439, 485),
    (0.006, 415, 459),
    (0.009, 393, 434),
    (0.010, 387, 428),
    (0.011, 382, 422),
    (0.012, 377, 417),
    (0.013, 373, 412),
    (0.016, 362, 400),
    (0.018, 356, 393),
    (0.020, 350, 387),
    (0.024, 341, 377),
    (0.030, 330, 365),
    (0.036, 321, 355),
    (0.045, 309, 342),
    (0.063, 293, 324),
    (0.080, 282, 312),
    (0.100, 271, 300),
    (0.125, 261, 288),
)
_MUSIC_WIRE = tuple((d * _INCH, low * _KSI, high * _KSI) for d, low, high in A228)
_STAINLESS = (
    (0.20e-3, 2200e6, 2530e6),
    (0.30e-3, 2150e6, 2470e6),
    (0.40e-3, 2100e6, 2420e6),
    (0.50e-3, 2050e6, 2360e6),
    (0.65e-3, 2000e6, 2300e6),
    (0.80e-3, 1950e6, 2240e6),
    (1.00e-3, 1900e6, 2190e6),
    (1.50e-3, 1800e6, 2070e6),
    (2.00e-3, 1700e6, 1960e6),
)
_BRONZE = ((0.1e-3, 900e6, 1150e6), (2.0e-3, 850e6, 1050e6))


@dataclass(frozen=True)
class Material:
    """A string material.

    Attributes
    ----------
    name : str
        As scenarios call it.
    youngs_modulus, density, poisson, expansion : float
        Pa, kg/m³, 1, 1/K; of the core for a wound string.
    strengths : tuple
        Diameter (m) with least and largest tensile strength (Pa).
    magnetism : Magnetism or None
        Of the wire that carries the load; None: no head can pull it.
    thermoelastic_loss, viscoelastic_loss : float
        The constant part of 1/Q, and δ in 1/Q = 4π² μ E I δ f²/T².
    wound : bool
        Whether it is a wrapped core, which needs a ``core_diameter``.
    wrap_density : float
        Density of the wrap's metal, kg/m³.
    wrap_fill : float
        Share of the ring around the core that is metal.
    wrap_magnetic : bool
        Whether the wrap is of magnetic steel.
    """

    name: str
    youngs_modulus: float
    density: float
    poisson: float
    expansion: float
    strengths: tuple[tuple[float, float, float], ...]
    magnetism: Magnetism | None = MUSIC_WIRE
    thermoelastic_loss: float = 2.03e-4
    viscoelastic_loss: float = 4.5e-3
    wound: bool = False
    wrap_density: float = 0.0
    wrap_fill: float = math.pi / 4.0
    wrap_magnetic: bool = False

    @property
    def magnetic(self) -> bool:
        """Whether a head can pull it."""
        return self.magnetism is not None

    def strength(self, diameter: float) -> tuple[float, float]:
        """Return least and largest tensile strength at a diameter.

        Parameters
        ----------
        diameter : float
            Of the wire that carries the load (the core of a wound string), m.

        Returns
        -------
        tuple of float
            Pa; between the sizes of the table by straight lines over the logarithm of the diameter, beyond it the last value.
        """
        sizes = [math.log(row[0]) for row in self.strengths]
        least, most = (between(math.log(diameter), sizes, [row[column] for row in self.strengths]) for column in (1, 2))
        return least, most


_MUSIC = Material("music wire", 206e9, 7850.0, 0.29, 12e-6, _MUSIC_WIRE)

MATERIALS: Mapping[str, Material] = MappingProxyType(
    {
        material.name: material
        for material in (
            _MUSIC,
            Material("stainless", 185e9, 7900.0, 0.29, 16e-6, _STAINLESS, magnetism=STAINLESS),
            replace(_MUSIC, name="wound steel", wound=True, wrap_density=7850.0, wrap_magnetic=True),
            replace(_MUSIC, name="wound bronze", wound=True, wrap_density=8800.0),
            Material("bronze", 115e9, 8800.0, 0.33, 18e-6, _BRONZE, magnetism=None),
        )
    }
)
