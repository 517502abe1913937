"""Slow motion of a string's partials around a loop, all at once: every partial n as a(t) e^{j n Ω t} with a slow complex envelope a.

    j (ω_n + n Ω) a′ = f_n(a) − (ω_n² − (n Ω)² + 2 j n Ω σ_n) a

f_n is harmonic n of the modal acceleration over one period, with the real curves of the heads, the clamped stages, and the tension's
rise. a′ = 0 is harmonic balance: each steady state is a point where all a stand still, its stability the eigenvalues there.
The electronics answer at n Ω as if a did not grow: exact where it matters, at a steady state.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.analysis.modes import pole_strings
from wirebloom.analysis.periodic import Answer, Periodic
from wirebloom.analysis.strand import Basis, Strand, give
from wirebloom.kernels.layout import Floats, Ints

Complex = NDArray[np.complex128]
ROUGH = 1e-3  # agreement of the electronics in all turns but the last
TURNS = 2  # of how other modes give way and of what the wires' own inductance adds: each changes the others by some per cent


class Period(NamedTuple):
    """One period of a batch: motion of the string's poles (B, J, P, M), m; forces (B, J, P, M), N; electronics."""

    moved: Floats
    force: Floats
    flux: Floats  # (B, C + 2H, M) Wb
    answer: Answer


class Envelopes:
    """Slow flow of one string's partials e, 2e, 3e …, towards the heads and, if asked for, sideways.

    Parameters
    ----------
    basis : Basis
    string : int
    partials : (N,) ndarray of int
        Their numbers from 1, all multiples of the first.
    omega : float
        The frame's frequency for the first of them, rad/s.
    samples : int
        In its period, a power of two.
    planes : int
        1: towards the heads only; 2: both polarisations.
    """

    def __init__(self, basis: Basis, string: int, partials: Ints, omega: float, samples: int, *, planes: int = 1) -> None:
        self.basis, self.string, self.omega, self.samples, self.planes = basis, string, omega, samples, planes
        model, strings, own = basis.model, basis.model.strings, partials - 1
        self.poles = np.flatnonzero(pole_strings(model) == string)
        self.partials, self.order = partials, partials // partials[0]
        self.weight = model.poles.weight[self.poles][:, own]
        self.frequency, self.decay = strings.frequency[string, :planes, own].T, strings.decay[string, :planes, own].T
        self.curvature, self.inverse_mass = strings.curvature[string, own], float(strings.inverse_mass[string])
        self.stretch, self.inverse_density = float(strings.stretch[string]), float(strings.inverse_density[string])
        own_modes = {int(k): int(n) for k, n in zip(self.order, own, strict=True)}
        self.give = give(model, string, self.poles, omega * np.arange(samples // 2), own_modes)[:, :planes]
        angle = 2.0 * np.pi * np.outer(self.order, np.arange(samples)) / samples
        self.wave = np.exp(1j * angle)
        self.strand = Strand(basis, self.poles, planes, samples)
        self.electric = Periodic(model, basis.point, basis.magnets, omega, samples, begun=self.strand.linked)

    def period(self, a: Complex, before: Floats | None = None, tight: float = 1e-6) -> Period:
        """Everything over one period, a (B, P, N), m; before: inputs of the electronics to begin with, tight: how well they must agree.

        At ROUGH or looser, what other modes give way and the wires' own inductance are left as at rest.
        """
        swing = ((a[:, None] * self.weight[:, None, :]) @ self.wave).real
        aside: Floats | float = 0.0
        rest = self.basis.moved[self.poles][None, :, : self.planes, None]
        current: Floats | None = None
        turns = TURNS if tight < ROUGH else 1
        for turn in range(turns):
            moved = rest + aside + swing
            parts = self.strand.parts(moved)
            flux = self.strand.flux(parts, current)
            answer = self.electric.answer(flux, before, tight if turn == turns - 1 else ROUGH)
            current, before = answer.current, answer.inputs
            force = self.strand.loads(parts, current)
            if turn < turns - 1:
                aside = self._aside(force - self.strand.still)
        return Period(moved, force, flux, answer)

    def _aside(self, force: Floats) -> Floats:
        """How far all modes but those with envelopes give way to forces (B, J, P, M), N, through one period, m."""
        parts = np.fft.rfft(force, axis=-1)[..., : self.samples // 2]
        return np.fft.irfft(np.einsum("kpij,bjpk->bipk", self.give, parts), n=self.samples, axis=-1)

    def slope(self, a: Complex, shift: Floats | float = 0.0, before: Floats | None = None, tight: float = 1e-6) -> tuple[Complex, Period]:
        """a′ (B, P, N), m/s, in a frame at `shift` (rad/s, (B,) or one) above its own frequency; and the period."""
        period = self.period(a, before, tight)
        parts = 2.0 * np.fft.rfft(period.force, axis=-1)[..., self.order] / self.samples
        push = self.inverse_mass * np.einsum("jn,bjpn->bpn", self.weight, parts) + self.tension(a)
        turn = self.order * (self.omega + np.asarray(shift, dtype=float)[..., None])
        turn = np.broadcast_to(turn, (a.shape[0], self.order.size))[:, None, :]
        own = self.frequency**2 - turn**2 + 2j * turn * self.decay
        return (push - own * a) / (1j * (turn + self.frequency)), period

    def tension(self, a: Complex) -> Complex:
        """Acceleration by the tension's rise, harmonic n of mode n (B, P, N)."""
        q = (a[..., None] * self.wave).real
        rise = self.stretch * (self.curvature @ (q * q)).sum(axis=1)
        back = q * rise[:, None, None]
        real, imaginary = (np.einsum("bpnm,nm->bpn", back, part) for part in (self.wave.real, self.wave.imag))
        return np.asarray(-2.0 / self.samples * self.inverse_density * self.curvature * (real - 1j * imaginary))


def least_gap(flow: Envelopes, period: Period) -> float:
    """Over all heads under the string, m."""
    return float((flow.basis.model.poles.gap[flow.poles][:, None] - period.moved[0, :, 0]).min())
