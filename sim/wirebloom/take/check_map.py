"""Which partial leads, over the capacitor in line with the drive coils and the place of a head. Plain numbers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
SILENT, NO_ROOM = 0, -1


@dataclass(frozen=True)
class PartialMap:
    """One loop, one string; P places of the head, C capacitors.

    Attributes
    ----------
    title, loop, string, head, role : str
    capacitor : str
        Which one: its key in a scenario.
    position_m : (P,) ndarray
    length_m : float
        Of the string.
    capacitor_F : (C,) ndarray
    partial : (P, C) ndarray of int
        That leads, from 1; 0: nothing grows from nothing, −1: no room for the head there.
    several : (P, C) ndarray of bool
        Another one could last there as well: the start decides.
    touches : (P, C) ndarray of bool
        It grows until it meets a face.
    own_position_m, own_capacitor_F : float
        As the rig stands; infinite without a capacitor.
    """

    title: str
    loop: str
    string: str
    head: str
    role: str
    capacitor: str
    position_m: Floats
    length_m: float
    capacitor_F: Floats
    partial: Ints
    several: NDArray[np.bool_]
    touches: NDArray[np.bool_]
    own_position_m: float
    own_capacitor_F: float
