"""How warm a coil gets in still air: P = h A (T − T_room), the resistance of its copper rising with T.

Sources
-------
- Still air over a small warm part, convection and radiation together: h = 12 to 25 W/(m² K) (common practice, no source).
- 60 °C: a surface that a hand may meet by chance and leaves at once (common practice; ISO 13732-1 puts the burn threshold of bare
  metal near 51 °C for a touch of a minute and above 60 °C for one of a second, from memory).
"""

from __future__ import annotations

from math import inf, pi

from wirebloom.rig.wires import ALPHA20, resistance_at

FILM = (12.0, 25.0)  # W/(m² K)
TOUCH = 333.15  # K


def cooled_surface(inner_diameter: float, outer_diameter: float, height: float) -> float:
    """Side and both ends of a winding, m²; its bore is taken to give nothing off."""
    return pi * outer_diameter * height + pi / 2.0 * (outer_diameter**2 - inner_diameter**2)


def steady_temperature(current: float, resistance: float, conductance: float, room: float) -> float:
    """Temperature of a coil under a steady rms current.

    Parameters
    ----------
    current : float
        A, rms.
    resistance : float
        At 20 °C, Ω.
    conductance : float
        h A, W/K.
    room : float
        K.

    Returns
    -------
    float
        K; infinite where the copper's rising resistance outruns the cooling.

    Examples
    --------
    >>> round(steady_temperature(0.1, 25.0, 0.01, 293.15) - 293.15, 2)  # without the rise of resistance: 25 K
    27.72
    """
    cooling = conductance - current**2 * resistance * ALPHA20
    if cooling <= 0.0:
        return inf
    return room + current**2 * resistance_at(resistance, room) / cooling


def current_for(temperature: float, resistance: float, conductance: float, room: float) -> float:
    """Steady rms current that warms a coil to a temperature (K), A; 0 where the room is as warm.

    The inverse of :func:`steady_temperature`.
    """
    power = conductance * max(temperature - room, 0.0)
    return float((power / resistance_at(resistance, temperature)) ** 0.5)
