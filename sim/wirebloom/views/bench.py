"""The rig behind a take: read anew from the scenario's text and the changes made to it, if today's program still reads them."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from wirebloom.errors import WirebloomError
from wirebloom.rig import Head, Loop, Rig, loads

if TYPE_CHECKING:
    from wirebloom.take.take import Take

UNREADABLE = "The take's scenario cannot be read any more, so what only it says is missing here"


class Bench(NamedTuple):
    """A rig, or None and a sentence that says why there is none."""

    rig: Rig | None
    notice: str

    def head(self, name: str) -> Head | None:
        """Return the head of this name; None if it is not known."""
        return None if self.rig is None else next((head for head in self.rig.heads if head.name == name), None)

    def loop(self, name: str) -> Loop | None:
        """Return the loop of this name; None if it is not known."""
        return None if self.rig is None else next((loop for loop in self.rig.loops if loop.name == name), None)


def bench_of(take: Take) -> Bench:
    """Return the rig of a take.

    Parameters
    ----------
    take : Take
        Of any age: its scenario may be one that this program refuses.
    """
    return _read(take.scenario, take.overrides)


@lru_cache(maxsize=8)
def _read(text: str, overrides: tuple[str, ...]) -> Bench:
    try:
        return Bench(loads(text, file="scenario", overrides=overrides)[0], "")
    except WirebloomError as problem:
        return Bench(None, f"{UNREADABLE}. {problem}")
