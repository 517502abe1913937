"""What a sheet for a head says of one string over it."""

from __future__ import annotations

import numpy as np

from wirebloom.take.head_parts import MagnetSheet
from wirebloom.take.head_study import HeadString, RestSheet
from wirebloom.views.amounts import amount, figures
from wirebloom.views.verdict_rows import EQUILIBRIA

MM = 1e3
NOTICED = 0.01  # share of a magnet or of its remanence from which it is told


def string_words(string: HeadString) -> str:
    """Say what the head does to the string, with the bands, and how the string is set over it."""
    here = "" if string.stands else ", as if it ran over the middle of the face"
    beside = f", {millimetres(abs(string.offset_m))} beside the axis" if abs(string.offset_m) >= 5e-6 else ""
    placed = f"{MM * string.diameter_m:.2f} mm {string.material}, {_gap_there(string)}{beside}{here}"
    if string.factor_N_per_A == string.rest.pull_N == 0.0:
        return f"neither pulled nor heard without magnets: {placed}"
    factor = f"{amount(string.factor_N_per_A, 'N/A')}{_band(string.factor_band_N_per_A, 'N/A')}"
    return f"{factor}, pulled with {amount(string.rest.pull_N, 'N')}{_band(string.pull_band_N, 'N')}: {placed}"


def _gap_there(string: HeadString) -> str:
    """Return the gap that the figures are for: the magnets have drawn the string nearer than it was set."""
    set_to, there = millimetres(string.gap_m), millimetres(string.rest.rest_gap_m)
    return f"gap {set_to}" if there == set_to else f"gap {there} at rest ({set_to} as set)"


def times(strong: float) -> str:
    """Return how many times as strong, so that it does not read as 1."""
    return f"{figures(strong, 2 if strong >= 1.1 else 3)} times as strong"


def _band(band: tuple[float, float] | None, unit: str) -> str:
    return "" if band is None else f" ({span(*band, unit)})"


def span(low: float, high: float, unit: str) -> str:
    """Return a range, with its unit once where both ends have the same."""
    (least, first), (most, last) = (amount(end, unit, 2).split(" ", 1) for end in (low, high))
    return f"{least} to {most} {last}" if first == last or low == 0.0 else f"{least} {first} to {most} {last}"


def rest_words(string: HeadString) -> str:
    """Say how it rests, and what a feeler gauge finds there."""
    rest = string.rest
    if rest.kind == "latched":
        return EQUILIBRIA["latched"]
    if not rest.pulls_N.any() and rest.softness == 0.0:
        return f"{EQUILIBRIA[rest.kind]}, at the gap as set"
    drawn = f", {amount(abs(rest.side_m), 'm', 2)} drawn aside" if abs(rest.side_m) >= 1e-6 else ""
    return (
        f"{EQUILIBRIA[rest.kind]}; a feeler gauge finds {MM * rest.rest_gap_m:.2f} mm with the magnets in where {MM * string.gap_m:.2f} mm "
        f"is meant with the string straight{drawn}; the magnets take {_percent(rest.softness)} of its stiffness "
        f"({figures(rest.stiffness_N_per_m[0])} N/m)"
    )


def magnet_words(magnet: MagnetSheet) -> str:
    """Say where on its curve a magnet works, and what of it is lost."""
    point = f"{amount(magnet.flux_density_T, 'T')} at {amount(magnet.field_A_per_m, 'A/m')} in the mean"
    lost = f", {_percent(1.0 - magnet.left)} of its remanence lost" if 1.0 - magnet.left > NOTICED else ""
    past = f", {_percent(magnet.past_knee)} of it past the knee of its grade" if magnet.past_knee > NOTICED else ""
    return f"{point}{lost}{past}"


def gap_words(rest: RestSheet) -> str:
    """Say at which gaps it hangs clear, can stay on a face, and is safe."""
    least, most = float(rest.gap_m[0]), float(rest.gap_m[-1])
    parts = []
    if rest.latches_to_m != 0.0:
        parts.append(f"cannot hang clear up to {millimetres(rest.latches_to_m or most)}")
    if rest.sticks_to_m not in (0.0, rest.latches_to_m):
        parts.append(f"can stay on a face up to {millimetres(rest.sticks_to_m or most)}")
    strong = times(rest.strong_pull)
    together = f" (with {' and '.join(rest.together)} at the same gap)" if rest.together else ""
    if rest.safe_m == 0.0 and not rest.pulls_N.any():
        return f"hangs clear at every gap from {millimetres(least)} on{together}: nothing pulls it"
    if rest.safe_m == 0.0:
        return f"hangs clear at every gap from {millimetres(least)} on{together}, and no face can hold it, even if the pull were {strong}"
    if rest.safe_m is None:
        parts.append(f"if the pull is {strong}, no gap up to {millimetres(most)} is safe")
    else:
        parts.append(f"even if the pull were {strong}, safe from {millimetres(rest.safe_m)} on")
    return "; ".join(parts) + together


def side_words(string: HeadString) -> str:
    """Say whether the magnets hold it sideways or draw it off."""
    rest, own = string.rest, string.rest.stiffness_N_per_m[1]
    if not rest.side_N_per_m.any():
        return "nothing holds it sideways or draws it off"
    offset = np.linspace(rest.side_offset_m[0], rest.side_offset_m[-1], 400)
    added = np.interp(offset, rest.side_offset_m, rest.side_N_per_m[_as_set(rest)])
    here = f"at its place the magnets {'add' if rest.magnet_N_per_m[1] >= 0.0 else 'take'} {_percent(abs(rest.magnet_N_per_m[1]) / own)}"
    worst = int(added.argmin())
    if added[worst] >= -1e-4 * own:
        return f"{here} of its stiffness, and nowhere beside the axis do they draw it off"
    if -added[worst] < own:
        place = millimetres(round(abs(float(offset[worst])), 4))
        return f"{here} of its stiffness; they take most, {_percent(-added[worst] / own)}, {place} beside the axis"
    snaps = np.abs(offset[added < -own])
    nearest, furthest = (millimetres(round(float(end), 4)) for end in (snaps.min(), snaps.max()))
    return f"{here} of its stiffness; set {nearest} to {furthest} beside the axis it would snap aside"


def _as_set(rest: RestSheet) -> int:
    """Return the row of the stiffness sideways that is for the gap at rest, or as set where the string lies on a face."""
    return rest.side_gap_m.size // 2


def _percent(share: float) -> str:
    return f"{figures(100.0 * share, 2)} %" if share >= 1e-4 else "less than 0.01 %"


def millimetres(length: float) -> str:
    """Return a length (m) in millimetres."""
    return f"{figures(MM * length)} mm"
