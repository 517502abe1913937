"""What a sheet for one head says of it and of the strings over it: plain numbers, units in the names."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wirebloom.take.head_parts import FieldSheet, HeatSheet, PartSheet, WindingSheet

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class AlongSheet:
    """What the string meets along its axis at its gap, x from the head's axis; X places.

    Attributes
    ----------
    magnet_up_T, magnet_along_T : (X,) ndarray
    coil_up_T_per_A, coil_along_T_per_A : (X,) ndarray
    load_x_m, load_per_m : (W,) ndarray
        How the force per ampere spreads along the string: its integral is 1.
    """

    x_m: Floats
    magnet_up_T: Floats
    magnet_along_T: Floats
    coil_up_T_per_A: Floats
    coil_along_T_per_A: Floats
    load_x_m: Floats
    load_per_m: Floats


@dataclass(frozen=True)
class CurveSheet:
    """Force factor (its magnitude) and static pull over the gap (G,), and the least and the most they may be; None: not known."""

    gap_m: Floats
    factor_N_per_A: Floats
    pull_N: Floats
    factor_band_N_per_A: tuple[Floats, Floats] | None
    pull_band_N: tuple[Floats, Floats] | None


@dataclass(frozen=True)
class RestSheet:
    """Rest of a string over this head, as it is set and for other gaps (G,).

    To these, all heads of the same build over the string are set; those of another build stay where they are.

    Attributes
    ----------
    kind : {"free", "bistable", "latched"}
        As set.
    rest_gap_m, pull_N : float
        Gap with the magnets in (what a feeler gauge finds) and pull there.
    others_gap_m : float
        Gap that the string would have with only the other heads pulling.
    side_m : float
        How far the string is drawn aside.
    softness : float
        Share of the string's stiffness that the magnets take away; 1 is the brink.
    stiffness_N_per_m, magnet_N_per_m : (float, float)
        Of the string at the head, towards it and sideways; and what the magnets add: negative takes away. At the gap at rest, or at
        the gap as set for a string that lies on a face.
    together : tuple of str
        The other heads of the same build over the string.
    gap_m : (G,) ndarray
    kinds : tuple of str
        As far as the faces of these heads are concerned.
    rest_gaps_m, pulls_N, softnesses : (G,) ndarray
    latches_to_m, sticks_to_m : float or None
        Greatest gap from which it cannot hang clear, and greatest at which it can stay on the face; 0: at none of these gaps,
        None: at all of them.
    safe_m : float or None
        Gap from which nothing holds it on the face even at the strong end of the band; None: not among these gaps.
    strong_pull : float
        How many times the computed pull that end is.
    side_offset_m, side_gap_m, side_N_per_m : (Y,), (K,), (K, Y) ndarray
        What the magnets add to the stiffness sideways, at some gaps, so far to the string's own side of the head's axis.
    """

    kind: str
    rest_gap_m: float
    pull_N: float
    others_gap_m: float
    side_m: float
    softness: float
    stiffness_N_per_m: tuple[float, float]
    magnet_N_per_m: tuple[float, float]
    together: tuple[str, ...]
    gap_m: Floats
    kinds: tuple[str, ...]
    rest_gaps_m: Floats
    pulls_N: Floats
    softnesses: Floats
    latches_to_m: float | None
    sticks_to_m: float | None
    safe_m: float | None
    strong_pull: float
    side_offset_m: Floats
    side_gap_m: Floats
    side_N_per_m: Floats


@dataclass(frozen=True)
class HeadString:
    """One string over the head.

    Attributes
    ----------
    stands : bool
        Whether the scenario has it over this head; if not, it is looked at as if it ran over the middle of the face.
    position_m, gap_m, offset_m : float
        Place along the string, gap with the string straight, and offset from the head's axis.
    factor_N_per_A, factor_band_N_per_A, pull_band_N
        Force factor (its magnitude) and bands at the gap at rest; None where no band is known.
    along : AlongSheet or None
        None for a head known by measurement.
    band_note : str
        How a measured value narrowed the bands; empty if none did.
    """

    name: str
    material: str
    diameter_m: float
    stands: bool
    position_m: float
    gap_m: float
    offset_m: float
    factor_N_per_A: float
    factor_band_N_per_A: tuple[float, float] | None
    pull_band_N: tuple[float, float] | None
    along: AlongSheet | None
    curve: CurveSheet
    rest: RestSheet
    band_note: str = ""


@dataclass(frozen=True)
class HeadStudy:
    """Everything a sheet for one head says.

    Attributes
    ----------
    title : str
        Of the scenario.
    head : str
    others : tuple of str
        The scenario's other heads.
    alike : tuple of str
        Those of the same build.
    role, loop : str
        "sense", "drive" or "idle"; and the name of its loop, empty for an idle head.
    resistance_ohm, inductance_H : float
        Of the coil at 20 °C without a string.
    face_radius_m : float
    parts : tuple of PartSheet
        Empty for a head known by measurement, of which winding, heat and field are None.
    strings : tuple of HeadString
    limits, cautions : tuple of str
    """

    title: str
    head: str
    others: tuple[str, ...]
    alike: tuple[str, ...]
    role: str
    loop: str
    resistance_ohm: float
    inductance_H: float
    face_radius_m: float
    parts: tuple[PartSheet, ...]
    winding: WindingSheet | None
    heat: HeatSheet | None
    field: FieldSheet | None
    strings: tuple[HeadString, ...]
    limits: tuple[str, ...]
    cautions: tuple[str, ...]
