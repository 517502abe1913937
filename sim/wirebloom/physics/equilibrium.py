"""Where a string comes to rest between its own tension and the pull of its magnets.

*Free*: it hangs clear of every face and nothing else is stable. *Bistable*: it hangs clear, but pressed on a face it stays there.
*Latched*: it cannot hang clear. Faces count as rigid: their elasticity moves the string by micrometres.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.balance import Balance, Field, Held, softness, solve
from wirebloom.physics.settling import pressed_on, settle

Floats = NDArray[np.float64]
Kind = Literal["free", "bistable", "latched"]
FIRST_STEP = 0.25  # of the magnets' strength
COARSE, FINE = 1e-3, 1e-7  # strength to which the brink is found, on the way to a rest and for its own sake
NEAR = 0.1  # of the narrowest gap: how far one step of a continuation may go
NUDGE = 1e-4  # of the narrowest gap: off a ridge


@dataclass(frozen=True)
class Equilibrium:
    """Rest of one string at its poles.

    Attributes
    ----------
    kind : {"free", "bistable", "latched"}
    displacement : (J, 2) ndarray
        Of each pole from the straight string, m; clear of the faces unless latched.
    force : (J, 2) ndarray
        Pull of the magnets there, N.
    reaction : (J,) ndarray
        Push of the faces away from the heads, N; zeros unless latched.
    caught : tuple of int
        Poles on whose faces the string would stay (bistable) or lies (latched).
    softness : float
        Share of the string's stiffness that the magnets take away at rest, 0 … 1.
    """

    kind: Kind
    displacement: Floats
    force: Floats
    reaction: Floats
    caught: Held
    softness: float


def static_equilibrium(compliance: Floats, pull: Field, gap: Floats, depth: Field | None = None) -> Equilibrium:
    """Rest of a string, found as if its magnets were brought to strength slowly.

    Parameters
    ----------
    compliance : (2, J, J) ndarray
        Of each polarisation from pole to pole, Σ_n w_in w_jn/(m ω_n²), m/N.
    pull : callable
        Force (J, 2) in N on the string displaced by (J, 2) in m; column 0 towards the head, column 1 sideways. It must
        follow from a co-energy and be smooth up to the face.
    gap : (J,) ndarray
        Face to string with the string straight, m.
    depth : callable, optional
        How far beyond the face plane a pole may go, (J,) in m at a displacement (J, 2): 0 over the core, more over a set-back
        flange, infinite beside the head. Everywhere 0 by default.

    Returns
    -------
    Equilibrium

    Examples
    --------
    A spring of 1 N/mm and a pull that it can bear, but not on the face:

    >>> spring = np.full((2, 1, 1), 1e-3)
    >>> def pull(u):
    ...     return np.stack([1e-8 / (1.05e-3 - u[:, 0]) ** 2, 0 * u[:, 1]], axis=1)
    >>> static_equilibrium(spring, pull, np.array([1e-3])).kind
    'bistable'
    """
    balance = make_balance(compliance, pull, gap, depth)
    reach = float(np.min(gap))
    u, held = _released(balance, reach)
    if held:
        return _describe(balance, "latched", u, held, held)
    caught = _caught(balance, u, reach)
    return _describe(balance, "bistable" if caught else "free", u, (), caught)


def critical_strength(compliance: Floats, pull: Field, gap: Floats, depth: Field | None = None, highest: float = 10.0) -> float:
    """How many times stronger the magnets could be before the string no longer hangs clear where it does.

    Parameters
    ----------
    compliance, pull, gap, depth
        As in :func:`static_equilibrium`.
    highest : float
        Where to stop looking.

    Returns
    -------
    float
        Below 1 for a latched string; `highest` if it hangs clear even there.
    """
    balance = make_balance(compliance, pull, gap, depth)
    return _followed(balance, highest, float(np.min(gap)), FINE)[0]


def make_balance(compliance: Floats, pull: Field, gap: Floats, depth: Field | None = None) -> Balance:
    """The string's poles with both polarisations in one matrix; arguments as in :func:`static_equilibrium`."""
    poles = len(gap)
    both = np.zeros((poles, 2, poles, 2))
    for p in range(2):
        both[:, p, :, p] = compliance[p]

    def room(displacement: Floats) -> Floats:
        return gap if depth is None else gap + depth(displacement)

    return Balance(both.reshape(2 * poles, 2 * poles), pull, room)


def _released(balance: Balance, reach: float) -> tuple[Floats, Held]:
    """The straight string let go: along the branch of clear states, and downhill where it ends."""
    strength, u = _followed(balance, 1.0, reach, COARSE)
    if strength >= 1.0:
        return u, ()
    return settle(balance, _nudged(balance, u, strength, reach), reach)


def _followed(balance: Balance, target: float, reach: float, last_step: float) -> tuple[float, Floats]:
    """Clear states from no magnets towards strength `target`: the last strength that has one, and it."""
    strength, u, step = 0.0, np.zeros(2 * balance.poles), FIRST_STEP
    while strength < target and step > last_step:
        trial = min(target, strength + step)
        found = solve(balance, u, (), trial, NEAR * reach)
        if found is None:
            step /= 2.0
        else:
            strength, u, step = trial, found, 2.0 * step
    return strength, u


def _nudged(balance: Balance, u: Floats, strength: float, reach: float) -> Floats:
    """A little off u along the softest direction, towards the heads where that makes sense: on a ridge nothing else would move."""
    values, vectors = np.linalg.eig(balance.compliance @ (strength * balance.gradient(u)))
    softest = vectors[:, values.real.argmax()].real
    sign = -1.0 if softest[::2].sum() < 0.0 else 1.0
    return np.asarray(u + sign * NUDGE * reach * softest / np.abs(softest).max())


def _caught(balance: Balance, rest: Floats, reach: float) -> Held:
    """Poles on whose faces the string stays when it is pressed on all of them and let go.

    A push at one place never lifts the string at another, so from there it settles nearest to the heads: where no face holds it
    then, none ever does.
    """
    return settle(balance, pressed_on(balance, rest), reach)[1]


def _describe(balance: Balance, kind: Kind, u: Floats, held: Held, caught: Held) -> Equilibrium:
    reaction = np.zeros(balance.poles)
    if held:
        reaction[list(held)] = balance.reaction(u, held, 1.0)
    return Equilibrium(
        kind=kind,
        displacement=u.reshape(-1, 2),
        force=balance.force(u).reshape(-1, 2),
        reaction=reaction,
        caught=caught,
        softness=softness(balance, u, held, 1.0),
    )
