"""Closed forms of the drive circuit that a maker reads beside a run: power, bandwidth, phase, and the gain of a clamped stage."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


class ClassB(NamedTuple):
    """Sine power of a push-pull stage without quiescent current, W: into the load, from the supplies, left in the stage."""

    load: float
    supply: float
    heat: float


def class_b_power(peak: float, supply: float, resistance: float) -> ClassB:
    """Powers at a sine of a peak voltage between ± supply into a resistance.

    Parameters
    ----------
    peak, supply : float
        V; `supply` is one of two rails.
    resistance : float
        Ω.

    References
    ----------
    Boylestad & Nashelsky, Electronic Devices and Circuit Theory, chapter 12.
    """
    load = peak**2 / (2.0 * resistance)
    drawn = 2.0 * supply * peak / (np.pi * resistance)
    return ClassB(load, drawn, drawn - load)


def full_power_bandwidth(slew: float, peak: float) -> float:
    """Highest sine of a peak voltage (V) that a slew rate (V/s) leaves whole, slew/(2π peak), Hz."""
    return slew / (2.0 * np.pi * peak)


def series_impedance(frequency: ArrayLike, resistance: float, inductance: float, capacitance: float | None = None) -> Complexes:
    """R + jωL + 1/(jωC) of a driven coil, Ω; the current leads the voltage by −arg. No capacitor: None."""
    w = 2.0j * np.pi * np.asarray(frequency, dtype=float)
    return np.asarray(resistance + w * inductance + (0.0 if capacitance is None else 1.0 / (w * capacitance)))


def resonance(inductance: float, capacitance: float) -> float:
    """1/(2π √(L C)), Hz: where a series capacitor and the coil cancel."""
    return float(1.0 / (2.0 * np.pi * np.sqrt(inductance * capacitance)))


def saturation_gain(amplitude: ArrayLike) -> Floats:
    """Describing function of a clamp with unit slope: fundamental out over sine in.

    Parameters
    ----------
    amplitude : array
        Of the sine, in units of the clamp.

    Returns
    -------
    ndarray
        1 up to the clamp, (2/π)(asin(1/A) + √(1 − 1/A²)/A) beyond.

    References
    ----------
    Gelb & Vander Velde 1968, Multiple-Input Describing Functions.
    """
    share = 1.0 / np.maximum(np.asarray(amplitude, dtype=float), 1.0)
    return np.asarray(2.0 / np.pi * (np.arcsin(share) + share * np.sqrt(1.0 - share**2)))
