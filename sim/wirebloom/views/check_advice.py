"""What `check` says of changes: the least ones that mend a failure, and what each thing in a maker's hands does."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from typing import TYPE_CHECKING

from wirebloom.take.check_prescriptions import MEASURES

if TYPE_CHECKING:
    from wirebloom.take.check import Check
    from wirebloom.take.check_prescriptions import Advice, Failure

CURES = 3  # told for each failure
TOLD = 3  # changes told for each measure
ASK = "--advice looks for the least change that mends it, and for what each change does (takes longer)"
PASSES = ("starts", "undriven")


def advice_rows(check: Check) -> Iterator[tuple[str, str]]:
    """Yield what would mend every failure, and of every measure what does most to it; without advice, how to get some."""
    if check.advice is None:
        if check.verdict not in PASSES:
            yield "advice", ASK
        return
    for failure in check.advice.failures:
        yield from _cures(check.advice, failure)
    for string in dict.fromkeys(own.string for own in check.advice.sensitivities):
        yield from _effects(check.advice, string, len(check.strings) > 1)


def _cures(advice: Advice, failure: Failure) -> Iterator[tuple[str, str]]:
    yield f"not well: {failure.kind}", failure.words
    cures = advice.against(failure)[:CURES]
    for place, cure in enumerate(cures):
        changes = " ".join(f"--set {shlex.quote(change)}" for change in cure.overrides)
        yield ("or" if place else "mended by"), f"{cure.words} {changes}"
    if not cures:
        yield "mended by", "no single change that was tried"


def _effects(advice: Advice, string: str, several: bool) -> Iterator[tuple[str, str]]:
    for measure in MEASURES:
        found = [own for own in advice.sensitivities if (own.string, own.measure) == (string, measure)][:TOLD]
        of = f" of {string}" if several else ""
        for place, own in enumerate(found):
            yield ("" if place else f"{measure}{of}"), own.words
