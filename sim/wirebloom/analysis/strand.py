"""One string over its heads in motion: what it links with the coils, and what they pull at it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.analysis.modes import motion_of
from wirebloom.analysis.operating import Point, operating_point, sizes
from wirebloom.analysis.ranges import Ranges
from wirebloom.analysis.wires import Magnetics, magnetics
from wirebloom.kernels.layout import Floats, Ints, Model

Complex = NDArray[np.complex128]
Parts = tuple[Floats, Floats, Floats | None]  # of the co-energy: value, slope towards the head, sideways (..., 3)


class Basis(NamedTuple):
    """What does not depend on the string and the frequency."""

    model: Model
    point: Point
    magnets: Magnetics
    moved: Floats  # (J, 2) rest, m
    ranges: Ranges


def basis_of(model: Model, rest: Floats) -> Basis:
    """Prepare a model whose strings rest at (S, 2, N), m."""
    point = operating_point(model, rest)
    magnets = magnetics(model, rest, point.z[sizes(model.network).currents])
    moved = (motion_of(model) @ rest.ravel()).reshape(-1, 2)
    return Basis(model, point, magnets, moved, Ranges(model, model.poles.offset + moved[:, 1]))


class Strand:
    """The poles (J,) of one string, moving in one plane or two; `samples` in a period.

    still (1, J, P, 1): force there at rest without currents, N; linked: fluxes, of coils and of turns, that they have a share of.
    """

    def __init__(self, basis: Basis, poles: Ints, planes: int, samples: int) -> None:
        self.basis, self.poles, self.planes, self.samples = basis, poles, planes, samples
        self.linked = _linked(basis.model, poles)
        self.steady = basis.point.z[sizes(basis.model.network).currents]
        rest = np.broadcast_to(basis.moved[poles][None, :, :planes, None], (1, poles.size, planes, 1))
        self.still = self.loads(self.parts(rest), None, np.zeros_like(self.steady))

    def parts(self, moved: Floats) -> list[Parts]:
        """Co-energy at every pole and its slopes, at motions (B, J, P, M), m."""
        model, found = self.basis.model, []
        for k, j in enumerate(self.poles):
            aside = moved[:, k, 1] - self.basis.moved[j, 1] if self.planes == 2 else None
            found.append(self.basis.ranges.read(j, model.poles.gap[j] - moved[:, k, 0], aside))
        return found

    def flux(self, parts: list[Parts], current: Floats | None) -> Floats:
        """Strings' share of the flux linkages of coils and turns (B, C + 2H, M), Wb, that the linear model lacks."""
        model, coils = self.basis.model, self.basis.model.coils.area.size
        flux = np.zeros((parts[0][0].shape[0] if parts else 1, self.basis.magnets.inductance.shape[0], self.samples))
        for j, (value, _, _) in zip(self.poles, parts, strict=True):
            c, g, own = int(model.poles.circuit[j]), int(model.cores.under[j]), model.poles.sign[j] * value[..., 1]
            if c >= 0:
                flux[:, c] += own + self._more(j, value, c, current)
            if g >= 0:
                turns = slice(coils + 2 * g, coils + 2 * g + 2)
                flux[:, turns] += model.cores.share[g][:, None] * own[:, None, :]
        return flux

    def _more(self, j: int, value: Floats, c: int, current: Floats | None) -> Floats | float:
        """(L₁ − L₁ at rest) times the circuit's current, Wb."""
        steady = float(self.steady[c])
        if current is None and steady == 0.0:
            return 0.0
        rest = self.basis.ranges.read(j, np.array([self.basis.model.poles.gap[j] - self.basis.moved[j, 0]]))[0][0, 2]
        return np.asarray((value[..., 2] - rest) * (steady + (0.0 if current is None else current[:, c])), dtype=np.float64)

    def _seen(self, j: int, current: Floats | None, steady: Floats) -> Floats | float:
        """Current that pole j's string sees, of the direction of its head's winding, A."""
        model, coils = self.basis.model, self.basis.model.coils.area.size
        c, g = int(model.poles.circuit[j]), int(model.cores.under[j])
        if c < 0:
            return 0.0
        seen = float(steady[c]) + (0.0 if current is None else current[:, c])
        if g >= 0 and current is not None:
            seen = seen + np.einsum("k,bkm->bm", model.cores.share[g], current[:, coils + 2 * g : coils + 2 * g + 2])
        return seen

    def loads(self, parts: list[Parts], current: Floats | None, steady: Floats | None = None) -> Floats:
        """Magnetic force on the string at its poles (B, J, P, M), N; steady: currents at rest, if others than the working point's."""
        planes: list[Floats] = []
        for j, (_, towards, sideways) in zip(self.poles, parts, strict=True):
            seen = self._seen(j, current, self.steady if steady is None else steady)
            linked = self.basis.model.poles.sign[j] * seen
            slopes = [towards] if sideways is None else [towards, sideways]
            planes.append(np.stack([s[..., 0] + s[..., 1] * linked + 0.5 * s[..., 2] * seen**2 for s in slopes], axis=1))
        return np.stack(planes, axis=1) if planes else np.zeros((1, 0, self.planes, self.samples))


def _linked(model: Model, poles: Ints) -> Ints:
    """Places of the fluxes of coils, then of cores' turns, that strings over these poles move."""
    circuits, cores = model.poles.circuit[poles], model.cores.under[poles]
    turns = model.coils.area.size + 2 * np.unique(cores[cores >= 0])
    return np.concatenate([np.unique(circuits[circuits >= 0]), turns, turns + 1])


def give(model: Model, string: int, poles: Ints, turns: NDArray[np.floating], own: dict[int, int]) -> Complex:
    """How far poles move under forces that turn at `turns` (K,), rad/s: (K, P, J, J), m/N, only within a plane.

    All modes together; own: turn → the mode that moves by its own envelope there, and is left out.
    """
    strings = model.strings
    alive = strings.frequency[string, 0] > 0.0
    weight = model.poles.weight[poles][:, alive]
    frequency, decay = strings.frequency[string][:, alive], strings.decay[string][:, alive]
    turn = turns[:, None, None]
    yields = strings.inverse_mass[string] / (frequency**2 - turn**2 + 2j * turn * decay)
    for k, n in own.items():
        yields[k, :, n] = 0.0
    return np.asarray((weight * yields[:, :, None, :]) @ weight.T)
