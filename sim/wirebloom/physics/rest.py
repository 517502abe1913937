"""A whole string at rest over its heads: its static equilibrium, partial by partial, its own stretch included."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.balance import Balance, Field, solve
from wirebloom.physics.equilibrium import Equilibrium, critical_strength, make_balance, static_equilibrium
from wirebloom.physics.shapes import static_amplitudes
from wirebloom.physics.string import StringModes
from wirebloom.physics.tension import stretched_stiffness, tension_rise

Floats = NDArray[np.float64]
BAND = 1.42  # how many times the computed pull the true one may be at 1 mm, where no band of its own is known
STRETCHES = 4  # each is smaller than the one before by ΔT/T


@dataclass(frozen=True)
class Rest:
    """Rest of a string.

    Attributes
    ----------
    equilibrium : Equilibrium
        At its poles.
    amplitudes : (2, N) ndarray
        Modal displacements, m.
    margin : float
        How many times stronger its magnets could be before it no longer hangs clear; looked for up to `highest`.
    """

    equilibrium: Equilibrium
    amplitudes: Floats
    margin: float


def modal_compliance(weights: Floats, stiffness: Floats) -> Floats:
    """Compliance from pole to pole, Σ_n w_in w_jn/stiffness_pn, as (2, J, J) m/N.

    Parameters
    ----------
    weights : (J, N) ndarray
    stiffness : (2, N) ndarray
        Modal, N/m.
    """
    return np.asarray(np.einsum("in,jn,pn->pij", weights, weights, 1.0 / stiffness))


def string_rest(
    modes: StringModes, weights: Floats, pull: Field, gap: Floats, depth: Field | None = None, *, highest: float = BAND
) -> Rest:
    """Rest of a string as the time loop sees it, from its own partials.

    Parameters
    ----------
    modes : StringModes
    weights : (J, N) ndarray
        Shape weights of the poles.
    pull, gap, depth
        As in :func:`wirebloom.physics.equilibrium.static_equilibrium`.
    highest : float
        Up to which the margin is looked for.

    Returns
    -------
    Rest
        At which m ω² q + (L/2) ΔT k² q = Σ_j w_j (F_j − R_j), with ΔT of the rest itself.
    """
    if len(gap) == 0:
        return _alone(modes, highest)
    compliance = modal_compliance(weights, modes.modal_stiffness)
    margin = critical_strength(compliance, pull, gap, depth, highest=highest)
    rest = static_equilibrium(compliance, pull, gap, depth)
    amplitudes = static_amplitudes(_net(rest), weights, modes.modal_stiffness)
    for _ in range(STRETCHES):
        stiffness = stretched_stiffness(float(tension_rise(amplitudes, modes)), modes)
        rest = _stretched(make_balance(modal_compliance(weights, stiffness), pull, gap, depth), rest, float(np.min(gap)))
        amplitudes = static_amplitudes(_net(rest), weights, stiffness)
    return Rest(rest, amplitudes, margin)


def _net(rest: Equilibrium) -> Floats:
    """Force on the string at each pole, (J, 2) N: the magnets' less the faces'."""
    net = rest.force.copy()
    net[:, 0] -= rest.reaction
    return net


def _stretched(balance: Balance, rest: Equilibrium, reach: float) -> Equilibrium:
    held = rest.caught if rest.kind == "latched" else ()
    u = solve(balance, rest.displacement.ravel(), held, 1.0, reach)
    if u is None:
        return rest
    reaction = np.zeros(balance.poles)
    if held:
        reaction[list(held)] = balance.reaction(u, held, 1.0)
    return replace(rest, displacement=u.reshape(-1, 2), force=balance.force(u).reshape(-1, 2), reaction=reaction)


def _alone(modes: StringModes, margin: float) -> Rest:
    """A string over no head at all."""
    none = np.zeros((0, 2))
    return Rest(Equilibrium("free", none, none, np.zeros(0), (), 0.0), np.zeros_like(modes.frequency), margin)
