"""Everything that `check` finds out about a rig without running it: its parts side by side, and what they come to."""

from __future__ import annotations

from dataclasses import dataclass

from wirebloom.take.check_curves import ForceCurve
from wirebloom.take.check_prescriptions import Advice
from wirebloom.take.check_saturated import Saturated, Steady
from wirebloom.take.check_sheet import StaticSheet, StringStatic
from wirebloom.take.check_signs import LoopSigns, Signs
from wirebloom.take.check_small import Margins, PartialCheck, SmallSignal

SQUEALS = 1e-2  # 1/s: electronics that grow more slowly than that keep still
VERDICTS = {  # the gravest first; a rig of several strings gets that of the one that fares worst
    "squeals": "the electronics sound by themselves, whatever the string does",
    "held": "the magnets hold the string on a face",
    "touches": "it starts, and grows until it meets a face",
    "silent": "nothing grows from the rig's own start",
    "starts": "it starts, and settles clear of every face",
    "undriven": "no loop has heads under it",
}


@dataclass(frozen=True)
class Check:
    """One rig.

    Attributes
    ----------
    title, digest : str
        Of the scenario.
    sheet, signs, small, margins, saturated
        See there.
    advice : Advice or None
        None where it was not asked for.
    curves : tuple of ForceCurve
        Every head under every string.
    limits, cautions : tuple of str
        Of the model for this rig; of what can hurt.
    """

    title: str
    digest: str
    sheet: StaticSheet
    signs: Signs
    small: SmallSignal
    margins: Margins
    saturated: Saturated
    advice: Advice | None
    curves: tuple[ForceCurve, ...]
    limits: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def strings(self) -> tuple[str, ...]:
        """Names, in the order of the rig."""
        return tuple(string.name for string in self.sheet.strings)

    @property
    def verdict(self) -> str:
        """The gravest of its strings; one without a loop counts only if no other has one."""
        found = {self.verdict_of(string) for string in self.sheet.strings}
        return next(verdict for verdict in VERDICTS if verdict in found)

    @property
    def squeals(self) -> bool:
        """Whether anything of the electronics grows, strings free."""
        return any(motion.growth_rate_per_s > SQUEALS for motion in self.small.electrical)

    def verdict_of(self, string: StringStatic) -> str:
        """One of `VERDICTS`."""
        if string.equilibrium == "latched":
            return "held"
        if not self.signs_of(string.name):
            return "undriven"
        if self.squeals:
            return "squeals"
        likely = self.saturated.likely(string.name)
        if likely is not None:
            return "touches" if likely.touches else "starts"
        return "starts" if self.fastest(string.name) is not None else "silent"

    def partials_of(self, string: str, polarisation: int = 0) -> tuple[PartialCheck, ...]:
        """In one polarisation."""
        return tuple(own for own in self.small.partials if (own.string, own.polarisation) == (string, polarisation))

    def fastest(self, string: str) -> PartialCheck | None:
        """The partial of a string that grows fastest; None if none grows."""
        growing = [own for own in self.small.partials if own.string == string and own.grows]
        return max(growing, key=lambda own: own.growth_rate_per_s, default=None)

    def signs_of(self, string: str) -> tuple[LoopSigns, ...]:
        """Of all loops with heads under a string."""
        return tuple(own for own in self.signs.loops if own.string == string)

    def ends_of(self, string: str) -> tuple[Steady, ...]:
        """Where a string can end up and stay, the likely one first."""
        return self.saturated.of(string)
