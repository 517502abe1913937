"""The figures behind what `check` says: name and words of each matter, in the order in which they decide."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from wirebloom.views.amounts import figures
from wirebloom.views.band_words import listed
from wirebloom.views.check_advice import advice_rows
from wirebloom.views.check_ends import end_rows
from wirebloom.views.check_headline import partial
from wirebloom.views.check_margins import gap_words, squeal_words
from wirebloom.views.check_rest import head_rows, string_rows

if TYPE_CHECKING:
    from wirebloom.take.check import Check
    from wirebloom.take.check_small import GapMargin, PartialCheck

MOST = 3  # strings with all rows of their own
TOLD = 12  # partials: of higher ones nothing is said


def check_rows(check: Check) -> Iterator[tuple[str, str]]:
    """Yield name and figures of each matter: what cannot work, places, small motions, where it settles, margins, rest."""
    for word in check.sheet.words:
        yield "first of all", word
    for place, word in enumerate(_places(check)):
        yield "" if place else "places", word
    for string in check.sheet.strings:
        if check.signs_of(string.name) and string.equilibrium != "latched":
            yield string.name, small_words(check, string.name)
            yield from _starting(check, string.name)
    yield from () if check.squeals else end_rows(check)
    yield from advice_rows(check)
    for gap in _gaps(check):
        yield f"gap of {listed(gap.heads)}", gap_words(gap, len(check.strings) > 1)
    for squeal in check.margins.squeals:
        yield f"{squeal.loop} by itself", squeal_words(squeal)
    yield from head_rows(check)
    yield from string_rows(check)


def _places(check: Check) -> list[str]:
    """Return the sentences on the sign table; of many loops and strings, for each the first."""
    every = list(check.signs.words)
    return every if len(check.signs.loops) <= MOST else [word for word in every if word.startswith("Loop ")]


def _gaps(check: Check) -> list[GapMargin]:
    """Return how wide gaps may be, of strings that hang clear; of many strings, only for all heads together."""
    clear = {string.name for string in check.sheet.strings if string.equilibrium != "latched"}
    gaps = [own for own in check.margins.gaps if own.string in clear]
    if len(check.strings) <= MOST:
        return gaps
    return [own for own in gaps if len(own.heads) == max(len(other.heads) for other in gaps if other.string == own.string)]


def small_words(check: Check, string: str) -> str:
    """Say which partials of a string grow from nothing, and how much there is to spare."""
    growing = sorted((own for own in check.small.partials if own.string == string and own.grows), key=lambda own: -own.growth_rate_per_s)
    if not growing:
        return "nothing grows from the faintest motion"
    first = growing[0]
    told = [f"{partial(first)} grows fastest: {figures(first.growth_rate_per_s)} per s, ten times as loud every {_tenfold(first)}"]
    others = sorted({own.partial for own in growing if own.polarisation == 0} - {first.partial})
    aside = sorted({own.partial for own in growing if own.polarisation == 1 and own is not first})
    if others:
        told.append(f"so {_grow(others)}")
    if aside:
        told.append(f"sideways {_grow(aside)}")
    return "; ".join(told)


def _tenfold(own: PartialCheck) -> str:
    return f"{figures(2.302585 / own.growth_rate_per_s, 2)} s"


def _grow(partials: list[int]) -> str:
    numbers = [str(n) for n in partials if n <= TOLD]
    more = len(partials) - len(numbers)
    told = listed([*numbers, *([f"{more} higher ones"] if more else [])])
    return f"does partial {told}" if len(partials) == 1 else f"do partials {told}"


def _starting(check: Check, string: str) -> Iterator[tuple[str, str]]:
    """Yield what a string's start hangs on: gain, and polarity."""
    first, of = check.fastest(string), f" for {string}" if len(check.strings) > 1 else ""
    if first is not None and first.share is not None:
        threshold = "" if first.gain is None else f"; it grows from a gain of {figures(first.gain, 2)} on"
        spare = f"partial {first.partial} has {figures(first.margin_dB, 2)} dB to spare"
        yield f"gain{of}", f"{spare}: its loop gain is {figures(first.loop_gain)}{threshold}"
    other = [own for own in check.partials_of(string) if own.reversed_growth_per_s > 0.0]
    other.sort(key=lambda own: -own.reversed_growth_per_s)
    if other:
        rate = figures(other[0].reversed_growth_per_s)
        more = f", then partial{'s' if len(other) > 2 else ''} {listed([str(own.partial) for own in other[1:6]])}" if len(other) > 1 else ""
        yield f"polarity reversed{of}", f"partial {other[0].partial} would grow fastest, by {rate} per s{more}"
    else:
        yield f"polarity reversed{of}", "no partial would grow"
