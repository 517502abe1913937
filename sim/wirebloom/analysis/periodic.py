"""All electronics of a rig in periodic motion: linear answers harmonic by harmonic, limits of the stages sample by sample.

Deviations from the working point z₀ in Y = (fluxes of coils and of cores' turns, x): Y′ = A Y + B n + e, n = (v, draws from rails
that give way), e the EMF of the strings. What a stage hears comes from Y and n; what it answers, `clamped` says; both are repeated
until they agree, which takes one round where nothing leads from a loop's output back into its input. Stages and coils that the
string's motion does not reach stand still, and are left out.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.analysis.circuit_rows import part_of, rows_of
from wirebloom.analysis.clamped import Stage, clamped, opened, straightened
from wirebloom.analysis.operating import Point, sizes
from wirebloom.analysis.stage_limits import drawn_at, leans, limit_rows, share_left, walls
from wirebloom.analysis.wires import Magnetics
from wirebloom.kernels.layout import Floats, Ints, Model

Complex = NDArray[np.complex128]
STILL = 1e-3  # rad/s, in place of 0: charge that only two capacitors could share stays where it is
TINY = 1e-300
FEW = 0.3  # of a step that may be too much
ROUNDS = 30  # of stages that hear one another


class Answer(NamedTuple):
    """Electronics over one period, less what they are at rest.

    inputs (B, W + draws, M): means over the steps that end at the samples, of moved stages' voltages (V) and draws (A); current
    (B, C + 2H, M) of coils and turns, A. off (B,): share of the inputs by which the last round still changed them.
    """

    inputs: Floats
    current: Floats
    off: Floats


class Transfer(NamedTuple):
    """Harmonics of some rows per harmonic of the inputs, (K, r, n), and of the strings' share of the moved fluxes, (K, r, F)."""

    inputs: Complex
    flux: Complex


