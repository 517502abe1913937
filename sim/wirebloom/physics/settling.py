"""A string let go near its magnets, creeping downhill to wherever it comes to rest, on a face or clear of all.

Motion is overdamped, du/dt = C_c F + u_A − u (see :mod:`wirebloom.physics.balance`), taken in implicit steps: pseudo-transient
continuation. It finds stable rests only, and the one a slow string would find.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wirebloom.errors import RigError
from wirebloom.physics.balance import Balance, Held, push_for, solve

Floats = NDArray[np.float64]
CREEP = 0.02  # of the narrowest gap: how far the string creeps at a time, so that it does not leap over a ridge
DRAG = 0.01  # keeps a step finite on the brink
PATIENCE = 2000


def settle(balance: Balance, start: Floats, reach: float) -> tuple[Floats, Held]:
    """Creep downhill at full strength until a stable rest is near; returns it and the poles that lie on their faces.

    Parameters
    ----------
    balance : Balance
    start : (2J,) ndarray
        m.
    reach : float
        Narrowest gap, m; sets the length of the steps.

    Returns
    -------
    u : (2J,) ndarray
    held : tuple of int

    Raises
    ------
    RigError
        If it still moves after thousands of steps.
    """
    u, longest = start, CREEP * reach
    for _ in range(PATIENCE):
        held = balance.touching(u, 1.0)
        step = _downhill(balance, u, held)
        size = float(np.abs(step).max())
        if size < longest:
            found = solve(balance, u, held, 1.0, longest)
            if found is not None:
                return found, held
        u = u + step * min(1.0, longest / max(size, longest))
        u[::2] = np.minimum(u[::2], u[::2] + balance.clearance(u))
    raise RigError("heads over one string must let it come to rest; instead received a pull in which it finds no place to stay.")


def _downhill(balance: Balance, u: Floats, held: Held) -> Floats:
    """One implicit step: nearly Newton's where the magnets are weaker than the string, away from the ridge where they are stronger."""
    compliance, bent = balance.constrained(u, held)
    drift = compliance @ balance.force(u) + bent - u
    slope = compliance @ balance.gradient(u)
    damping = DRAG + 2.0 * max(0.0, float(np.linalg.eigvals(slope).real.max()) - 1.0)
    return np.asarray(np.linalg.solve((1.0 + damping) * np.eye(len(u)) - slope, drift))


def pressed_on(balance: Balance, rest: Floats) -> Floats:
    """The string bent from its rest on to every face by forces at the poles, (2J,) m."""
    towards = slice(0, None, 2)
    missing = balance.clearance(rest)
    push = push_for(balance.compliance[towards, towards], np.where(np.isfinite(missing), missing, 0.0))
    u = rest + balance.compliance[:, towards] @ push
    u[towards] = np.minimum(u[towards], u[towards] + balance.clearance(u))
    return np.asarray(u)
