"""What to change on a bench: how much each thing in a maker's hands does, and the least change that turns a failed verdict into a pass."""

from __future__ import annotations

from dataclasses import dataclass

FAILURES = ("latched", "squeals", "silent", "late", "touches", "other partial")
MEASURES = ("start time", "clearance", "dominance", "squeal margin")


@dataclass(frozen=True)
class Forecast:
    """What is to be expected of one string.

    Attributes
    ----------
    string : str
    equilibrium : str
        "free", "bistable" or "latched".
    partial : int or None
        On which it ends up, from 1; None: silence.
    start_time_s : float or None
        Until that partial has 90 % of its final amplitude, begun as the rig's own start begins it; None for silence.
    clearance_mm : float or None
        Least gap once it has settled, 0 where it meets a face; None for silence.
    nearest : str
        Head of that gap; empty for silence.
    reach_mm : float or None
        By how much that gap is less than at rest.
    rival_per_s : float or None
        Growth of the strongest other partial on top of that state; negative: it fades.
    squeals : bool
        The electronics sound by themselves.
    squeal_margin_dB : float or None
        How far the loop's crosstalk is from making them do so; None: no crosstalk does, or they do without any.
    """

    string: str
    equilibrium: str
    partial: int | None
    start_time_s: float | None
    clearance_mm: float | None
    nearest: str
    reach_mm: float | None
    rival_per_s: float | None
    squeals: bool
    squeal_margin_dB: float | None


@dataclass(frozen=True)
class Failure:
    """One verdict that is not a pass.

    Attributes
    ----------
    string : str
    kind : str
        "latched": it cannot hang clear; "squeals": the electronics sound by themselves; "silent": it does not start; "late": not
        within the planned run; "touches": it meets a face, or comes too near for a forecast to tell; "other partial": than was asked for.
    words : str
    """

    string: str
    kind: str
    words: str


@dataclass(frozen=True)
class Prescription:
    """The least change of one thing that turns one failed verdict into a pass, by an analysis of the rig with it.

    Attributes
    ----------
    string, failure : str
        As in :class:`Failure`.
    knob : str
        What is changed, such as "gap of sense".
    before, after : str
        As a scenario would have them.
    size : float
        Of the change, 1 for as much as is looked at: that by which all are ranked.
    overrides : tuple of str
        The change as ``--set`` takes it.
    forecast : Forecast
        Of the string with the change.
    leaves : tuple of str
        Kinds of failure that the string then still has, or has instead: a string that was silent may meet a face. Empty for most.
    words : str
    """

    string: str
    failure: str
    knob: str
    before: str
    after: str
    size: float
    overrides: tuple[str, ...]
    forecast: Forecast
    leaves: tuple[str, ...]
    words: str


@dataclass(frozen=True)
class Sensitivity:
    """What a step of one knob does to one measure of one string, the better of both ways.

    Attributes
    ----------
    string : str
    measure : str
        "start time" (s), "clearance" (mm), "dominance" (1/s: how fast the strongest rival fades) or "squeal margin" (dB).
    knob : str
    step : str
        With its sign and unit, such as "-0.1 mm".
    before, after : float
        Of the measure.
    gain : float
        By which they are ranked: of a start time the logarithm of its ratio, of others the difference over the size of the measure.
    overrides : tuple of str
        The step as ``--set`` takes it.
    words : str
    """

    string: str
    measure: str
    knob: str
    step: str
    before: float
    after: float
    gain: float
    overrides: tuple[str, ...]
    words: str


@dataclass(frozen=True)
class Advice:
    """All of it.

    Attributes
    ----------
    forecasts : tuple of Forecast
        String by string, as the rig stands.
    failures : tuple of Failure
    prescriptions : tuple of Prescription
        Failure by failure: first those that leave no failure, and of them the least change first.
    sensitivities : tuple of Sensitivity
        String by string and measure by measure, the most effective first; empty where they were not asked for.
    """

    forecasts: tuple[Forecast, ...]
    failures: tuple[Failure, ...]
    prescriptions: tuple[Prescription, ...]
    sensitivities: tuple[Sensitivity, ...] = ()

    def against(self, failure: Failure) -> tuple[Prescription, ...]:
        """What turns one failure into a pass, the least change first."""
        return tuple(own for own in self.prescriptions if (own.string, own.failure) == (failure.string, failure.kind))

    def least(self, failure: Failure) -> Prescription | None:
        """The least change that does; None where no single one is known."""
        return next(iter(self.against(failure)), None)
