"""Which units belong to which kind of quantity, and what they are in SI."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, eq=False)
class Dimension:
    """A kind of quantity.

    Attributes
    ----------
    name : str
        What it is called in an error, with its article.
    si : dict
        Units that take a decimal prefix (``m`` also reads ``mm``), each with its factor to SI.
    other : dict
        Units that take none, each with its factor to SI.
    shown : str
        SI unit as printed; it takes a prefix.
    hint : str
        The units to suggest in an error.
    zero : dict
        What is added after the factor, for scales of temperature.
    """

    name: str
    si: dict[str, float]
    other: dict[str, float]
    shown: str
    hint: str
    zero: dict[str, float] = field(default_factory=dict)

    @property
    def units(self) -> dict[str, float]:
        """Every unit that can stand without a prefix."""
        return {**self.si, **self.other}


# inch, pound-force and the standard acceleration are exact by definition: ISO 80000-4; from memory.
INCH = 0.0254
GRAM_FORCE = 9.80665e-3
POUND_FORCE = 4.4482216152605

LENGTH = Dimension("a length", {"m": 1.0}, {"in": INCH}, "m", "m, mm, um or in")
TIME = Dimension("a time", {"s": 1.0}, {"min": 60.0}, "s", "s, ms or min")
FREQUENCY = Dimension("a frequency", {"Hz": 1.0}, {}, "Hz", "Hz or kHz")
FORCE = Dimension("a force", {"N": 1.0, "gf": GRAM_FORCE}, {"lbf": POUND_FORCE}, "N", "N, mN, gf, kgf or lbf")
VOLTAGE = Dimension("a voltage", {"V": 1.0}, {}, "V", "V, mV or uV")
CURRENT = Dimension("a current", {"A": 1.0}, {}, "A", "A, mA or uA")
CHARGE = Dimension("a charge", {"C": 1.0, "Ah": 3600.0}, {}, "C", "Ah, mAh or C")
RESISTANCE = Dimension("a resistance", {"ohm": 1.0, "Ω": 1.0}, {}, "ohm", "ohm, kohm or Mohm")
CAPACITANCE = Dimension("a capacitance", {"F": 1.0}, {}, "F", "F, uF, nF or pF")
INDUCTANCE = Dimension("an inductance", {"H": 1.0}, {}, "H", "H, mH or uH")
FLUX_DENSITY = Dimension("a flux density", {"T": 1.0}, {}, "T", "T or mT")
RESISTIVITY = Dimension("a resistivity", {"ohm m": 1.0, "ohm·m": 1.0, "Ω m": 1.0}, {}, "ohm·m", "uohm m or nohm m")
FIELD_STRENGTH = Dimension("a field strength", {"A/m": 1.0}, {}, "A/m", "kA/m or A/m")
ENERGY_DENSITY = Dimension("an energy product", {"J/m3": 1.0, "J/m³": 1.0}, {}, "J/m3", "kJ/m3")
TEMPERATURE = Dimension("a temperature", {"K": 1.0}, {"degC": 1.0, "°C": 1.0}, "K", "degC or K", {"degC": 273.15, "°C": 273.15})
INTERVAL = Dimension("an interval", {}, {"cent": 1.0}, "cent", "cent")
SLEW_RATE = Dimension("a slew rate", {"V/s": 1.0}, {"V/us": 1e6, "V/μs": 1e6, "V/ms": 1e3}, "V/s", "V/us or V/s")
NOISE = Dimension("a noise density", {"V/rtHz": 1.0, "V/√Hz": 1.0}, {}, "V/rtHz", "nV/rtHz")
REJECTION = Dimension("a rejection", {}, {"dB": 1.0}, "dB", "dB")
FORCE_FACTOR = Dimension("a force factor", {"N/A": 1.0}, {}, "N/A", "N/A or mN/A")
DIPOLE = Dimension("a dipole moment per current", {}, {"m2": 1.0, "cm2": 1e-4, "mm2": 1e-6}, "m2", "mm2, cm2 or m2")
DASHPOT = Dimension("a mechanical resistance", {"N·s/m": 1.0, "N s/m": 1.0}, {"kg/s": 1.0, "g/s": 1e-3}, "kg/s", "N s/m, mN s/m or kg/s")
FACE_STIFFNESS = Dimension(
    "a contact stiffness", {f"N/m{power}": 1.0 for power in ("", "^1.5", "^2", "^2.5", "^3")}, {}, "N/m^1.5", "N/m^1.5"
)
IMPACT_LOSS = Dimension("an impact loss", {}, {"s/m": 1.0}, "s/m", "s/m")
