"""All electronics of a rig in periodic motion: linear answers harmonic by harmonic, limits of the stages sample by sample.

Deviations from the working point z₀ in Y = (fluxes of coils and of cores' turns, x): Y′ = A Y + B n + e, n = (v, draws from rails
that give way), e the EMF of the strings. What a stage hears comes from Y and n; what it answers, `clamped` says; both are repeated
until they agree, which takes one round where nothing leads from a loop's output back into its input.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.analysis.clamped import Stage, clamped
from wirebloom.analysis.operating import Point, sizes
from wirebloom.analysis.stage_limits import drawn_at, leans, limit_rows, share_left, walls
from wirebloom.analysis.wires import Magnetics
from wirebloom.kernels.layout import Floats, Model

Complex = NDArray[np.complex128]
STILL = 1e-3  # rad/s, in place of 0: charge that only two capacitors could share stays where it is
TINY = 1e-300
FEW = 0.3  # of a step that may be too much
ROUNDS = 10  # of stages that hear one another


class Rows(NamedTuple):
    """Everything over (Y, n)."""

    change: Floats  # (Y, Y + n) Y′
    z: Floats  # (Z, Y + n)
    current: Floats  # (C + 2H, Y + n) A


def rows_of(model: Model, magnets: Magnetics) -> Rows:
    """Lay out the rows of a model at a working point."""
    network, size = model.network, sizes(model.network)
    fluxes = magnets.inductance.shape[0]
    order = fluxes + size.states
    width = order + size.stages + size.given - 1
    current = np.zeros((fluxes, width))
    current[:, :fluxes] = np.linalg.inv(magnets.inductance) if fluxes else np.zeros((0, 0))
    z = np.zeros((network.rate.shape[1], width))
    z[: size.states, fluxes:order] = np.eye(size.states)
    z[size.currents] = current[: size.coils]
    z[size.volts, order : order + size.stages] = np.eye(size.stages)
    z[size.inner + 1 :, order + size.stages :] = np.eye(size.given - 1)
    turns = -model.cores.resistance.ravel()[:, None] * current[size.coils :]
    return Rows(np.concatenate([network.voltage @ z, turns, network.rate @ z]), z, current)


class Answer(NamedTuple):
    """Electronics over one period, less what they are at rest.

    inputs (B, W + draws, M): stages' voltages (V) and draws (A); current (B, C + 2H, M) of coils and turns, A.
    """

    inputs: Floats
    current: Floats


class Transfer(NamedTuple):
    """Harmonics of some rows per harmonic of the inputs, (K, r, n), and of the strings' share of the fluxes, (K, r, C + 2H)."""

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
    """

    def __init__(self, model: Model, point: Point, magnets: Magnetics, omega: float, samples: int) -> None:
        self.model, self.point, self.omega, self.samples = model, point, omega, samples
        self.size, self.rows = sizes(model.network), rows_of(model, magnets)
        self.order, self.fluxes = self.rows.change.shape[0], self.rows.current.shape[0]
        network, stages = model.network, model.stages
        self.answers = self._answers()
        self.seen = self.transfer(self.rows.current)
        heard = network.heard @ self.rows.z
        self.direct = np.diag(heard[:, self.order :]).copy()
        bends = bool(np.any(stages.bend > 0.0))
        self.moving = self.size.given > 1 or bends or leans(np.concatenate([network.high, network.low]), self.size)
        watched = [heard] + [row @ self.rows.z for row in (network.high, network.low, network.given) if self.moving]
        self.watched = self.transfer(np.concatenate(watched))
        self.settled = network.heard @ point.z + stages.offset - point.z[self.size.volts] / stages.gain
        self.walls = walls(model, *(np.broadcast_to((row @ point.z)[:, None], (stages.gain.size, 1)) for row in limit_rows(model)))
        self.back = self._held_back()
        self.rounds = ROUNDS if self.moving or np.any(np.abs(self._returned()) > 0.0) else 1

    def _answers(self) -> tuple[Complex, Complex, Complex]:
        """(jkΩ − A)⁻¹ times what the inputs change and times the EMF of fluxes; jkΩ."""
        s = 1j * self.omega * np.maximum(np.arange(self.samples // 2), STILL / self.omega)
        inverse = np.linalg.inv(s[:, None, None] * np.eye(self.order) - self.rows.change[:, : self.order])
        return inverse @ self.rows.change[:, self.order :], -s[:, None, None] * inverse[:, :, : self.fluxes], s

    def transfer(self, rows: Floats) -> Transfer:
        """Of rows over (Y, n)."""
        inputs, flux, _ = self.answers
        return Transfer(rows[:, : self.order] @ inputs + rows[:, self.order :], rows[:, : self.order] @ flux)

    def _returned(self) -> Complex:
        """What stages hear of stages, their own direct answer apart."""
        count = self.size.stages
        return np.asarray(self.watched.inputs[:, :count, :count] - np.diag(self.direct))

    def _held_back(self) -> Complex | None:
        """Share (K, n, 1) of each harmonic's change to hold back where a stage's own output, on its way back, turns against it.

        Without limits a round would multiply an error by T; where Re T < 0 the whole step overshoots, and 1/(1 − T) of it is right.
        """
        _, _, s = self.answers
        stages, count = self.model.stages, self.size.stages
        back = self._returned()[:, np.arange(count), np.arange(count)]
        turned = back / (s[:, None] / stages.rate + 1.0 / stages.gain - self.direct)
        held = np.where(turned.real < 0.0, -turned / (1.0 - turned), 0.0)
        if np.abs(held).max(initial=0.0) < FEW:
            return None
        return np.concatenate([held, np.zeros((s.size, self.size.given - 1))], axis=1)[:, :, None]

    def to_harmonics(self, signal: Floats) -> Complex:
        """(B, n, M) → (K, n, B)."""
        return np.asarray(np.fft.rfft(signal, axis=-1)[..., : self.samples // 2].transpose(2, 1, 0))

    def to_samples(self, parts: Complex) -> Floats:
        """(K, n, B) → (B, n, M)."""
        return np.asarray(np.fft.irfft(parts.transpose(2, 1, 0), n=self.samples, axis=-1))

    def answer(self, flux: Floats, before: Floats | None = None, tight: float = 1e-6) -> Answer:
        """Answer to the strings' share of the flux linkages (B, C + 2H, M), Wb; before: inputs to begin with."""
        linked = self.to_harmonics(flux)
        idle = self.watched.flux @ linked
        inputs = np.zeros((flux.shape[0], self.size.stages + self.size.given - 1, self.samples)) if before is None else before
        for _ in range(self.rounds):
            new = self._stages(self.to_samples(idle + self.watched.inputs @ self.to_harmonics(inputs)), inputs)
            off = new - inputs
            inputs = new if self.back is None else new - self.to_samples(self.back * self.to_harmonics(off))
            if np.all(np.abs(off).max(axis=(1, 2), initial=0.0) <= tight * np.abs(new).max(axis=(1, 2), initial=TINY)):
                break
        return Answer(inputs, self.to_samples(self.seen.flux @ linked + self.seen.inputs @ self.to_harmonics(inputs)))

    def read(self, rows: Floats, flux: Floats, answer: Answer) -> Floats:
        """Rows over z of the network (r, Z) through one period: (B, r, M)."""
        of = self.transfer(rows @ self.rows.z)
        moved = self.to_samples(of.flux @ self.to_harmonics(flux) + of.inputs @ self.to_harmonics(answer.inputs))
        return moved + (rows @ self.point.z)[:, None]

    def _stages(self, watched: Floats, inputs: Floats) -> Floats:
        """Stages' voltages and draws, less those at rest."""
        size, stages, count = self.size, self.model.stages, self.size.stages
        new, period, rest = np.empty_like(inputs), 2.0 * np.pi / self.omega, self.point.z[self.size.volts]
        low, high, drawn = self.walls[0][None], self.walls[1][None], None
        if self.moving:
            moved = watched[:, count:].reshape(-1, 3, count, self.samples)
            rails = [moved[:, k] + (row @ self.point.z)[:, None] for k, row in enumerate(limit_rows(self.model))]
            low, high = walls(self.model, *rails)
            drawn = drawn_at(self.model, rails[2])
        for w in range(count):
            left = share_left(stages, w, inputs[:, w] + rest[w])[:, None]
            own = Stage(float(stages.rate[w]), stages.rate[w] * (1.0 / stages.gain[w] - left * self.direct[w]), float(stages.slew[w]))
            signal = left * (watched[:, w] - self.direct[w] * inputs[:, w]) + self.settled[w]
            new[:, w] = clamped(signal, own, period, low[:, w] - rest[w], high[:, w] - rest[w])
        if size.given > 1 and drawn is not None:
            new[:, count:] = drawn - self.point.z[size.inner + 1 :, None]
        return new
