"""Still air around a string."""

from __future__ import annotations

from typing import NamedTuple

STANDARD_PRESSURE = 101_325.0  # Pa
GAS_CONSTANT = 287.05  # J/(kg K), dry air
SUTHERLAND_FACTOR = 1.458e-6  # kg/(m s K^½)
SUTHERLAND_TEMPERATURE = 110.4  # K


class Air(NamedTuple):
    """Density (kg/m³) and viscosity (Pa s)."""

    density: float
    viscosity: float


def air_at(temperature: float) -> Air:
    """Dry air at standard pressure.

    Parameters
    ----------
    temperature : float
        K.

    Returns
    -------
    Air

    References
    ----------
    U.S. Standard Atmosphere (1976), equations 42 and 51.

    Examples
    --------
    >>> round(air_at(293.15).density, 3)
    1.204
    """
    viscosity = SUTHERLAND_FACTOR * temperature**1.5 / (temperature + SUTHERLAND_TEMPERATURE)
    return Air(STANDARD_PRESSURE / (GAS_CONSTANT * temperature), viscosity)
