"""What `check` says of margins: how wide a gap may be, and how near a loop is to sounding by itself."""

from __future__ import annotations

from math import log10
from typing import TYPE_CHECKING

from wirebloom.views.amounts import amount, figures
from wirebloom.views.band_words import listed

if TYPE_CHECKING:
    from wirebloom.take.check_small import GapMargin, SquealMargin

GROWS = 1e-2  # 1/s: slower is no squeal


def gap_words(margin: GapMargin, several: bool) -> str:
    """Say up to which gap of these heads a string still starts."""
    name = margin.string if several else "it"
    now = listed([f"{figures(gap)} mm" for gap in dict.fromkeys(margin.gap_mm)])
    if margin.widest_mm is None:
        return f"{name} starts at none, as everything else is set (now {now})"
    widest = listed([f"{figures(gap)} mm" for gap in dict.fromkeys(round(own, 9) for own in margin.widest_mm)])
    more = "even at" if margin.limited else "up to"
    last = "" if margin.partial is None else f", at last on partial {margin.partial}"
    return f"{name} starts {more} {widest}{last} (now {now})"


def squeal_words(margin: SquealMargin) -> str:
    """Say how near a loop is to sounding without its strings."""
    if margin.growth_rate_per_s > GROWS:
        tone = f"at {amount(margin.frequency_Hz, 'Hz')}" if margin.frequency_Hz > 0.0 else "by flipping from limit to limit"
        return f"squeals with its strings held, {tone}{_cure(margin)}"
    if margin.crosstalk is None:
        told = ["keeps still with its strings held, whatever the crosstalk"]
    else:
        tone = "" if not margin.squeal_Hz else f" at {amount(margin.squeal_Hz, 'Hz')}"
        told = [f"keeps still with its strings held; would squeal{tone} with {_times(margin.crosstalk)}"]
    return ", ".join([*told, *_rest(margin)])


def _times(factor: float) -> str:
    return f"{figures(factor, 2)} times the crosstalk ({20.0 * log10(factor):.0f} dB)" if factor else "no crosstalk at all"


def _cure(margin: SquealMargin) -> str:
    parts = [f"less than {figures(margin.crosstalk, 2)} times the crosstalk"] if margin.crosstalk else []
    parts += [f"a gain below {figures(margin.gain, 2)}"] if margin.gain else []
    parts += [f"its heads more than {figures(margin.distance_mm, 2)} mm apart"] if margin.distance_mm else []
    return f"; {' or '.join(parts)} would silence it" if parts else ""


def _rest(margin: SquealMargin) -> list[str]:
    parts = [f"with its heads {figures(margin.distance_mm, 2)} mm apart"] if margin.distance_mm else []
    parts += [f"at a gain of {figures(margin.gain, 2)}"] if margin.gain else []
    turned = "one head's magnet turned over and its leads swapped"
    return parts + ([f"and with {turned} at {figures(margin.turned, 2)} times"] if margin.turned else [])
