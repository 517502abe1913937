"""What a string settles at, told without a run. Plain numbers, units in the names."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class HeadReach:
    """Least and greatest gap (m) of a motion at one head."""

    head: str
    least_gap_m: float
    greatest_gap_m: float


@dataclass(frozen=True)
class Whirling:
    """A motion that has left its plane, through its own tension.

    Attributes
    ----------
    amplitude_m, sideways_m : float
        Of its leading partial, towards the heads and across.
    frequency_Hz, clearance_m : float
    growth_per_s : float
        By which the motion across grows at first: out of nothing it may take many times 1/growth.
    """

    amplitude_m: float
    sideways_m: float
    frequency_Hz: float
    clearance_m: float
    growth_per_s: float


@dataclass(frozen=True)
class Steady:
    """One steady state of one string.

    Attributes
    ----------
    string : str
    partial : int
        That leads, from 1.
    frequency_Hz : float
        Of that partial.
    amplitude_m : float
        Of that partial's modal displacement, towards the heads.
    clearance_m : float
        Least gap over all heads under the string; 0 where it touches.
    nearest : str
        Head of that gap; empty for a string without heads.
    touches : bool
        It would still grow where it meets a face: what becomes of it there the faces decide, and only a run can tell. Levels are
        those at first touch then.
    bridge_force_N : float
        Amplitude of the bridge force, all partials together by power.
    partials_m : tuple of (int, float)
        Partials that take part, and their amplitudes.
    heads : tuple of HeadReach
    loop : str
        That drives it; empty if none does.
    drive_rms_V, drive_rms_A, drive_power_W : float
        About rest: at the output of the loop's amplifier, in its drive coils, and the mean of their product.
    rival_growth_per_s, rival : float, int
        Of the partial that grows fastest, or fades slowest, on top of it.
    lasts : bool
        Nothing grows on top of it, or it meets a face before that comes to anything.
    likely : bool
        The rig's own start leads there.
    whirl : Whirling or None
        What it becomes in time where it does not last in its plane.
    """

    string: str
    partial: int
    frequency_Hz: float
    amplitude_m: float
    clearance_m: float
    nearest: str
    touches: bool
    bridge_force_N: float
    partials_m: tuple[tuple[int, float], ...]
    heads: tuple[HeadReach, ...]
    loop: str
    drive_rms_V: float
    drive_rms_A: float
    drive_power_W: float
    rival_growth_per_s: float
    rival: int
    lasts: bool
    likely: bool
    whirl: Whirling | None = None


@dataclass(frozen=True)
class Saturated:
    """Steady states of all strings, string by string, those that last and are likely first.

    Attributes
    ----------
    states : tuple of Steady
        Each as if the other strings kept still.
    amplitude_error : float
        Relative error of an amplitude that nine in ten stay below, against runs of random rigs that ended in one of their states.
    start : str
        For which `likely` holds.
    notes : tuple of str
        Sentences: strings of which nothing is told, and why; what an answer leaves out that tells.
    """

    states: tuple[Steady, ...]
    amplitude_error: float
    start: str
    notes: tuple[str, ...] = ()

    def of(self, string: str) -> tuple[Steady, ...]:
        """Those of one string that last, the likely one first."""
        return tuple(state for state in self.states if state.string == string and state.lasts)

    def likely(self, string: str) -> Steady | None:
        """Where the rig's own start leads; None: to silence."""
        return next((state for state in self.of(string) if state.likely), None)
