"""What cannot work, in sentences: no loop, no head, a string on a face, a deaf amplifier, a squeal without strings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.analysis.held import Held
from wirebloom.analysis.sign_words import listed
from wirebloom.analysis.squeal import GROWS

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

TOUCHING = 1e-6  # m: a string on a face, rounding apart; on a set-back flange its gap is below 0


def sheet_words(compiled: Compiled, found: Held, growth: float) -> tuple[str, ...]:
    """All of it; growth is the electronics' fastest with the strings held, 1/s. Empty for a rig that can work."""
    return (*_loops(compiled), *_strings(compiled), *_held_stages(compiled, found), *_silent(compiled, found), *_squeal(growth))


def _loops(compiled: Compiled) -> Iterator[str]:
    if not compiled.rig.loops:
        yield "There is no loop: nothing listens and nothing drives, and every string rings down as it is set going."


def _strings(compiled: Compiled) -> Iterator[str]:
    for s, string in enumerate(compiled.sheet.strings):
        poles = [own for own, pole in zip(compiled.sheet.poles, compiled.poles, strict=True) if pole.string == s]
        if not poles:
            yield f"No head stands under string {string.name}: nothing hears or drives it."
        elif string.equilibrium == "latched":
            faces = listed([own.head for own in poles if own.rest_gap_m < TOUCHING])
            yield (
                f"The magnets pull string {string.name} onto the face of {faces}: it cannot hang clear, and nothing that is said of "
                "small motions holds for it. Wider gaps or weaker magnets free it."
            )
        elif string.equilibrium == "bistable":
            yield f"String {string.name} hangs clear, but once it is pressed onto a face it stays there until it is lifted off."


def _held_stages(compiled: Compiled, found: Held) -> Iterator[str]:
    """Loops with a stage at its rail: an input offset times too much gain for direct current."""
    stages = compiled.model.stages
    for a, loop in enumerate(compiled.rig.loops):
        if np.any(found.linear.point.held[stages.loop == a]):
            yield (
                f"The input offset holds a stage of loop {loop.name} at the end of its swing: it answers no small motion. A capacitor "
                "between its stages, or less gain for direct current, sets it free."
            )


def _silent(compiled: Compiled, found: Held) -> Iterator[str]:
    """Loops without any gain although no stage is held."""
    free = [a for a in range(len(compiled.rig.loops)) if not np.any(found.linear.point.held[compiled.model.stages.loop == a])]
    for a in free:
        if not any(np.any(np.abs(answer.heard[:, a]) > 0.0) for answer in found.answers):
            yield f"Loop {compiled.rig.loops[a].name} has no gain: nothing of what its sense heads hear reaches its output."


def _squeal(growth: float) -> Iterator[str]:
    if growth > GROWS:
        yield "The electronics squeal or flip to a limit by themselves, whatever the strings do: part the heads or turn the gain down."
