"""Where one string rests over one of its heads, for every gap at which that head could be set.

Some of the heads move together (those of one build, as a rule), the others keep their gaps. A string *latches* where it cannot hang
clear of the moving heads' faces, and can *stick* (it is bistable) where it hangs clear but stays on one once it gets there.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.errors import RigError
from wirebloom.physics.balance import Balance, Held, softness, solve
from wirebloom.physics.equilibrium import Kind
from wirebloom.physics.stand import Stand

Floats = NDArray[np.float64]
SEVERITY: tuple[Kind, ...] = ("free", "bistable", "latched")
HALVINGS = 7  # of the distance between two gaps of the map, to place a border


@dataclass(frozen=True)
class EquilibriumMap:
    """Rest of a string over one head set to G gaps.

    Attributes
    ----------
    gap : (G,) ndarray
        As set with the string straight, m, rising.
    kind : tuple of {"free", "bistable", "latched"}
        As far as the moving heads' faces are concerned.
    rest_gap, pull, softness : (G,) ndarray
        Gap at rest with the magnets in, m (0 on the face); pull there, N; and the share of the string's stiffness that the magnets
        take away, all heads and both polarisations together.
    latches_to, sticks_to : float
        Greatest gap at which the string cannot hang clear, and greatest at which it can stay on the face, m; 0: at none of the map,
        infinite: at all of it.
    """

    gap: Floats
    kind: tuple[Kind, ...]
    rest_gap: Floats
    pull: Floats
    softness: Floats
    latches_to: float
    sticks_to: float


def equilibrium_map(stand: Stand, gaps: Floats) -> EquilibriumMap:
    """Rest of a string for every gap that its moving heads could be set to.

    Parameters
    ----------
    stand : Stand
    gaps : (G,) ndarray
        Rising, m.

    Returns
    -------
    EquilibriumMap
    """
    found = [_rest_at(stand.at(float(gap))) for gap in gaps]
    kinds = tuple(one.kind for one in found)
    latches = _border(gaps, kinds, 2, lambda gap: _severity(stand.at(gap)) >= 2)
    sticks = _border(gaps, kinds, 1, lambda gap: _severity(stand.at(gap)) >= 1)
    if gaps[0] <= latches < gaps[-1]:  # where the clear states begin belongs into the map
        place = int(np.searchsorted(gaps, latches))
        gaps = np.insert(gaps, place, latches)
        found.insert(place, _rest_at(stand.at(latches)))
    return EquilibriumMap(
        gap=gaps,
        kind=tuple(one.kind for one in found),
        rest_gap=np.array([one.gap for one in found]),
        pull=np.array([one.pull for one in found]),
        softness=np.array([one.softness for one in found]),
        latches_to=latches,
        sticks_to=sticks,
    )


class _Found(NamedTuple):
    """Rest over the head that is looked at."""

    kind: Kind
    gap: float
    pull: float
    softness: float


def _rest_at(stand: Stand) -> _Found:
    """The clear rest next to the straight string if there is one, and whether the string would also stay on a face."""
    balance, own = stand.balance(), 2 * stand.pole
    clear = solve(balance, np.zeros(2 * balance.poles), (), 1.0, float(np.max(stand.gap)))
    held = ((), clear) if clear is not None else _on_a_face(balance, stand.moving)
    kind: Kind = "latched" if clear is None else "bistable" if _on_a_face(balance, stand.moving) else "free"
    if held is None:
        return _held_elsewhere(stand)
    faces, u = held
    gap = max(float(stand.gap[stand.pole] - u[own]), 0.0)
    return _Found(kind, gap, float(balance.force(u)[own]), softness(balance, u, faces, 1.0))


def _on_a_face(balance: Balance, moving: Sequence[int]) -> tuple[Held, Floats] | None:
    """Rest with the string on the face of one of these heads, or of all of them; None where it would stay on none."""
    straight = np.zeros(2 * balance.poles)
    room = balance.clearance(straight)
    within = tuple(j for j in moving if np.isfinite(room[j]))
    for held in dict.fromkeys([*((j,) for j in within), within]):
        u = solve(balance, balance.constrained(straight, held)[1], held, 1.0, float(np.max(room[list(held)]))) if held else None
        if u is not None:
            return held, u
    return None


def _held_elsewhere(stand: Stand) -> _Found:
    """A head that does not move holds the string, or none does and it is drawn past a face: the long way to its rest, if it has one."""
    lost = _Found("latched", 0.0, np.nan, np.nan)
    if len(stand.moving) == stand.gap.size:
        return lost
    try:
        rest = stand.rest()
    except RigError:
        return lost
    gap = float(stand.gap[stand.pole] - rest.displacement[stand.pole, 0])
    kind: Kind = rest.kind if set(rest.caught) & set(stand.moving) else "free"
    return _Found(kind, max(gap, 0.0), float(rest.force[stand.pole, 0]), rest.softness)


def greatest_sticking_gap(stand: Stand, gaps: Floats) -> float:
    """Greatest gap (m) at which the string can stay on the face of a moving head; 0 or infinite as in EquilibriumMap."""
    kinds = tuple(_rest_at(stand.at(float(gap))).kind for gap in gaps)
    return _border(gaps, kinds, 1, lambda gap: _severity(stand.at(gap)) >= 1)


def _severity(stand: Stand) -> int:
    return SEVERITY.index(_rest_at(stand).kind)


def _border(gaps: Floats, kinds: Sequence[Kind], least: int, beyond: Callable[[float], bool]) -> float:
    """Where a state of at least this severity ends, on the way out; between two gaps of the map by halving."""
    at = [g for g, kind in enumerate(kinds) if SEVERITY.index(kind) >= least]
    if not at:
        return 0.0
    if at[-1] == len(gaps) - 1:
        return float("inf")
    low, high = float(gaps[at[-1]]), float(gaps[at[-1] + 1])
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if beyond(middle) else (low, middle)
    return high
