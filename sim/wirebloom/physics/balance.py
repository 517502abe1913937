"""One string in the pull of its magnets, seen only at its poles: u = C (s F(u) − R).

C is the compliance of the string from pole to pole, s the strength of the magnets (1: as built), R ≥ 0 the push of the faces the
string lies on. Components are ordered pole by pole, 2j towards the heads, 2j + 1 sideways. For poles held on their faces, R is
eliminated: what is left is C_c = C − C_:A C_AA⁻¹ C_A: and the shape u_A in which the holding alone would bend the string.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Held = tuple[int, ...]
Field = Callable[[Floats], Floats]
SPAN = 1e-7  # of the central difference, m: far below any table's spacing, far above round-off
TOUCH = 1e-10  # a pole this close to its face lies on it, m
CLOSE = 1e-13  # Newton's last step, m
ROUNDS = 15


@dataclass(frozen=True)
class Balance:
    """The poles of one string.

    Attributes
    ----------
    compliance : (2J, 2J) ndarray
        Displacement per force, m/N.
    pull : callable
        Force of the magnets (J, 2) in N on the string displaced by (J, 2) in m.
    room : callable
        How far each pole may go towards its head (J,) in m, at a displacement (J, 2); infinite beside the face.
    """

    compliance: Floats
    pull: Field
    room: Field

    @property
    def poles(self) -> int:
        """How many."""
        return len(self.compliance) // 2

    def force(self, u: Floats) -> Floats:
        """Pull at u, (2J,) N."""
        return np.asarray(self.pull(u.reshape(-1, 2))).ravel()

    def gradient(self, u: Floats) -> Floats:
        """∂F/∂u, (2J, 2J) N/m; a pole feels its own head only."""
        slope = np.zeros((self.poles, 2, 2))
        for p in range(2):
            span = np.zeros((self.poles, 2))
            span[:, p] = SPAN
            there, here = self.force(u + span.ravel()), self.force(u - span.ravel())
            slope[:, :, p] = ((there - here) / (2.0 * SPAN)).reshape(-1, 2)
        result = np.zeros((self.poles, 2, self.poles, 2))
        index = np.arange(self.poles)
        result[index, :, index, :] = (slope + slope.transpose(0, 2, 1)) / 2.0  # one co-energy: symmetrical
        return result.reshape(2 * self.poles, 2 * self.poles)

    def clearance(self, u: Floats) -> Floats:
        """(J,) m left in front of each face; negative inside it."""
        return np.asarray(self.room(u.reshape(-1, 2))) - u[::2]

    def constrained(self, u: Floats, held: Held) -> tuple[Floats, Floats]:
        """C_c and u_A with the poles `held` on their faces."""
        if not held:
            return self.compliance, np.zeros_like(u)
        a = 2 * np.array(held)
        reach = push_for(self.compliance[np.ix_(a, a)], self.compliance[a]).T
        return self.compliance - reach @ self.compliance[a], reach @ self._limit(u)[a // 2]

    def reaction(self, u: Floats, held: Held, strength: float) -> Floats:
        """Push of the faces on the poles `held` away from the heads, N."""
        a = 2 * np.array(held, dtype=int)
        surplus = (self.compliance @ (strength * self.force(u)))[a] - self._limit(u)[a // 2]
        return push_for(self.compliance[np.ix_(a, a)], surplus)

    def touching(self, u: Floats, strength: float) -> Held:
        """The poles that lie on a face which has to push them back."""
        held = tuple(int(j) for j in np.flatnonzero(self.clearance(u) <= TOUCH))
        while held:
            push = self.reaction(u, held, strength)
            if push.min() >= 0.0:
                break
            held = held[: push.argmin()] + held[push.argmin() + 1 :]
        return held

    def _limit(self, u: Floats) -> Floats:
        return np.asarray(self.room(u.reshape(-1, 2)))


def push_for(compliance: Floats, moved: Floats) -> Floats:
    """Forces at points (J, …), N, that move them so far (J, …), m; shared evenly by heads at one place, whose compliance is one."""
    return np.asarray(np.linalg.lstsq(compliance, moved)[0])


def softness(balance: Balance, u: Floats, held: Held, strength: float) -> float:
    """Largest eigenvalue of C_c s ∂F/∂u: how much of the string's stiffness the magnets take away; 1 is the brink."""
    compliance, _ = balance.constrained(u, held)
    return float(np.linalg.eigvals(compliance @ (strength * balance.gradient(u))).real.max())


def solve(balance: Balance, start: Floats, held: Held, strength: float, reach: float) -> Floats | None:
    """Newton to a stable balance not further than `reach` (m) away; None where there is none.

    Parameters
    ----------
    balance : Balance
    start : (2J,) ndarray
    held : tuple of int
        Poles that stay on their faces.
    strength : float
    reach : float

    Returns
    -------
    (2J,) ndarray or None
    """
    u = start
    for _ in range(ROUNDS):
        compliance, bent = balance.constrained(u, held)
        miss = compliance @ (strength * balance.force(u)) + bent - u
        slope = np.eye(len(u)) - compliance @ (strength * balance.gradient(u))
        step = np.linalg.lstsq(slope, miss)[0]
        u = u + step
        if np.abs(u - start).max() > reach:
            return None
        if np.abs(step).max() < CLOSE:
            return u if _stands(balance, u, held, strength) else None
    return None


def _stands(balance: Balance, u: Floats, held: Held, strength: float) -> bool:
    free = np.delete(balance.clearance(u), list(held))
    if free.size and free.min() <= 0.0:
        return False
    if held and balance.reaction(u, held, strength).min() < 0.0:
        return False
    return softness(balance, u, held, strength) < 1.0
