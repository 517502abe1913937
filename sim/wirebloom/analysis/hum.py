"""What the mains' stray field does to a loop: hum at the output, what it leaves of the gain, whether strings still start.

While hum holds the output at its limits, a small signal beside it passes only for the rest of the time. Averaged over the hum's
period and over the noise that is the gain that is left: (2/π) asin(M/A) for a sine of A beyond limits ± M.

References
----------
Gelb, Vander Velde 1968, "Multiple-Input Describing Functions", ch. 5: small signal beside a large sine (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from scipy.special import ndtr

from wirebloom.analysis.linear import Linear, linear_model, linearise
from wirebloom.analysis.noise import Noise, noises, output_rows
from wirebloom.analysis.operating import limits, sizes
from wirebloom.analysis.response import Complex, motions, response
from wirebloom.kernels.layout import Floats, Model

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled
    from wirebloom.rig.models import Mains
    from wirebloom.take.sheet import Sheet

MOMENTS = 4096  # of the mains' period
QUIET = 1e-15  # V: noise that keeps a division whole
GROWS = 1e-6  # 1/s: electronics that grow faster squeal on their own


@dataclass(frozen=True)
class Idle:
    """One loop beside a silent string, as if nothing clipped.

    Attributes
    ----------
    noise : Noise
    hum_Hz : tuple of float
        Frequencies of the mains and its harmonics.
    hum_V, hum_A : tuple of float
        Output and drive current at each of them, rms.
    offset_V, steady_A : float
        Signal voltage of the last stage and current in the drive coils that input offsets alone leave there.
    gain_left : float
        Share of its gain that hum, noise and offset leave to a small signal: 1 where nothing clips, 0 where the offset holds
        the output at a limit.
    stable : bool
        False: the electronics squeal by themselves, and no figure here means much.
    """

    noise: Noise
    hum_Hz: tuple[float, ...]
    hum_V: tuple[float, ...]
    hum_A: tuple[float, ...]
    offset_V: float
    steady_A: float
    gain_left: float
    stable: bool

    @property
    def output_V(self) -> float:
        """Noise and hum together, rms."""
        return float(np.hypot(self.noise.output_V, np.linalg.norm(self.hum_V)))

    @property
    def drive_A(self) -> float:
        """Noise and hum together, rms."""
        return float(np.hypot(self.noise.drive_A, np.linalg.norm(self.hum_A)))


@dataclass(frozen=True)
class Start:
    """How fast a string's quickest partial grows from nothing, 1/s: in a quiet room, and in this one's hum and noise."""

    quiet_per_s: float
    here_per_s: float

    @property
    def blocked(self) -> bool:
        """Whether a string that would start is kept from it."""
        return self.quiet_per_s > 0.0 >= self.here_per_s


def idle(compiled: Compiled) -> tuple[Idle, ...]:
    """What every loop's drive does while its strings are silent.

    Parameters
    ----------
    compiled : Compiled

    Returns
    -------
    tuple of Idle
    """
    linear = linearise(compiled, strings=False)
    stable = bool(max((motion.growth_per_s for motion in motions(linear)), default=-1.0) < GROWS)
    bench = _Bench(compiled.model, linear, compiled.rig.room.mains, stable)
    return tuple(_idle(bench, a, noise) for a, noise in enumerate(noises(linear, compiled.model)))


def noted(sheet: Sheet, found: tuple[Idle, ...]) -> Sheet:
    """Put into a rig's sheet what its loops do beside silent strings; nothing of electronics that squeal by themselves."""
    if not all(own.stable for own in found):
        return sheet
    loops = [
        replace(
            loop,
            idle_noise_V=own.noise.output_V,
            idle_hum_V=float(np.linalg.norm(own.hum_V)),
            idle_A=own.drive_A,
            gain_left=own.gain_left,
        )
        for loop, own in zip(sheet.loops, found, strict=True)
    ]
    return replace(sheet, loops=tuple(loops))


def starts(compiled: Compiled, found: tuple[Idle, ...] | None = None) -> tuple[Start, ...]:
    """Growth of every string in a quiet room and in its own hum and noise; `found` as `idle` gives it."""
    found = idle(compiled) if found is None else found
    quiet = growths(linearise(compiled), compiled.model)
    left = np.array([own.gain_left for own in found])
    if np.all(left > 1.0 - 1e-9):
        return tuple(Start(growth, growth) for growth in quiet)
    deaf = deafened(compiled.model, left)
    turn = 0.5 * deaf.step * deaf.strings.frequency
    here = growths(linear_model(deaf, compiled.rest * np.sinc(turn / np.pi)), deaf)
    return tuple(Start(one, other) for one, other in zip(quiet, here, strict=True))


