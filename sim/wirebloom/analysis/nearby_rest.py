"""Rest of strings whose heads have changed a little: Newton's method from where they rested before, the long way only where that fails."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wirebloom.compile.poles import Pole, faces
from wirebloom.kernels.layout import Floats, Ints, Model
from wirebloom.kernels.ledger import wires_at
from wirebloom.kernels.pack import Packed, pack
from wirebloom.physics.balance import Balance, solve
from wirebloom.physics.equilibrium import make_balance, static_equilibrium
from wirebloom.physics.rest import modal_compliance
from wirebloom.physics.shapes import static_amplitudes
from wirebloom.physics.string import StringModes
from wirebloom.physics.tension import stretched_stiffness, tension_rise

STRETCHES = 3  # each is smaller than the one before by ΔT/T


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
    packed, rest = pack(model), np.zeros_like(before)
    for s, own in enumerate(modes):
        mine = [j for j, pole in enumerate(poles) if pole.string == s]
        if mine:
            found = _rest(_Bench(model, packed, still[mine], [poles[j] for j in mine], own), before[s, :, : own.wavenumber.size])
            if found is None:
                return None
            rest[s, :, : own.wavenumber.size] = found
    return rest


class _Bench:
    """One string over its poles; own (J,): which of the model's."""

    def __init__(self, model: Model, packed: Packed, own: Ints, poles: Sequence[Pole], modes: StringModes) -> None:
        self.packed, self.own, self.modes = packed, own, modes
        self.weight, self.gap = model.poles.weight[own, : modes.wavenumber.size], model.poles.gap[own]
        self.offset, self.count, self.faces = model.poles.offset[own], model.poles.gap.size, [faces(pole.head) for pole in poles]

    def pull(self, u: Floats) -> Floats:
        """(J, 2) N at displacements (J, 2) m."""
        moved = np.zeros((self.count, 2))
        moved[self.own] = u
        wire, _ = wires_at(self.packed, moved)
        return np.stack([-wire[self.own, 4], wire[self.own, 8]], axis=1)

    def depth(self, u: Floats) -> Floats:
        """(J,) m beyond the face plane."""
        sides = np.abs(self.offset + u[:, 1])
        rows = zip(self.faces, sides, strict=True)
        return np.array([next((d for r, d in zip(radii, depths, strict=True) if side <= r), np.inf) for (radii, depths), side in rows])

    def balance(self, stiffness: Floats) -> Balance:
        """Its poles with modal stiffness (2, N), N/m."""
        return make_balance(modal_compliance(self.weight, stiffness), self.pull, self.gap, self.depth)


def _rest(bench: _Bench, before: Floats) -> Floats | None:
    reach, stiffness = float(np.min(bench.gap)), bench.modes.modal_stiffness
    u = solve(bench.balance(stiffness), (before @ bench.weight.T).T.ravel(), (), 1.0, reach)
    if u is None:
        u = _the_long_way(bench)
    for _ in range(STRETCHES):
        if u is None:
            return None
        amplitudes = static_amplitudes(bench.pull(u.reshape(-1, 2)), bench.weight, stiffness)
        stiffness = stretched_stiffness(float(tension_rise(amplitudes, bench.modes)), bench.modes)
        u = solve(bench.balance(stiffness), u, (), 1.0, reach)
    return None if u is None else static_amplitudes(bench.pull(u.reshape(-1, 2)), bench.weight, stiffness)


def _the_long_way(bench: _Bench) -> Floats | None:
    found = static_equilibrium(modal_compliance(bench.weight, bench.modes.modal_stiffness), bench.pull, bench.gap, bench.depth)
    return None if found.kind == "latched" else found.displacement.ravel()
