"""What is known of a rig at rest: strings, heads, and what a loop can hear. Plain numbers, units in the names."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wirebloom.take.head_parts import WindingSheet

Floats = NDArray[np.float64]
THOUSANDFOLD = 3.0 * np.log(10.0)  # amplitude falls by 60 dB


@dataclass(frozen=True)
class DecayCause:
    """One cause of decay ("air", "viscoelastic", "thermoelastic", "support", or "measured" in place of them), (2, N) 1/s."""

    name: str
    per_s: Floats


@dataclass(frozen=True)
class StringStatic:
    """One string at rest. Rows of (2, N): towards the heads, sideways.

    Attributes
    ----------
    stress_Pa, strength_min_Pa, strength_max_Pa : float
        In the wire that bears the tension; the least and the most its standard lets it bear.
    harmonic_Hz : float
        f₀ = √(T/μ)/(2L): partials of a string without stiffness would stand at n f₀.
    frequency_Hz, decay_per_s : (2, N) ndarray
        Without magnets.
    magnet_cent : (2, N) ndarray
        How far the magnets move every partial at small motions; not a number where the string cannot hang clear.
    causes : tuple of DecayCause
        Of the decay rates, which are their sum.
    sag_m, side_m : float
        Where the magnets draw the string furthest towards the heads and furthest aside.
    equilibrium : str
        "free", "bistable" or "latched".
    """

    name: str
    material: str
    length_m: float
    diameter_m: float
    linear_density_kg_m: float
    tension_N: float
    pitch_Hz: float
    stress_Pa: float
    strength_min_Pa: float
    strength_max_Pa: float
    inharmonicity: float
    harmonic_Hz: float
    frequency_Hz: Floats
    magnet_cent: Floats
    decay_per_s: Floats
    causes: tuple[DecayCause, ...]
    sag_m: float
    side_m: float
    equilibrium: str

    @property
    def load(self) -> float:
        """Stress over the least strength."""
        return self.stress_Pa / self.strength_min_Pa

    @property
    def sharp_cent(self) -> Floats:
        """(N,) how much sharper than n f₀ every partial is, towards the heads and without magnets."""
        order = np.arange(1.0, self.frequency_Hz.shape[1] + 1.0)
        return np.asarray(1200.0 * np.log2(self.frequency_Hz[0] / (order * self.harmonic_Hz)))

    @property
    def t60_s(self) -> Floats:
        """(2, N) time in which an amplitude falls by 60 dB; infinite without loss."""
        with np.errstate(divide="ignore"):
            return np.asarray(THOUSANDFOLD / self.decay_per_s)


@dataclass(frozen=True)
class HeadStatic:
    """One head under one string, the string at rest.

    Attributes
    ----------
    role, loop : str
        "sense", "drive" or "idle", and the name of its loop.
    gap_m, rest_gap_m : float
        With the string straight; and as the magnets hold it.
    sag_m, side_m : float
        How far the string is drawn towards the head and aside, over it.
    static_pull_N : float
    force_factor_N_per_A : float
        K at the gap at rest.
    factor_low, factor_high, pull_low, pull_high : float
        Ends of the bands over these values; 1 where none is known.
    magnet_N_per_m : (float, float)
        What the magnets add to the string's stiffness there, towards the head and sideways: negative takes away.
    resistance_ohm, warm_ohm, inductance_H, time_constant_s : float
        Of the coil at 20 °C and in the room, without a string; and L/R in the room.
    winding : WindingSheet or None
        None for a head known by measurement.
    """

    name: str
    string: str
    role: str
    loop: str
    position_m: float
    gap_m: float
    rest_gap_m: float
    sag_m: float
    side_m: float
    static_pull_N: float
    force_factor_N_per_A: float
    factor_low: float
    factor_high: float
    pull_low: float
    pull_high: float
    magnet_N_per_m: tuple[float, float]
    resistance_ohm: float
    warm_ohm: float
    inductance_H: float
    time_constant_s: float
    winding: WindingSheet | None

    @property
    def emf_V_per_mm_s(self) -> float:
        """Open-circuit voltage per mm/s of the string over the head."""
        return 1e-3 * abs(self.force_factor_N_per_A)

    @property
    def force_N_per_mA(self) -> float:
        """Force on the string per mA in the coil."""
        return 1e-3 * abs(self.force_factor_N_per_A)


@dataclass(frozen=True)
class LoopStatic:
    """One loop's coils in series: resistance in the room and inductance, their wires' share at rest in it, with all else in their way.

    Attributes
    ----------
    sense_ohm, sense_H : float
        Of the sense coils by themselves.
    drive_ohm, drive_H : float
        Of the whole drive circuit for direct current, output and level resistor in it, and of the drive coils.
    drive_corner_Hz : float
        R/(2π L): above it the drive's current lags and falls.
    """

    loop: str
    sense_ohm: float
    sense_H: float
    drive_ohm: float
    drive_H: float
    drive_corner_Hz: float


@dataclass(frozen=True)
class Hearing:
    """What one loop hears of one string beside its own noise.

    Attributes
    ----------
    frequency_Hz : (N,) ndarray
    noise_V_per_rtHz : (N,) ndarray
        Thermal and amplifier noise as an EMF in the sense coils, rms.
    least_m_per_rtHz : (N,) ndarray
        Motion of that partial at its belly, rms, whose EMF is as large: the least that can be seen in a band of 1 Hz. Infinite
        where the loop is deaf to it.
    """

    loop: str
    string: str
    frequency_Hz: Floats
    noise_V_per_rtHz: Floats
    least_m_per_rtHz: Floats


@dataclass(frozen=True)
class StaticSheet:
    """Everything that is known before small motions are looked at.

    Attributes
    ----------
    words : tuple of str
        What cannot work, and why.
    grows_per_s, grows_Hz : float
        Fastest motion of all electronics with every string held, negative: it fades. Positive: it squeals whatever they do.
    """

    strings: tuple[StringStatic, ...]
    heads: tuple[HeadStatic, ...]
    loops: tuple[LoopStatic, ...]
    hearing: tuple[Hearing, ...]
    words: tuple[str, ...]
    grows_per_s: float
    grows_Hz: float
