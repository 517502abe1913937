"""A rig for small signals: one real matrix of strings, fluxes, cores, network and stages about a working point.

y′ = matrix · y + into · w, and any output is out · y + through · w. States y: modal displacements and velocities, flux linkages
of coils and of solid cores' shorted turns, capacitor voltages and inductor currents, voltages of the stages that no rail holds.
Inputs w: EMF in the coils, voltage at the stages' inputs, rise of a stray field, share of the supply, forces at the poles.

Left out, as small: contact, the level at which a stage turns its gain down, a current limit. Of a class-B output's two half
waves each rail carries one: about no current, a draw rises by half of what the current does.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from wirebloom.analysis.modes import friction, motion_of, only_string, per_mode, pole_strings, string_matrix
from wirebloom.analysis.operating import Point, operating_point, sizes
from wirebloom.analysis.wires import Magnetics, magnetics
from wirebloom.kernels.layout import Floats, Ints, Model

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

SMALL = 1e-9  # A: a class-B output that gives less rests between its two half waves
INPUTS = ("emf", "input", "stray", "supply", "force")
OUTPUTS = ("displacement", "bridge", "current", "output", "given", "meter")


class Label(NamedTuple):
    """What a state is.

    Attributes
    ----------
    kind : str
        "displacement" and "velocity" (string, polarisation, partial from 0), "flux" (circuit), "eddy" (core, turn), "part"
        (state of the network), "stage".
    place : tuple of int
    """

    kind: str
    place: tuple[int, ...]


@dataclass(frozen=True)
class Linear:
    """A linear model.

    Attributes
    ----------
    matrix : (n, n) ndarray
    into : (n, m) ndarray
    out : dict of str to (k, n) ndarray
        "displacement" (2J rows, pole by pole, m), "bridge" (2S, string by string, N), "current" of the circuits (C, A), "output"
        (W, signal voltage of the stages, V) and "given" (W, A), "meter" (4A, as the network has them, V).
    through : dict of str to (k, m) ndarray
    labels : tuple of Label
        Of the states.
    inputs : dict of str to slice
        Columns of "emf" (C, V), "input" (W, V), "stray" (1, T/s), "supply" (1), "force" (2J, N).
    point : Point
        Where it holds.
    magnets : Magnetics
        Of coils, cores and wires there.
    """

    matrix: Floats
    into: Floats
    out: dict[str, Floats]
    through: dict[str, Floats]
    labels: tuple[Label, ...]
    inputs: dict[str, slice]
    point: Point
    magnets: Magnetics

    def states(self, *kinds: str) -> Ints:
        """Places of all states of these kinds."""
        return np.array([k for k, label in enumerate(self.labels) if label.kind in kinds], dtype=np.int64)


def linearise(compiled: Compiled, *, strings: bool = True, moment: float | None = None) -> Linear:
    """Linearise a compiled rig about rest.

    Parameters
    ----------
    compiled : Compiled
    strings : bool
        False: all strings stay where they rest, as if a hand held them; what is left is the electronics.
    moment : float, optional
        s: count the point dampers that are at work then; none by default.

    Returns
    -------
    Linear
    """
    model = compiled.model
    turn = 0.5 * model.step * model.strings.frequency  # the time loop holds a mode a little further out than it rests
    return linear_model(model, compiled.rest * np.sinc(turn / np.pi), strings=strings, moment=moment)


def linear_model(model: Model, rest: Floats, *, strings: bool = True, moment: float | None = None) -> Linear:
    """Linearise a model about its strings' rest without currents, (S, 2, N), m. Further arguments as `linearise`."""
    point = operating_point(model, rest)
    amperes = point.z[sizes(model.network).currents]
    q, magnets = at_rest_under(model, rest, amperes)
    return _Assembly(model, point._replace(q=q), magnets, strings, moment).linear()


def at_rest_under(model: Model, rest: Floats, amperes: Floats) -> tuple[Floats, Magnetics]:
    """Strings' rest (S, 2, N), m, under steady currents (C,), A, from that without any; and magnets about it."""
    magnets = magnetics(model, rest, amperes)
    if not np.any(np.abs(amperes) > SMALL):
        return rest, magnets
    leaning = _leaning(model, rest, magnets)
    return leaning, magnetics(model, leaning, amperes)


