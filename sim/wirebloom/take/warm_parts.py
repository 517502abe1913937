"""Warmth of drive coils: what a verdict and a summary read."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

FAINT = 1e-3  # A: less is a drive that rests, and says nothing of a fuse


@dataclass(frozen=True)
class CoilWarmth:
    """One drive coil; pairs are coolest and hottest, or earliest and latest.

    Attributes
    ----------
    heat_W : float
        Made in it while it is as cold as the room.
    room_K : float
    steady_K : (float, float or None)
        Where it ends; None: nowhere, it runs away.
    marks_K : tuple of (float, float)
        After a minute and after ten.
    settled_s : (float, float or None)
        Until 95 % of the rise.
    hot_ohm : (float, float or None)
        Resistance where it ends.
    limit : {"enamel", "magnets"}
        Which gives way first.
    limit_K : float
    enamel : str
    ungraded : bool
        The head has magnets, and nobody knows what they bear.
    too_hot_s : (float or None, float or None)
        Until that limit; None: never.
    touch_s : float or None
        Earliest until a hand should not touch it; None: never.
    bears_A : float
        Steady rms current that warms it to that limit with little cooling.
    """

    head: str
    heat_W: float
    room_K: float
    steady_K: tuple[float, float | None]
    marks_K: tuple[tuple[float, float], ...]
    settled_s: tuple[float, float | None]
    hot_ohm: tuple[float, float | None]
    limit: str
    limit_K: float
    enamel: str
    ungraded: bool
    too_hot_s: tuple[float | None, float | None]
    touch_s: float | None
    bears_A: float

    @property
    def duty(self) -> str:
        """ "for good", "uncertain" (with little cooling it gets too hot) or "limited" (however well it is cooled)."""
        earliest, latest = self.too_hot_s
        return "for good" if earliest is None else "uncertain" if latest is None else "limited"


@dataclass(frozen=True)
class DriveWarmth:
    """The drive coils of one loop, and their fuse.

    Attributes
    ----------
    current_A : float
        Rms through all of them over the last second.
    bears_A : float
        Most that the weakest of them bears for good.
    fuse_A : float or None
        Smallest usual fuse with room for the current; None if it is more than the coils bear, there is none so large, or the drive rests.
    blows_A : float or None
        Current at which that fuse is sure to blow.
    full_A : float
        Most that the amplifier could send: a square wave over its whole swing, against resistances only.
    full_s : float or None
        Earliest time until one of the coils is too hot then; None: never.
    """

    loop: str
    coils: tuple[CoilWarmth, ...]
    current_A: float
    bears_A: float
    fuse_A: float | None
    blows_A: float | None
    full_A: float
    full_s: float | None

    @property
    def duty(self) -> str:
        """Of the coil that fares worst."""
        return max((coil.duty for coil in self.coils), key=("for good", "uncertain", "limited").index)

    @property
    def resting(self) -> bool:
        """Whether there is too little current to speak of."""
        return self.current_A < FAINT

    @property
    def hottest(self) -> CoilWarmth:
        """The coil that gets hottest for what it bears."""
        return max(self.coils, key=lambda coil: inf if coil.steady_K[1] is None else coil.steady_K[1] - coil.limit_K)
