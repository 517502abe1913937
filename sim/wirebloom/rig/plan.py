"""What is done with a rig: how it starts, how long, in what steps."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from wirebloom.rig.base import Table
from wirebloom.rig.fields import Reference, Whole, force_in, frequency_in, length_in, position_in, time_in
from wirebloom.rig.sentences import refusal

_KEYS: dict[str, set[str]] = {
    "switch-on": {"ramp"},
    "noise": set(),
    "pluck": {"string", "position", "height"},
    "tap": {"string", "position", "force", "duration"},
}
_OPTIONAL = {"string", "ramp"}


class Start(Table):
    """What sets a string moving at first.

    Attributes
    ----------
    kind : {"switch-on", "noise", "pluck", "tap"}
        Supply switched on, nothing but noise, string let go from a triangle, a short push.
    ramp : float
        Time in which the supply comes up (switch-on), s.
    string, position : str, float
        Where it is plucked or tapped, m from the bridge end; None for the only string.
    height : float
        Height of the pluck, m.
    force, duration : float
        Peak and length of the tap, N and s.
    """

    kind: Literal["switch-on", "noise", "pluck", "tap"] = "switch-on"
    ramp: Annotated[float, time_in("1 ms", "10 s")] = 0.02
    string: Annotated[str, Reference("string")] | None = None
    position: Annotated[float, position_in("0 mm", "5 m")] | None = None
    height: Annotated[float, length_in("1e-12 m", "20 mm")] | None = None
    force: Annotated[float, force_in("1e-9 N", "100 N")] | None = None
    duration: Annotated[float, time_in("0.1 ms", "1 s")] | None = None

    @model_validator(mode="after")
    def _complete(self) -> Self:
        wanted = _KEYS[self.kind]
        for key in sorted(self.model_fields_set - {"kind"} - wanted):
            raise refusal(f'left out when kind is "{self.kind}"', getattr(self, key), key=key)
        for key in sorted(wanted - _OPTIONAL):
            if getattr(self, key) is None:
                raise refusal(f'given when kind is "{self.kind}"', "nothing", key=key)
        return self


class Run(Table):
    """How long and in what steps: duration (s), rates (Hz), spacing of the slow records (s), seed of the noise.

    `loads` says whether the three parts of a head's force share the load of the force factor along the string, or have each its own.
    """

    duration: Annotated[float, time_in("20 ms", "600 s")] = 4.0
    rate: Annotated[float, frequency_in("48 kHz", "384 kHz")] = 96_000.0
    audio_rate: Annotated[float, frequency_in("8 kHz", "192 kHz")] = 48_000.0
    frame: Annotated[float, time_in("1 ms", "1 s")] = 0.01
    seed: Annotated[int, Whole(0, 2**63 - 1)] = 1
    loads: Literal["shared", "separate"] = "shared"

    @model_validator(mode="after")
    def _rates_fit(self) -> Self:
        if self.rate % self.audio_rate:
            raise refusal(f"a whole fraction of rate ({self.rate:g} Hz)", f"{self.audio_rate:g} Hz", key="audio_rate")
        samples = self.frame * self.audio_rate
        if abs(samples - round(samples)) > 1e-6:
            raise refusal("a whole number of samples at audio_rate", f"{self.frame:g} s ({samples:g} samples)", key="frame")
        return self


class RunPlan(Run):
    """A run with its start."""

    start: Start = Start()
