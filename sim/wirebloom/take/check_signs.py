"""Which partials a loop feeds by where its heads stand: plain numbers, units in the names."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
ROLES = ("sense", "drive")
NODE = 0.02  # of what heads would give at bellies: with less, a partial is neither fed nor damped


@dataclass(frozen=True)
class SignHead:
    """One head of a loop under one string.

    Attributes
    ----------
    head, role : str
        Its name; "sense" or "drive".
    position_m : float
        Along the string, from the bridge end.
    factor_N_per_A : float
        Force factor at rest, with the sense of the winding: negative for a head connected the other way round.
    weight : (N,) ndarray
        How far the string moves over the head per displacement of each partial at its belly, the sign of the shape in it.
    """

    head: str
    role: str
    position_m: float
    factor_N_per_A: float
    weight: Floats


@dataclass(frozen=True)
class LoopSigns:
    """One loop and one string: φ_s φ_d, partial by partial. Rows of (2, N): towards the heads, sideways.

    Attributes
    ----------
    loop, string, polarity : str
        Polarity of the electronics by themselves: "normal", a string that moves towards the sense head is pulled on by the drive head
        if both coils are wound alike, or "reversed". With one coil the other way round, `share` has that in it.
    length_m : float
    heads : tuple of SignHead
        All heads of the loop under this string.
    frequency_Hz : (N,) ndarray
        Partials without magnets, towards the heads.
    listens, pushes : (2, N) ndarray
        Σ K φ of the sense heads, V s/m, and of the drive heads, N/A, per displacement of the partial at its belly.
    share : (2, N) ndarray
        Their product over what it would be if all of these heads met bellies: φ_s φ_d. Positive: normal polarity feeds. Sideways it
        is small: what heads off the string's axis make of it.
    turn_deg : (N,) ndarray
        How far the electronics as wired turn the drive's current ahead of the string's velocity at the sense head, −180 … 180:
        within ± 90 the signs above decide as for normal polarity, beyond it as for reversed. Not a number for a deaf loop.
    push_per_s : (2, N) ndarray
        Growth rate that the loop gives to small motions, to first order: before the partial's decay and the coils' braking.
    """

    loop: str
    string: str
    polarity: str
    length_m: float
    heads: tuple[SignHead, ...]
    frequency_Hz: Floats
    listens: Floats
    pushes: Floats
    share: Floats
    turn_deg: Floats
    push_per_s: Floats

    @property
    def sign(self) -> Ints:
        """(N,) 1: normal polarity feeds the partial towards the heads, -1: reversed polarity does, 0: neither."""
        clear = np.minimum(*(np.abs(self.part(role)) for role in ROLES)) >= NODE
        return np.where(clear, np.sign(self.share[0]), 0.0).astype(np.int64)

    def part(self, role: str) -> Floats:
        """(N,) what the heads of one role, together, have of a partial towards the heads, over what they would at bellies: −1 … 1."""
        most = sum(abs(head.factor_N_per_A) for head in self.heads if head.role == role)
        whole = (self.listens if role == "sense" else self.pushes)[0]
        return whole / most if most > 0.0 else np.zeros_like(whole)

    @property
    def normal(self) -> tuple[int, ...]:
        """Partials, from 1, that normal polarity feeds and reversed damps."""
        return _numbers(self.sign > 0)

    @property
    def reversed(self) -> tuple[int, ...]:
        """Partials, from 1, that reversed polarity feeds and normal damps."""
        return _numbers(self.sign < 0)

    @property
    def neither(self) -> tuple[int, ...]:
        """Partials, from 1, with a node over the sense or over the drive heads."""
        return _numbers(self.sign == 0)

    @property
    def fed(self) -> tuple[int, ...]:
        """Partials, from 1, that the loop as wired feeds at small motions, its electronics' turn counted."""
        return _numbers((self.sign != 0) & (self.push_per_s[0] > 0.0))

    @property
    def damped(self) -> tuple[int, ...]:
        """Partials, from 1, that it damps."""
        return _numbers((self.sign != 0) & (self.push_per_s[0] < 0.0))


@dataclass(frozen=True)
class Signs:
    """All loops and the strings under their heads, in the order of the rig; and what they come to, in words, the headline first."""

    loops: tuple[LoopSigns, ...]
    words: tuple[str, ...]


def _numbers(chosen: NDArray[np.bool_]) -> tuple[int, ...]:
    return tuple(int(n) + 1 for n in np.flatnonzero(chosen))