def _leaning(model: Model, q: Floats, magnets: Magnetics) -> Floats:
    """Rest under a steady current, whose force the strings' stiffness holds."""
    under, leaning = pole_strings(model), q.copy()
    for s in range(q.shape[0]):
        rows = np.flatnonzero(np.repeat(under == s, 2))
        one, alive = only_string(model, s), (model.strings.frequency[s] > 0.0).ravel()
        shape = motion_of(one)[:, alive]
        stiff = string_matrix(one, q[s : s + 1])[np.ix_(alive, alive)] / model.strings.inverse_mass[s]
        stiff -= shape.T @ magnets.stiffness[np.ix_(rows, rows)] @ shape
        leaning[s].ravel()[alive] += np.linalg.solve(stiff, shape.T @ magnets.force[rows])
    return leaning


class _Assembly:
    """Rows over (y, w) side by side, so that an algebraic quantity may depend on states and inputs alike."""

    def __init__(self, model: Model, point: Point, magnets: Magnetics, strings: bool, moment: float | None) -> None:
        self.model, self.point, self.magnets, self.moment = model, point, magnets, moment
        alive = (model.strings.frequency > 0.0).ravel()
        self.kept = np.flatnonzero(alive) if strings else np.zeros(0, dtype=np.int64)
        self.free = np.flatnonzero(point.held == 0)
        size, poles = sizes(model.network), magnets.stiffness.shape[0]
        self.size, modes = size, self.kept.size
        counts = [modes, modes, size.coils, model.cores.share.size, size.states, self.free.size]
        widths = [size.coils, size.stages, 1, 1, poles]
        ends = np.cumsum([0, *counts, *widths])
        spans = [slice(int(a), int(z)) for a, z in pairwise(ends)]
        self.q, self.v, self.flux, self.eddy, self.x, self.stage = spans[:6]
        self.inputs = dict(zip(INPUTS, spans[6:], strict=True))
        self.order, self.width = sum(counts), int(ends[-1])
        self.shape = motion_of(model)[:, self.kept] if strings else np.zeros((poles, 0))  # (2J, modes)

    def rows(self, count: int, *parts: tuple[slice, Floats]) -> Floats:
        """`count` rows over (y, w), zero but for these parts."""
        made = np.zeros((count, self.width))
        for span, values in parts:
            made[:, span] += values
        return made

    def currents(self) -> Floats:
        """Of coils and shorted turns, (C + 2H) rows: inductance⁻¹ · (flux − link · u)."""
        both = slice(self.flux.start, self.eddy.stop)
        count = self.magnets.inductance.shape[0]
        flux = self.rows(count, (both, np.eye(count)), (self.q, -self.magnets.link @ self.shape))
        return np.asarray(np.linalg.solve(self.magnets.inductance, flux), dtype=np.float64)

    def z(self, current: Floats) -> Floats:
        """Rows of z = (x, i, v, u)."""
        size, own = self.size, np.zeros((self.size.stages, self.free.size))
        own[self.free, np.arange(self.free.size)] = 1.0
        inner = [
            self.rows(size.states, (self.x, np.eye(size.states))),
            current[: size.coils],
            self.rows(size.stages, (self.stage, own)),
            self.rows(1, (self.inputs["supply"], np.ones((1, 1)))),
        ]
        known = np.concatenate(inner)
        return np.concatenate([known, self._drawn(known)])

    def _drawn(self, known: Floats) -> Floats:
        """Rows of what the stages draw, if any rail gives way: draws = slope · given · z, with themselves in z."""
        given, count = self.model.network.given, self.size.given - 1
        if count == 0:
            return known[:0]
        now, stages = given @ self.point.z, self.size.stages
        share = np.where(np.abs(now) < SMALL, 0.5, (now > 0.0).astype(float))
        slope = np.zeros((count, stages))
        slope[2 * np.arange(stages), np.arange(stages)] = share
        slope[2 * np.arange(stages) + 1, np.arange(stages)] = share - 1.0
        edge = given.shape[1] - count
        drawn = np.linalg.solve(np.eye(count) - slope @ given[:, edge:], slope @ given[:, :edge] @ known)
        return np.asarray(drawn, dtype=np.float64)

    def slopes(self, current: Floats, z: Floats) -> Floats:
        """Rows of y′."""
        network, stages, model = self.model.network, self.model.stages, self.model
        area = self.rows(self.size.coils, (self.inputs["emf"], np.eye(self.size.coils)), (self.inputs["stray"], -model.coils.area[:, None]))
        heard = self.rows(self.size.stages, (self.inputs["input"], np.eye(self.size.stages))) + network.heard @ z
        own = z[self.size.volts] / stages.gain[:, None]
        return np.concatenate(
            [
                self.rows(self.kept.size, (self.v, np.eye(self.kept.size))),
                self._accelerations(current),
                network.voltage @ z + area,
                -model.cores.resistance.ravel()[:, None] * current[self.size.coils :],
                network.rate @ z,
                (stages.rate[:, None] * (heard - own))[self.free],
            ]
        )

    def _accelerations(self, current: Floats) -> Floats:
        """Rows of the modes' accelerations."""
        kept, model = self.kept, self.model
        if kept.size == 0:
            return self.rows(0)
        stiff, drag = string_matrix(model, self.point.q)[np.ix_(kept, kept)], friction(model, self.moment)[np.ix_(kept, kept)]
        force = self.magnets.link.T @ current  # (2J, …)
        force += self.rows(force.shape[0], (self.q, self.magnets.stiffness @ self.shape), (self.inputs["force"], np.eye(force.shape[0])))
        pushed = per_mode(model, model.strings.inverse_mass)[kept, None] * (self.shape.T @ force)
        return pushed + self.rows(kept.size, (self.q, -stiff), (self.v, -drag))

    def outputs(self, current: Floats, z: Floats) -> dict[str, Floats]:
        """Rows of everything that can be looked at."""
        bridge = np.zeros((2 * self.model.strings.bridge.shape[0], self.kept.size))
        for k, (s, p, n) in enumerate(np.argwhere(self.model.strings.frequency > 0.0)[: self.kept.size]):
            bridge[2 * s + p, k] = self.model.strings.bridge[s, n]
        rows = {
            "displacement": self.rows(self.shape.shape[0], (self.q, self.shape)),
            "bridge": self.rows(bridge.shape[0], (self.q, bridge)),
            "current": current[: self.size.coils],
            "output": z[self.size.volts],
            "given": self.model.network.given @ z,
            "meter": self.model.network.meter @ z,
        }
        return {name: rows[name] for name in OUTPUTS}

    def labels(self) -> tuple[Label, ...]:
        """Names of the states."""
        form = self.model.strings.frequency.shape
        modes = [tuple(int(k) for k in np.unravel_index(m, form)) for m in self.kept]
        turns = [(g, k) for g in range(self.model.cores.circuit.size) for k in range(2)]
        named: dict[str, list[tuple[int, ...]]] = {
            "displacement": modes,
            "velocity": modes,
            "flux": [(c,) for c in range(self.size.coils)],
            "eddy": [*turns],
            "part": [(x,) for x in range(self.size.states)],
            "stage": [(int(w),) for w in self.free],
        }
        return tuple(Label(kind, place) for kind, places in named.items() for place in places)

    def linear(self) -> Linear:
        """Take everything apart into states and inputs."""
        current = self.currents()
        z, n = self.z(current), self.order
        whole, seen = self.slopes(current, z), self.outputs(current, z)
        return Linear(
            matrix=whole[:, :n],
            into=whole[:, n:],
            out={name: rows[:, :n] for name, rows in seen.items()},
            through={name: rows[:, n:] for name, rows in seen.items()},
            labels=self.labels(),
            inputs={name: slice(span.start - n, span.stop - n) for name, span in self.inputs.items()},
            point=self.point,
            magnets=self.magnets,
        )
