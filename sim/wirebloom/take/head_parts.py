"""What a head is made of, and what its coil and field amount to: plain numbers, units in the names.

Heights count from the face plane, upwards to the string.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class PartSheet:
    """A round part: the section between two radii and two heights.

    Attributes
    ----------
    kind : {"core", "coil", "magnet", "plate"}
    material : str
        Grade or steel, where the scenario names one.
    direction : str
        Of a magnet, "up" or "down"; empty for anything else.
    """

    kind: str
    inner_radius_m: float
    outer_radius_m: float
    bottom_m: float
    top_m: float
    material: str = ""
    direction: str = ""


@dataclass(frozen=True)
class WindingSheet:
    """The winding in its window.

    Attributes
    ----------
    wire : str
        As the scenario names it.
    bare_m, overall_m, most_overall_m : float
        Diameter of the copper, usual one with enamel, and the largest that the standard allows.
    window_width_m, window_height_m : float
    closest_turns, certain_turns : int
        As many as the closest packing puts into the window, of usual and of the thickest enamelled wire.
    filling : float
        Turns times the square of the overall diameter, over the window: 1 is every wire in a square of its own.
    copper_share : float
        Of the window's section.
    wire_length_m, copper_kg, mean_turn_m : float
    """

    turns: int
    wire: str
    bare_m: float
    overall_m: float
    most_overall_m: float
    window_width_m: float
    window_height_m: float
    closest_turns: int
    certain_turns: int
    filling: float
    copper_share: float
    wire_length_m: float
    copper_kg: float
    mean_turn_m: float


@dataclass(frozen=True)
class HeatSheet:
    """How warm the coil gets, between little and good cooling (first and second of each pair).

    Attributes
    ----------
    surface_m2 : float
        That gives off heat.
    film_W_per_m2_K : (float, float)
    room_K, touch_K, enamel_K : float
        Of the room; that a hand may meet; that the enamel is made for.
    magnet_K : float or None
        That the magnets bear in service; None where no grade says so.
    touch_A, enamel_A : (float, float)
        Steady rms current that leads there.
    hot_ohm : float
        Resistance at the touch temperature.
    current_A, hottest_K, coolest_K : (I,) ndarray
        Temperature over rms current; infinite where copper's rising resistance outruns the cooling.
    drive_A : float or None
        Most that the scenario's own amplifier can send through it, rms; None for a head that is not driven.
    drive_K : (float, float) or None
        Temperature at that current.
    enamel : str
        Its thermal class.
    conductance_W_per_K : (float, float)
        Given off: to still air, and to moving air and a wooden seat.
    capacity_J_per_K : (float, float)
        Held by the copper alone, and by the whole head.
    too_hot_s : (float, float) or None
        Earliest and latest time until that current of the amplifier is too much for enamel or magnets; infinite: never.
    """

    surface_m2: float
    film_W_per_m2_K: tuple[float, float]
    room_K: float
    touch_K: float
    enamel_K: float
    magnet_K: float | None
    touch_A: tuple[float, float]
    enamel_A: tuple[float, float]
    hot_ohm: float
    current_A: Floats
    hottest_K: Floats
    coolest_K: Floats
    drive_A: float | None
    drive_K: tuple[float, float] | None
    enamel: str
    conductance_W_per_K: tuple[float, float]
    capacity_J_per_K: tuple[float, float]
    too_hot_s: tuple[float, float] | None


@dataclass(frozen=True)
class MagnetSheet:
    """Where on its demagnetisation curve a magnet of the head works, by its grade: means over its volume.

    Attributes
    ----------
    flux_density_T, field_A_per_m : float
        B and H along its magnetisation; a negative H is against it.
    left : float
        Share of its remanence that is left.
    past_knee : float
        Share of its volume that has come past the knee of its curve.
    """

    flux_density_T: float
    field_A_per_m: float
    left: float
    past_knee: float


@dataclass(frozen=True)
class FieldSheet:
    """Field in the half-plane through the axis, without a string; Z heights, R radii.

    Attributes
    ----------
    radius_m : (R,) ndarray
    height_m : (Z,) ndarray
    magnet_T, coil_T_per_A : (Z, R) ndarray
        Magnitude of the flux density of the magnets, and of 1 A in the coil.
    magnet_flux_Wb, coil_flux_Wb_per_A : (Z, R) ndarray
        Upwards through the disc of that radius: its lines of equal value are field lines.
    axis_height_m : (H,) ndarray
    axis_magnet_T, axis_coil_T_per_A : (H,) ndarray
        Upward flux density on the axis above the face.
    core_T : float
        Of the magnets inside the iron, exceeded by 2 % of it; 0 without iron.
    magnets : tuple of MagnetSheet
        In the order of the head's parts.
    """

    radius_m: Floats
    height_m: Floats
    magnet_T: Floats
    coil_T_per_A: Floats
    magnet_flux_Wb: Floats
    coil_flux_Wb_per_A: Floats
    axis_height_m: Floats
    axis_magnet_T: Floats
    axis_coil_T_per_A: Floats
    core_T: float
    magnets: tuple[MagnetSheet, ...] = ()
