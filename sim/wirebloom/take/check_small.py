"""What a rig does at the faintest: growth and pitch of every partial and of its electronics, loop gains, margins. Plain numbers."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, log10


@dataclass(frozen=True)
class PartialCheck:
    """One partial in one polarisation.

    Attributes
    ----------
    string : str
    polarisation : int
        0 towards the heads, 1 sideways.
    partial : int
        From 1.
    frequency_Hz, growth_rate_per_s : float
        As the rig stands.
    open_Hz, open_growth_per_s : float
        With all loops opened in the leads of their sense coils: the string beside its magnets and its drive coils.
    reversed_Hz, reversed_growth_per_s : float
        With the leads of all sense coils swapped: the other polarity of all loops.
    loop : str
        That which moves it most; empty if none does.
    loop_gain, loop_phase_deg : float
        Of that loop, opened in the leads of its sense coils, at the partial's resonance, as far as it goes through the partial: to first
        order its growth is `open_growth_per_s` times one less the real part, so that it grows where that exceeds 1.
    share : float or None
        How many times what the sense coils give the loop must hear for the partial to stand between growing and fading: below 1
        it grows with something in reserve. None: however much it hears, up to a thousand times, it does not grow.
    gain : float or None
        Least gain of a plain amplifier, its product with the bandwidth as it is, at which the partial grows; more than that may turn
        the phase too far again. None where there is none, and for loops with stages of their own.
    """

    string: str
    polarisation: int
    partial: int
    frequency_Hz: float
    growth_rate_per_s: float
    open_Hz: float
    open_growth_per_s: float
    reversed_Hz: float
    reversed_growth_per_s: float
    loop: str
    loop_gain: float
    loop_phase_deg: float
    share: float | None
    gain: float | None

    @property
    def grows(self) -> bool:
        """As the rig stands."""
        return self.growth_rate_per_s > 0.0

    @property
    def margin_dB(self) -> float:
        """How far the loop may be turned down before it stops growing; negative: how far it lacks; −∞: no loudness makes it grow."""
        return -inf if self.share is None else -20.0 * log10(self.share)


@dataclass(frozen=True)
class Electrical:
    """One motion of the electronics; at 0 Hz it creeps. One that neither grows nor fades is a charge that stays."""

    frequency_Hz: float
    growth_rate_per_s: float


@dataclass(frozen=True)
class SmallSignal:
    """All small motions of a rig: partials string by string, towards the heads first; electronics, those that grow fastest first."""

    partials: tuple[PartialCheck, ...]
    electrical: tuple[Electrical, ...]

    @property
    def fastest(self) -> PartialCheck | None:
        """The partial that grows fastest; None if none grows."""
        growing = [own for own in self.partials if own.grows]
        return max(growing, key=lambda own: own.growth_rate_per_s, default=None)

    def of(self, string: str, partial: int, polarisation: int = 0) -> PartialCheck:
        """One partial."""
        return next(p for p in self.partials if (p.string, p.partial, p.polarisation) == (string, partial, polarisation))


@dataclass(frozen=True)
class GapMargin:
    """How far from a string heads may stand for any of its partials to grow.

    Attributes
    ----------
    string : str
    heads : tuple of str
        Those that are moved together, all others left where they are.
    gap_mm : tuple of float
        Theirs as they stand.
    widest_mm : tuple of float or None
        The widest at which it still grows; None: it does at no gap between the narrowest and the widest that were looked at.
    partial : int or None
        That which grows last.
    limited : bool
        It still grows at the widest gap looked at, which `widest_mm` is then.
    """

    string: str
    heads: tuple[str, ...]
    gap_mm: tuple[float, ...]
    widest_mm: tuple[float, ...] | None
    partial: int | None
    limited: bool


@dataclass(frozen=True)
class SquealMargin:
    """One loop without its strings.

    Attributes
    ----------
    growth_rate_per_s, frequency_Hz : float
        Of its fastest growing motion.
    crosstalk, turned : float or None
        How many times its crosstalk, and how many times with its sign turned, it would squeal at; None: at none.
    squeal_Hz : float or None
        Where it then squeals.
    gain : float or None
        Gain of a plain amplifier at which it would.
    distance_mm : float or None
        Distance of sense and drive head at which it would.
    """

    loop: str
    growth_rate_per_s: float
    frequency_Hz: float
    crosstalk: float | None
    turned: float | None
    squeal_Hz: float | None
    gain: float | None
    distance_mm: float | None


@dataclass(frozen=True)
class Margins:
    """How far a rig may be changed before it no longer starts, or squeals."""

    gaps: tuple[GapMargin, ...]
    squeals: tuple[SquealMargin, ...]
