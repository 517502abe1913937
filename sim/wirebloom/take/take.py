"""A take: one recorded run. Index letters as in the kernels: S strings, N partials, J poles, A loops."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wirebloom.take.band import Band
from wirebloom.take.sheet import Sheet

Floats = NDArray[np.float64]
Samples = NDArray[np.float32]


@dataclass(frozen=True)
class Signals:
    """Signals at the audio rate; sample t stands at t/audio_rate seconds.

    Attributes
    ----------
    displacement : (t, J, 2) ndarray
        String at each pole, towards the head and sideways, from the straight string, m.
    magnetic_force : (t, J, 2) ndarray
        On the string, N.
    contact_force : (t, J) ndarray
        Of the face on the string, N.
    sense_voltage, drive_voltage, capacitor_voltage, supply_voltage : (t, A) ndarray
        At the amplifier's input, its output (bias included), over the series capacitor, of its supply, V.
    sense_current, drive_current : (t, A) ndarray
        A.
    bridge_force : (t, S, 2) ndarray
        N.
    """

    displacement: Samples
    magnetic_force: Samples
    contact_force: Samples
    sense_voltage: Samples
    drive_voltage: Samples
    capacitor_voltage: Samples
    supply_voltage: Samples
    sense_current: Samples
    drive_current: Samples
    bridge_force: Samples


@dataclass(frozen=True)
class Frames:
    """Slow records: one row at t = 0, then one at the end of every frame. Energies in J, sums since t = 0.

    Attributes
    ----------
    time : (f,) ndarray
        s.
    amplitude : (f, S, 2, N) ndarray
        Of every partial about its rest, m.
    phase : (f, S, 2, N) ndarray
        Of the same at the end of the frame, rad from 0 to 2π: rest + amplitude · cos(phase), growing with time. With the amplitude
        it holds the whole state of the strings. −1 where none was recorded.
    least_gap, most_contact : (f, J) ndarray
        Within the frame, at the full rate, m and N.
    string_energy, tension_energy : (f, S) ndarray
        Stored in the modes and in the stretching.
    magnetic_energy, capacitor_energy, contact_energy : (f,) ndarray
        Stored; the magnetic one counts from t = 0.
    supplied, noise : (f, A) ndarray
        Work of the amplifiers and of the sense coils' thermal EMF.
    external : (f,) ndarray
        Work of outside forces.
    string_loss : (f, S), drive_heat, sense_heat : (f, A), contact_loss, damper_loss : (f,) ndarray
        Lost.
    drive_work : (f, J) ndarray
        Work of the magnetic force of each pole on its string.
    residual : (f,) ndarray
        Stored − put in + lost: 0 for a perfect integration.
    drawn_high, drawn_low : (f, A) ndarray
        Charge that the amplifiers drew from their high rails and gave into their low ones, C.
    output_square : (f, A) ndarray
        Mean square of the amplifiers' outputs within the frame, at the full rate, bias included, V².
    """

    time: Floats
    amplitude: Floats
    phase: Samples
    least_gap: Floats
    most_contact: Floats
    string_energy: Floats
    tension_energy: Floats
    magnetic_energy: Floats
    capacitor_energy: Floats
    contact_energy: Floats
    supplied: Floats
    noise: Floats
    external: Floats
    string_loss: Floats
    drive_heat: Floats
    sense_heat: Floats
    contact_loss: Floats
    damper_loss: Floats
    drive_work: Floats
    residual: Floats
    drawn_high: Floats
    drawn_low: Floats
    output_square: Floats


@dataclass(frozen=True)
class Shape:
    """Shape of the strings over one period of the first string's partial 1, just after the end of the run.

    Attributes
    ----------
    time : (f,) ndarray
        s, from the end of the run.
    x : (S, X) ndarray
        Along each string, m.
    displacement : (f, S, 2, X) ndarray
        m.
    """

    time: Floats
    x: Floats
    displacement: Floats


@dataclass(frozen=True)
class Take:
    """One recorded run.

    Attributes
    ----------
    sheet : Sheet
    scenario : str
        Text of the scenario.
    overrides : tuple of str
        Changes made to it, ``path=value``.
    seed : int
    status : str
        "complete" or "interrupted".
    duration_s : float
        Reached.
    rate, audio_rate : float
        Of the steps and of the signals, Hz.
    versions : dict
        Of the packages that made it.
    signals, frames, shape
    wall : dict
        kernel_s, realtime_factor.
    band : Band or None
        The same run at the weak and the strong end of what is known of its heads; None if these were not run.
    lost : tuple of str
        Names of signals and slow records that a damaged file no longer had: they read as 0, and nothing is measured from them.
    """

    sheet: Sheet
    scenario: str
    overrides: tuple[str, ...]
    seed: int
    status: str
    duration_s: float
    rate: float
    audio_rate: float
    versions: dict[str, str]
    signals: Signals
    frames: Frames
    shape: Shape
    wall: dict[str, float]
    band: Band | None = None
    lost: tuple[str, ...] = ()