class Periodic:
    """Electronics at one frequency.

    Parameters
    ----------
    model : Model
    point : Point
        Working point.
    magnets : Magnetics
        There.
    omega : float
        Fundamental, rad/s.
    samples : int
        In a period, a power of two.
    begun : (F,) ndarray of int
        Fluxes, of coils and behind them of cores' turns, that the string has a share of.
    """

    def __init__(self, model: Model, point: Point, magnets: Magnetics, omega: float, samples: int, *, begun: Ints) -> None:
        self.model, self.point, self.omega, self.samples = model, point, omega, samples
        size, network = sizes(model.network), model.network
        self.rows, self.linked, self.own, self.stages = part_of(model, rows_of(model, magnets), begun)
        self.count, self.draws, self.order = self.own.size, size.given - 1, self.rows.order
        self.drawn, self.rest = point.z[size.inner + 1 :, None], point.z[size.volts][self.own]
        self.answers = self._answers()
        self.seen = self.transfer(self.rows.current)
        heard = network.heard[self.own] @ self.rows.z
        self.direct = np.diag(heard[:, self.order :]).copy()
        self.opened = opened(samples)[:, None, None]
        limits = [row[self.own] for row in limit_rows(model)]
        self.moving = self.draws > 0 or bool(np.any(self.stages.bend > 0.0)) or leans(np.concatenate(limits[:2]), size)
        self.watched = self.transfer(np.concatenate([heard, *(row @ self.rows.z for row in limits if self.moving)]))
        stages = np.arange(self.count)
        self.watched.inputs[:, stages, stages] -= self.direct  # counts as a leak
        for part in self.watched:
            part[:, stages] *= straightened(samples)[:, None, None]
        self.settled = network.heard[self.own] @ point.z + self.stages.offset - self.rest / self.stages.gain
        self.limits = np.stack([row @ point.z for row in limits])[:, :, None]
        self.walls = walls(self.stages, *np.repeat(self.limits, samples, axis=2))
        self.back = self._held_back()
        self.rounds = ROUNDS if self.moving or np.any(np.abs(self._returned()) > 0.0) else 1

    def _answers(self) -> tuple[Complex, Complex, Complex]:
        """(jkΩ − A)⁻¹ times what the inputs change and times the EMF of fluxes; jkΩ."""
        s = 1j * self.omega * np.maximum(np.arange(self.samples // 2), STILL / self.omega)
        inverse = np.linalg.inv(s[:, None, None] * np.eye(self.order) - self.rows.change[:, : self.order])
        return inverse @ self.rows.change[:, self.order :], -s[:, None, None] * inverse[:, :, : self.linked.size], s

    def transfer(self, rows: Floats) -> Transfer:
        """Of rows over (Y, n)."""
        inputs, flux, _ = self.answers
        return Transfer(rows[:, : self.order] @ inputs + rows[:, self.order :], rows[:, : self.order] @ flux)

    def _returned(self) -> Complex:
        """What stages hear of stages, their own direct answer apart."""
        return np.asarray(self.watched.inputs[:, : self.count, : self.count])

    def _held_back(self) -> Complex | None:
        """Share (K, n, 1) of each harmonic's change to hold back where a stage's own output, on its way back, turns against it.

        Without limits a round would multiply an error by T; where Re T < 0 the whole step overshoots, and 1/(1 − T) of it is right.
        """
        _, _, s = self.answers
        back = np.diagonal(self._returned(), axis1=1, axis2=2)
        turned = back / (s[:, None] / self.stages.rate + 1.0 / self.stages.gain - self.direct)
        held = np.where(turned.real < 0.0, -turned / (1.0 - turned), 0.0)
        if np.abs(held).max(initial=0.0) < FEW:
            return None
        return np.concatenate([held, np.zeros((s.size, self.draws))], axis=1)[:, :, None]

    def to_harmonics(self, signal: Floats) -> Complex:
        """(B, n, M) → (K, n, B)."""
        return np.asarray(np.fft.rfft(signal, axis=-1)[..., : self.samples // 2].transpose(2, 1, 0))

    def to_samples(self, parts: Complex) -> Floats:
        """(K, n, B) → (B, n, M)."""
        return np.asarray(np.fft.irfft(parts.transpose(2, 1, 0), n=self.samples, axis=-1))

    def inside(self, inputs: Floats) -> Complex:
        """Harmonics (K, n, B) of what `inputs` are the means of."""
        return self.to_harmonics(inputs) * self.opened

    def answer(self, flux: Floats, before: Floats | None = None, tight: float = 1e-6) -> Answer:
        """Answer to the strings' share of the flux linkages (B, C + 2H, M), Wb; before: inputs to begin with."""
        linked = self.to_harmonics(flux[:, self.linked])
        idle = self.watched.flux @ linked
        inputs = np.zeros((flux.shape[0], self.count + self.draws, self.samples)) if before is None else before
        left = np.zeros(flux.shape[0])
        for _ in range(self.rounds):
            new = self._stages(self.to_samples(idle + self.watched.inputs @ self.inside(inputs)), inputs)
            off = new - inputs
            inputs = new if self.back is None else new - self.to_samples(self.back * self.to_harmonics(off))
            left = np.abs(off).max(axis=(1, 2), initial=0.0) / np.abs(new).max(axis=(1, 2), initial=TINY)
            if np.all(left <= tight):
                break
        current = self.to_samples(self.seen.flux @ linked + self.seen.inputs @ self.inside(inputs))
        return Answer(inputs, current, left if self.rounds > 1 else np.zeros_like(left))

    def read(self, rows: Floats, flux: Floats, answer: Answer) -> Floats:
        """Rows over z of the network (r, Z) through one period: (B, r, M)."""
        of = self.transfer(rows @ self.rows.z)
        moved = self.to_samples(of.flux @ self.to_harmonics(flux[:, self.linked]) + of.inputs @ self.inside(answer.inputs))
        return moved + (rows @ self.point.z)[:, None]

    def _stages(self, watched: Floats, inputs: Floats) -> Floats:
        """Step means of stages' voltages and draws, less those at rest."""
        new, period, count = np.empty_like(inputs), 2.0 * np.pi / self.omega, self.count
        low, high, drawn = self.walls[0][None], self.walls[1][None], None
        if self.moving:
            rails = [own + at for own, at in zip(np.split(watched[:, count:], 3, axis=1), self.limits, strict=True)]
            low, high = walls(self.stages, *rails)
            drawn = drawn_at(self.stages, rails[2])
        for w, rate in enumerate(self.stages.rate):
            left = share_left(self.stages, w, inputs[:, w] + self.rest[w])[:, None]
            own = Stage(float(rate), rate * (1.0 / self.stages.gain[w] - left * self.direct[w]), float(self.stages.slew[w]))
            signal = left * watched[:, w] + self.settled[w]
            new[:, w] = clamped(signal, own, period, low[:, w] - self.rest[w], high[:, w] - self.rest[w])
        if self.draws and drawn is not None:
            drawn = drawn - self.drawn
            new[:, count:] = 0.5 * (drawn + np.roll(drawn, 1, axis=-1))
        return new
