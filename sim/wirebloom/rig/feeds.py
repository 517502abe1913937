"""What a loop is fed with, whether by a supply of the rig or by its plain amplifier's own keys."""

from __future__ import annotations

from typing import NamedTuple

from wirebloom.rig.loops import Loop
from wirebloom.rig.models import Bench


class Fed(NamedTuple):
    """A loop's supply without load.

    Attributes
    ----------
    name : str
        That of the supply; empty for a plain amplifier with keys of its own.
    volts : float
        The whole of a single supply, each half of a split one, V.
    split : bool
        Two halves about ground.
    """

    name: str
    volts: float
    split: bool

    @property
    def half(self) -> float:
        """From the resting point to either rail, V."""
        return self.volts if self.split else self.volts / 2.0

    @property
    def whole(self) -> float:
        """From rail to rail, V."""
        return 2.0 * self.half


def fed(bench: Bench, loop: Loop) -> Fed:
    """What feeds a loop of a bench."""
    amplifier = loop.amplifier
    if amplifier is not None and amplifier.supply is not None:
        return Fed("", amplifier.supply, amplifier.supply_kind == "split")
    supply = next(one for one in bench.supplies if one.name == loop.supply)
    return Fed(supply.name, supply.open_voltage, supply.split)
