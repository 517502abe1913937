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
    """One loop: its heads, its amplifier's limits, its drive circuit; hum_Hz: of the mains' field at the heads, 0 for none.

    Beside silent strings, as if nothing clipped: idle_noise_V and idle_hum_V at its output, idle_A of both in its drive coils, rms,
    0 where nobody worked them out; gain_left, the share of its gain that they leave to a small signal.

    How near it is to squealing with its strings held: squeal_growth_per_s of its electronics as they stand, negative where they keep
    still; squeal_factor, times its crosstalk at which they would not (0: they need none), at squeal_factor_Hz; squeal_turned, the same with
    the crosstalk's sign turned; squeal_gain of a plain amplifier and squeal_distance_m of its heads at which they would not; −1: none.
    """

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
    hum_Hz: float = 0.0
    idle_noise_V: float = 0.0
    idle_hum_V: float = 0.0
    idle_A: float = 0.0
    gain_left: float = 1.0
    squeal_growth_per_s: float = 0.0
    squeal_factor: float = -1.0
    squeal_factor_Hz: float = 0.0
    squeal_turned: float = -1.0
    squeal_gain: float = -1.0
    squeal_distance_m: float = -1.0


@dataclass(frozen=True)
class SupplySheet:
    """One named supply. If it is split, all but `halves` speak of one half; batteries of a split supply are two.

    Attributes
    ----------
    kind : str
        "battery", "regulator" or "ideal".
    made_of : str
        In words: "4 × alkaline AA".
    loops : tuple of str
        That it feeds.
    halves : float
        1, or 2 for a split supply.
    open_V, resistance_ohm : float
        Without load, and the resistance behind which it gives way; 0: none.
    battery_V, battery_ohm : float
        The same of the battery behind it; 0: none.
    empty_V : float
        Of that battery without load once it is empty.
    needed_V : float
        What that battery must have under load: its end voltage, or what a regulator needs.
    charge_C, rated_A, peukert : float
        Charge that is left in the battery, the current at which it counts, and Peukert's exponent.
    """

    name: str
    kind: str
    made_of: str
    loops: tuple[str, ...]
    halves: float
    open_V: float
    resistance_ohm: float
    battery_V: float
    battery_ohm: float
    empty_V: float
    needed_V: float
    charge_C: float
    rated_A: float
    peukert: float


@dataclass(frozen=True)
class CoilSheet:
    """How the coil of a driven head keeps cool; heads known by measurement have none.

    Attributes
    ----------
    resistance_ohm : float
        At 20 °C.
    conductance_low_W_per_K, conductance_high_W_per_K : float
        Given off, with little and with good cooling.
    capacity_low_J_per_K, capacity_high_J_per_K : float
        Held by the copper alone and by the whole head.
    room_K : float
    enamel : str
        Its thermal class.
    enamel_K : float
        That it bears for good.
    magnet_K : float
        That the head's magnets bear in service; 0: there are none, -1: none of a known grade.
    """

    head: str
    loop: str
    resistance_ohm: float
    conductance_low_W_per_K: float
    conductance_high_W_per_K: float
    capacity_low_J_per_K: float
    capacity_high_J_per_K: float
    room_K: float
    enamel: str
    enamel_K: float
    magnet_K: float


@dataclass(frozen=True)
class Sheet:
    """Everything a reader of a take needs to know of the rig.

    Attributes
    ----------
    title : str
    digest : str
        Of the scenario's text and its overrides.
    strings, poles, loops, supplies, coils
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
    supplies: tuple[SupplySheet, ...] = ()
    coils: tuple[CoilSheet, ...] = ()
