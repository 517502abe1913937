"""What a drive does beside a silent string: thermal and amplifier noise, as the linear model passes them on.

The densities are those of the run itself: √(4kTR) of the sense coils (Nyquist 1928) and e of every stage, with that of the resistors
around a non-inverting one in it. An inverting stage's feedback adds the root of 1/gain of what the coil has; that, and noise of
input currents, is left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.analysis.linear import Linear
from wirebloom.analysis.response import response
from wirebloom.circuit.parts import METERS
from wirebloom.kernels.layout import Floats, Model

if TYPE_CHECKING:
    from collections.abc import Mapping

BAND = (20.0, 20e3)  # Hz: what can be heard
POINTS = 600  # a third of a per cent in frequency: finer than any resonance of coils and capacitors


@dataclass(frozen=True)
class Noise:
    """Noise of one loop with the strings held still, 20 Hz to 20 kHz, rms.

    Attributes
    ----------
    output_V, drive_A : float
        At the amplifier's output and in the drive coils.
    heard_V : float
        The same noise as an EMF in the sense coil would cause it at 1 kHz, per √Hz: what the loop's hearing is worth.
    """

    output_V: float
    drive_A: float
    heard_V: float


def densities(model: Model) -> dict[str, Floats]:
    """One-sided densities of the sources, V/√Hz: "emf" of the circuits (C,), "input" of the stages (W,)."""
    per_step = np.sqrt(2.0 * model.step)
    return {"emf": per_step * model.coils.noise, "input": per_step * model.stages.noise}


def spectrum(linear: Linear, sources: Mapping[str, Floats], frequency: Floats, output: str) -> Floats:
    """Density of an output at frequencies (F,), Hz: (F, k), its unit per √Hz."""
    power = sum(np.abs(response(linear, frequency, output, name)) ** 2 @ density**2 for name, density in sources.items())
    return np.asarray(np.sqrt(power), dtype=np.float64)


def rms_within(frequency: Floats, density: Floats) -> Floats:
    """Root mean square of densities (F, k) between the first and the last of frequencies (F,), Hz."""
    return np.asarray(np.sqrt(np.trapezoid(density**2, frequency, axis=0)), dtype=np.float64)


def noises(linear: Linear, model: Model) -> tuple[Noise, ...]:
    """Noise of every loop.

    Parameters
    ----------
    linear : Linear
        Of that model, with the strings held: beside a string that the loop feeds there is no steady noise.
    model : Model
    """
    hertz, sources, loops = np.geomspace(*BAND, POINTS), densities(model), model.coils.noise.size // 2
    volts = spectrum(linear, sources, hertz, "meter")[:, output_rows(loops)]
    output, drive = rms_within(hertz, volts), rms_within(hertz, spectrum(linear, sources, hertz, "current")[:, 1::2])
    middle = np.array([1e3])
    passed = np.abs(response(linear, middle, "meter", "emf")[0, output_rows(loops), 2 * np.arange(loops)])
    there = spectrum(linear, sources, middle, "meter")[0, output_rows(loops)]
    heard = np.divide(there, passed, out=np.zeros(loops), where=passed > 0.0)
    return tuple(Noise(float(v), float(i), float(e)) for v, i, e in zip(output, drive, heard, strict=True))


def output_rows(loops: int) -> Floats:
    """Rows of the output's meters of all loops."""
    return np.asarray(METERS.index("output") * loops + np.arange(loops))
