"""Rest of strings whose heads have changed a little: Newton's method from where they rested before, the long way only where that fails."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wirebloom.analysis.wires import wires_of
from wirebloom.compile.poles import STATIC, Pole, faces
from wirebloom.kernels.layout import Floats, Ints, Model
from wirebloom.physics.equilibrium import static_equilibrium
from wirebloom.physics.rest import modal_compliance
from wirebloom.physics.shapes import static_amplitudes
from wirebloom.physics.string import StringModes
from wirebloom.physics.tension import stretched_stiffness, tension_rise

ROUNDS = 15  # of Newton's method, the string's stretch in step with it; five or six do
CLOSE = 1e-13  # m, the last step


def nearby_rest(model: Model, poles: Sequence[Pole], modes: Sequence[StringModes], still: Ints, before: Floats) -> Floats | None:
    """Modal rest (S, 2, N), m; None where a string does not hang clear.

    Parameters
    ----------
    model : Model
    poles : sequence of Pole
    modes : sequence of StringModes
    still : (J,) ndarray of int
        Which of the model's poles carry the static pulls.
    before : (S, 2, N) ndarray
        To begin with, m.
    """
    rest = np.zeros_like(before)
    for s in range(len(modes)):
        mine = [j for j, pole in enumerate(poles) if pole.string == s]
        found = string_at_rest(model, [poles[j] for j in mine], modes[s], still[mine], before[s])
        if found is None:
            return None
        rest[s] = found
    return rest


def string_at_rest(model: Model, poles: Sequence[Pole], modes: StringModes, still: Ints, before: Floats) -> Floats | None:
    """The same of one string over its poles, (2, N), m."""
    rest, count = np.zeros_like(before), modes.wavenumber.size
    if poles:
        found = _rest(_Bench(model, still, poles, modes), before[:, :count])
        if found is None:
            return None
        rest[:, :count] = found
    return rest


class _Bench:
    """One string over its poles; own (J,): which of the model's."""

    def __init__(self, model: Model, own: Ints, poles: Sequence[Pole], modes: StringModes) -> None:
        self.model, self.own, self.modes = model, own, modes
        self.weight, self.gap = model.poles.weight[own, : modes.wavenumber.size], model.poles.gap[own]
        self.offset, self.faces = model.poles.offset[own], [faces(pole.head) for pole in poles]

    def pull(self, u: Floats) -> Floats:
        """(J, 2) N at displacements (J, 2) m."""
        return wires_of(self.model, self.own, u).slope[:, :, STATIC]

    def pulls(self, u: Floats) -> tuple[Floats, Floats]:
        """(2J,) N and their slopes (2J, 2J) N/m at displacements (2J,) m."""
        wire, count = wires_of(self.model, self.own, u.reshape(-1, 2)), self.own.size
        slope = np.zeros((count, 2, count, 2))
        slope[np.arange(count), :, np.arange(count)] = wire.bend[..., STATIC]
        return wire.slope[:, :, STATIC].ravel(), slope.reshape(u.size, u.size)

    def depth(self, u: Floats) -> Floats:
        """(J,) m beyond the face plane."""
        sides = np.abs(self.offset + u[:, 1])
        rows = zip(self.faces, sides, strict=True)
        return np.array([next((d for r, d in zip(radii, depths, strict=True) if side <= r), np.inf) for (radii, depths), side in rows])

    def compliance(self, stiffness: Floats) -> Floats:
        """(2J, 2J) m/N, modal stiffness (2, N) N/m."""
        count, both = self.own.size, modal_compliance(self.weight, stiffness)
        whole = np.zeros((count, 2, count, 2))
        for p in range(2):
            whole[:, p, :, p] = both[p]
        return whole.reshape(2 * count, 2 * count)

    def stands(self, u: Floats, softening: Floats) -> bool:
        """Whether a balance is clear of all faces and stable; softening (2J, 2J): compliance times the pulls' slopes."""
        clear = self.gap + self.depth(u.reshape(-1, 2)) - u[::2] > 0.0
        return bool(np.all(clear) and np.linalg.eigvals(softening).real.max() < 1.0)


def _rest(bench: _Bench, before: Floats) -> Floats | None:
    found = _newton(bench, (before @ bench.weight.T).T.ravel())
    if found is not None:
        return found
    start = _the_long_way(bench)
    return None if start is None else _newton(bench, start)


def _newton(bench: _Bench, start: Floats) -> Floats | None:
    """Modal rest (2, N), m, from motions at the poles (2J,), m; None where there is none within reach."""
    u, stiffness, reach = start, bench.modes.modal_stiffness, float(np.min(bench.gap))
    for _ in range(ROUNDS):
        compliance, (force, slope) = bench.compliance(stiffness), bench.pulls(u)
        softening = compliance @ slope
        step = np.linalg.solve(np.eye(u.size) - softening, compliance @ force - u)
        u, force = u + step, force + slope @ step
        if not np.abs(u - start).max() <= reach:
            return None
        amplitudes = static_amplitudes(force.reshape(-1, 2), bench.weight, stiffness)
        if np.abs(step).max() < CLOSE:
            return amplitudes if bench.stands(u, softening) else None
        stiffness = stretched_stiffness(float(tension_rise(amplitudes, bench.modes)), bench.modes)
    return None


def _the_long_way(bench: _Bench) -> Floats | None:
    found = static_equilibrium(modal_compliance(bench.weight, bench.modes.modal_stiffness), bench.pull, bench.gap, bench.depth)
    return None if found.kind == "latched" else found.displacement.ravel()
