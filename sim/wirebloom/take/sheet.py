"""What is known of a rig before anything runs: plain numbers, units in the names."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class StringSheet:
    """One string at rest over its heads.

    Attributes
    ----------
    pitch_Hz : float
        What it is tuned to: partial 1 without magnets, at the tuning temperature.
    frequency_Hz, decay_per_s : (2, N) ndarray
        Partials and their decay rates in both polarisations.
    mass_kg : float
        Modal mass μL/2.
    bridge_N_per_m : (N,) ndarray
        Bridge force per modal displacement.
    stress_Pa, strength_min_Pa, strength_max_Pa : float
        At pitch; and what the wire of that size bears, from the least the standard promises to the most it allows.
    equilibrium : str
        "free", "bistable" or "latched".
    rest_m : (2, N) ndarray
        Modal displacement at static equilibrium.
    """

    name: str
    material: str
    length_m: float
    diameter_m: float
    tension_N: float
    linear_density_kg_m: float
    pitch_Hz: float
    inharmonicity: float
    frequency_Hz: Floats
    decay_per_s: Floats
    mass_kg: float
    bridge_N_per_m: Floats
    stress_Pa: float
    strength_min_Pa: float
    strength_max_Pa: float
    equilibrium: str
    rest_m: Floats


@dataclass(frozen=True)
class PoleSheet:
    """One string over one head.

    Attributes
    ----------
    gap_m, rest_gap_m : float
        As stated, with the string straight; and at static equilibrium.
    pull_N, force_factor_N_per_A : float
        Static pull and K at the rest gap.
    resistance_ohm, inductance_H : float
        Of the head's coil.
    face_radius_m, flange_radius_m, flange_recess_m : float
        The face that the string can meet.
    role : str
        "sense", "drive" or "idle".
    loop : str
        Name of its loop; empty for an idle head.
    weight : (N,) ndarray
        Shape weights of the string's partials at this head.
    factor_low, factor_high, pull_low, pull_high : float
        Weak and strong end of the band of force factor and pull, over their values here; 1 where no band is known.
    band_note : str
        How a measured value narrowed the band; empty if none did.
    """

    head: str
    string: str
    position_m: float
    gap_m: float
    rest_gap_m: float
    offset_m: float
    pull_N: float
    force_factor_N_per_A: float
    resistance_ohm: float
    inductance_H: float
    face_radius_m: float
    flange_radius_m: float
    flange_recess_m: float
    role: str
    loop: str
    weight: Floats
    factor_low: float = 1.0
    factor_high: float = 1.0
    pull_low: float = 1.0
    pull_high: float = 1.0
    band_note: str = ""


@dataclass(frozen=True)
class LoopSheet:
    """One loop: its heads, its amplifier's limits, its drive circuit."""

    name: str
    sense: tuple[str, ...]
    drive: tuple[str, ...]
    polarity: str
    gain: float
    supply_V: float
    swing_low_V: float
    swing_high_V: float
    bias_V: float
    drive_resistance_ohm: float
    coil_resistance_ohm: float
    quiescent_A: float
    mutual_H: float


@dataclass(frozen=True)
class Sheet:
    """Everything a reader of a take needs to know of the rig.

    Attributes
    ----------
    title : str
    digest : str
        Of the scenario's text and its overrides.
    strings, poles, loops
    limits : tuple of str
        What the model leaves out that matters for this rig.
    cautions : tuple of str
        What can hurt.
    """

    title: str
    digest: str
    strings: tuple[StringSheet, ...]
    poles: tuple[PoleSheet, ...]
    loops: tuple[LoopSheet, ...]
    limits: tuple[str, ...]
    cautions: tuple[str, ...]
