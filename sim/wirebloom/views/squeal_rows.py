"""Words for a loop that sounds without its strings."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from wirebloom.views.amounts import amount, figures

if TYPE_CHECKING:
    from wirebloom.take.electrics import LoopMeasures
    from wirebloom.take.measures import Measures
    from wirebloom.take.sheet import LoopSheet
    from wirebloom.take.take import Take

CURES = (
    "more room between its heads, one head's magnet turned over and its leads swapped, less gain, a resistor across the sense coil, "
    "or a shielded lead"
)
GROWS = 1e-2  # 1/s: slower is no squeal
SUDDEN = 0.3  # of the steps' rate: electronics that grow faster have flipped before the next step


def at_pitch(take: Take, loop: LoopMeasures) -> str:
    """Return at which frequency a loop squeals, in words."""
    if loop.squeal_Hz is not None:
        return f"at {figures(loop.squeal_Hz)} Hz"
    return f"above {figures(0.5e-3 * take.audio_rate)} kHz (nobody hears that)"


def squealing(take: Take, measures: Measures) -> str:
    """Return a sentence on the loops that squeal; nothing where none does."""
    return "".join(f" The loop {loop.name} squeals by itself {at_pitch(take, loop)}." for loop in measures.loops if loop.squeals)


def instead_of_the_string(take: Take, loops: list[LoopMeasures]) -> str:
    """Return the verdict on a string whose outcome is "squeals"."""
    loop = next(loop for loop in loops if loop.squeals)
    return (
        f"It does not start: the loop {loop.name} squeals by itself {at_pitch(take, loop)}, and the string falls silent or only shivers. "
        f"Try {CURES}."
    )


def squeal_rows(take: Take, measures: Measures) -> Iterator[tuple[str, str]]:
    """Yield what tells a squeal from a string's sound, for every loop that squeals; then how near every loop is to that."""
    for loop, sheet in zip(measures.loops, take.sheet.loops, strict=False):
        if loop.squeals:
            sudden = loop.squeal_Hz is not None and sheet.squeal_growth_per_s > SUDDEN * take.rate
            rough = "; it flips faster than a step: the pitch is rough, a higher run.rate sharpens it" if sudden else ""
            share = "nothing" if loop.string_share is None else f"{figures(100.0 * loop.string_share, 2)} %"
            yield (
                f"squeal of {loop.name}",
                f"sounds by itself {at_pitch(take, loop)}: of the power that its amplifier hears the strings make {share}, and of the "
                f"{amount(loop.drive_power_W, 'W')} of its drive they get {amount(loop.string_power_W, 'W')}{rough}",
            )
    for sheet in take.sheet.loops:
        told = margin(sheet)
        if told:
            yield f"{sheet.name} by itself", told


def margin(loop: LoopSheet) -> str:
    """Return how near a loop is to squealing with its strings held; nothing where nobody looked."""
    if loop.squeal_growth_per_s == 0.0 and loop.squeal_factor < 0.0:
        return ""
    keeps = loop.squeal_growth_per_s < GROWS
    if loop.squeal_factor == 0.0:
        return "squeals with its strings held, and without any crosstalk: look at its amplifier and its supply"
    if loop.squeal_factor < 0.0:
        return "keeps still with its strings held, whatever the crosstalk" if keeps else "squeals with its strings held"
    return ", ".join([_of_crosstalk(loop, keeps), *_of_the_rest(loop, keeps)])


def _of_crosstalk(loop: LoopSheet, keeps: bool) -> str:
    tone = f"at {amount(loop.squeal_factor_Hz, 'Hz')}" if loop.squeal_factor_Hz > 0.0 else "by flipping from limit to limit"
    if keeps:
        return (
            f"keeps still with its strings held; would squeal {tone} with {figures(loop.squeal_factor, 2)} times the crosstalk "
            f"({20.0 * math.log10(loop.squeal_factor):.0f} dB)"
        )
    return f"can squeal with its strings held; would not with less than {figures(loop.squeal_factor, 2)} times the crosstalk (there {tone})"


def _of_the_rest(loop: LoopSheet, keeps: bool) -> Iterator[str]:
    if loop.squeal_distance_m > 0.0:
        yield f"with its heads {'' if keeps else 'more than '}{amount(loop.squeal_distance_m, 'm', 2)} apart"
    if loop.squeal_gain > 0.0:
        yield f"at a gain {'of' if keeps else 'below'} {figures(loop.squeal_gain, 2)}"
    if loop.squeal_turned > 0.0:
        turned = "one head's magnet turned over and its leads swapped"
        yield f"and with {turned} it would from {figures(loop.squeal_turned, 2)} times on"