def growths(linear: Linear, model: Model) -> list[float]:
    """Of every string the growth rate of its quickest partial, 1/s."""
    found = motions(linear)
    strings = range(model.strings.stretch.size)
    return [max((motion.growth_per_s for motion in found if motion.string == s), default=-np.inf) for s in strings]


def deafened(model: Model, left: Floats) -> Model:
    """The model with the flux linkage of every loop's sense heads at a share (A,) of its value: a loop of so much less gain."""
    coefficient = model.tables.coefficient[model.poles.table].copy()
    for j, c in enumerate(model.poles.circuit):
        if c >= 0 and c % 2 == 0:
            coefficient[j, :, :, 1] *= left[c // 2]
    tables = {name: getattr(model.tables, name)[model.poles.table] for name in model.tables._fields} | {"coefficient": coefficient}
    return model._replace(tables=model.tables._replace(**tables), poles=model.poles._replace(table=np.arange(model.poles.gap.size)))


class _Bench(NamedTuple):
    """What the loops of one rig share."""

    model: Model
    linear: Linear
    mains: Mains | None
    stable: bool


def _idle(bench: _Bench, a: int, noise: Noise) -> Idle:
    (model, linear, mains, stable), size = bench, sizes(bench.model.network)
    hertz, rise = field_lines(mains)
    row, own = output_rows(model.coils.noise.size // 2)[a], model.stages.loop == a
    volts = response(linear, hertz, "meter", "stray")[:, row, 0] * rise
    amperes = response(linear, hertz, "current", "stray")[:, 2 * a + 1, 0] * rise
    last = int(np.flatnonzero(own)[-1])
    low, high = (bound[last] for bound in limits(model.network, model.stages, linear.point.z))
    offset = float(linear.point.z[size.volts][last])
    left = gain_left(hertz, volts, noise.output_V, (low - offset, high - offset))
    return Idle(
        noise=noise,
        hum_Hz=tuple(float(f) for f in hertz),
        hum_V=tuple(float(v) for v in np.abs(volts) / np.sqrt(2.0)),
        hum_A=tuple(float(i) for i in np.abs(amperes) / np.sqrt(2.0)),
        offset_V=offset,
        steady_A=float(linear.point.z[size.currents][2 * a + 1]),
        gain_left=0.0 if np.any(linear.point.held[own]) else left,
        stable=stable,
    )


def field_lines(mains: Mains | None) -> tuple[Floats, Floats]:
    """Frequencies (Hz) of a stray field's lines and the peaks of their rise (T/s): sines that all begin at t = 0."""
    if mains is None or mains.field == 0.0:
        return np.zeros(0), np.zeros(0)
    share = np.array([1.0, *mains.harmonics])
    hertz: Floats = mains.frequency * np.arange(1.0, share.size + 1.0)
    kept = share > 0.0
    rise: Floats = np.sqrt(2.0) * mains.field * share * 2.0 * np.pi * hertz
    return np.asarray(hertz[kept], dtype=np.float64), np.asarray(rise[kept], dtype=np.float64)


def gain_left(hertz: Floats, lines: Complex, noise: float, swing: tuple[float, float]) -> float:
    """Share of the time that an output is within its swing, (low, high) V about rest.

    Parameters
    ----------
    hertz : (k,) ndarray
        Of the mains' lines, multiples of one frequency.
    lines : (k,) complex ndarray
        Their peaks at the output, V, as of a cosine series.
    noise : float
        Rms of Gaussian noise there, V.
    swing : (float, float)

    Examples
    --------
    A sine of twice the limit is within it for a third of the time:

    >>> round(gain_left(np.array([50.0]), np.array([2.0 + 0j]), 0.0, (-1.0, 1.0)), 2)
    0.33
    """
    phase = 2.0 * np.pi * (np.arange(MOMENTS) + 0.5) / MOMENTS
    orders = np.rint(hertz / hertz[:1]) if hertz.size else hertz
    wave = np.real(lines @ np.exp(1j * np.outer(orders, phase)))
    spread = max(noise, QUIET)
    return float(np.mean(ndtr((swing[1] - wave) / spread) - ndtr((swing[0] - wave) / spread)))
