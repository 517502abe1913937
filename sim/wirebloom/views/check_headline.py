"""The line that a maker reads first: will it start, on which partial, how clear does it stay, and if not, what is in the way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirebloom.views.amounts import amount, figures
from wirebloom.views.band_words import listed
from wirebloom.views.squeal_rows import CURES

if TYPE_CHECKING:
    from wirebloom.take.check import Check
    from wirebloom.take.check_saturated import Steady
    from wirebloom.take.check_small import PartialCheck

MM = 1e3


def check_headline(check: Check) -> str:
    """Return the verdict on a rig as one or two sentences.

    Parameters
    ----------
    check : Check
    """
    if not check.sheet.loops:
        return check.sheet.words[0]
    if check.squeals:
        return f"It does not work: the electronics {squealing(check)}, whatever the strings do. Try {CURES}."
    return _sentence(check, check.strings[0]) if len(check.strings) == 1 else _several(check)


def squealing(check: Check) -> str:
    """Return what the electronics do by themselves."""
    motion = check.small.electrical[0]
    return f"squeal at {amount(motion.frequency_Hz, 'Hz')}" if motion.frequency_Hz > 0.0 else "flip to a limit and stay there"


def _several(check: Check) -> str:
    """Return how many strings start, and what becomes of the others."""
    found = {string.name: check.verdict_of(string) for string in check.sheet.strings}
    starting = [name for name, verdict in found.items() if verdict in ("starts", "touches")]
    if not starting:
        told = "No string starts"
    elif len(starting) == len(found):
        told = "All strings start"
    else:
        told = f"{len(starting)} of {len(found)} strings start ({listed(starting)})"
    parts = [told]
    for verdict, word in (("touches", "will buzz"), ("held", "cannot hang clear of the magnets"), ("undriven", "has no loop")):
        names = [name for name, own in found.items() if own == verdict]
        parts += [f"{listed(names)} {word if len(names) == 1 else word.replace('has', 'have')}"] if names else []
    return f"{'; '.join(parts)}."


def _sentence(check: Check, string: str) -> str:
    """Return the verdict on the only string."""
    match check.verdict_of(check.sheet.strings[0]):
        case "held":
            return f"The magnets hold {string} on a face: more gap or weaker magnets first."
        case "undriven":
            return f"It does not start, as no loop has a head under {string}."
        case "silent":
            return not_starting(check, string)
    likely, first = check.saturated.likely(string), check.fastest(string)
    if likely is None:
        return f"It starts: {grows(first)}; where it settles is not known without a run." if first else not_starting(check, string)
    return f"It starts{_begun(likely, first)}{_end(likely)}."


def grows(first: PartialCheck) -> str:
    """Return which partial comes up first, and how fast."""
    return f"{partial(first)} grows by {figures(first.growth_rate_per_s)} per s"


def partial(own: PartialCheck) -> str:
    """Return a partial's number and pitch."""
    aside = " sideways" if own.polarisation else ""
    return f"partial {own.partial}{aside} ({own.frequency_Hz:.1f} Hz)"


def _begun(likely: Steady, first: PartialCheck | None) -> str:
    """Return what comes up first and what is left in the end."""
    if first is None:
        told = f"partial {likely.partial} ({likely.frequency_Hz:.1f} Hz)"
        return f": {told} would not grow from nothing, but its start is strong enough, and it settles"
    if (first.partial, first.polarisation) == (likely.partial, 0):
        return f": {grows(first)} and settles"
    return f": {grows(first)}, but in the end partial {likely.partial} ({likely.frequency_Hz:.1f} Hz) leads"


def _end(likely: Steady) -> str:
    if likely.touches:
        return f" only on the face of {likely.nearest}: it will buzz" if likely.nearest else " only on a face: it will buzz"
    return f", {figures(MM * likely.clearance_m)} mm clear of {likely.nearest}" if likely.nearest else ""


def not_starting(check: Check, string: str) -> str:
    """Return what is in the way of a string that nothing makes grow."""
    dead = [word for word in check.sheet.words if word.startswith("Loop ") or word.startswith("The input offset")]
    if dead:
        return f"It does not start. {dead[0]}"
    pushed = [end for end in check.ends_of(string) if end.lasts]
    if pushed:
        end = pushed[0]
        return f"It does not start by itself; set going hard enough, partial {end.partial} ({end.frequency_Hz:.1f} Hz) would last."
    return f"It does not start: {_lacking(check, string)}."


def _lacking(check: Check, string: str) -> str:
    """Return which partial comes nearest to growing, or what the other polarity would do."""
    within = [own for own in check.small.partials if own.string == string and own.share is not None]
    near = max(within, key=lambda own: own.margin_dB, default=None)
    lacks = "no gain makes a partial grow" if near is None else f"{partial(near)} comes nearest, and lacks {figures(-near.margin_dB, 2)} dB"
    other = max(check.partials_of(string), key=lambda own: own.reversed_growth_per_s)
    if other.reversed_growth_per_s <= 0.0:
        return lacks
    return f"{lacks}; with the polarity reversed partial {other.partial} would grow, by {figures(other.reversed_growth_per_s)} per s"
