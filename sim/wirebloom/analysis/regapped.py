"""One string of a rig with heads at other gaps, as far as small motions ask for it; all that no gap changes is taken over.

Electronics stand as they did. The string rests elsewhere, over other slopes of its heads' tables, and its heads' inductances change
by what the string adds: the columns of A at the fluxes are N L⁻¹, with the same N.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from wirebloom.analysis.benches import Laid, strand
from wirebloom.analysis.linear import at_rest_under
from wirebloom.analysis.modes import only_string
from wirebloom.analysis.motional import Bench
from wirebloom.analysis.nearby_rest import string_at_rest
from wirebloom.compile.loads import split, whole
from wirebloom.compile.poles import Pole, aperture_weights
from wirebloom.compile.strings import padded
from wirebloom.kernels.layout import Floats, Ints, Model

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled


class Held(NamedTuple):
    """What stays as the gaps of one string's heads change."""

    compiled: Compiled
    s: int
    model: Model  # with that string alone
    amperes: Floats  # (C,) steady
    bench: Bench  # as it stands
    kept: Ints  # (c,) the bench's fluxes among all
    own: Floats  # (C + 2H,) H of every flux with that string alone, as it stands


def string_held(compiled: Compiled, laid: Laid, s: int) -> Held:
    """Prepare one string of a rig whose benches are laid out."""
    number = next(k for k, bench in enumerate(laid.benches) if any(one.place[0][0] == s for one in bench.strands))
    model = only_string(compiled.model, s)
    _, magnets = at_rest_under(model, laid.rest[s : s + 1], laid.amperes)
    return Held(compiled, s, model, laid.amperes, laid.benches[number], laid.fluxes[number], np.diag(magnets.inductance))


def regapped(held: Held, gaps: Mapping[int, float]) -> Bench | None:
    """The string's bench with some of its poles at other gaps.

    Parameters
    ----------
    held : Held
    gaps : mapping of int to float
        Poles of the rig, by number, and their gaps, m.

    Returns
    -------
    Bench or None
        None where the string no longer hangs clear.
    """
    compiled, s = held.compiled, held.s
    poles = [_at(compiled, pole, gaps.get(j)) for j, pole in enumerate(compiled.poles) if pole.string == s]
    parts = split(poles, compiled.modes) if compiled.plan.loads == "separate" else whole(poles)
    gap, count = np.array([pole.place.gap for pole in parts.poles]), held.model.poles.weight.shape[1]
    model = held.model._replace(poles=held.model.poles._replace(gap=gap, weight=padded([pole.weight for pole in parts.poles], count)))
    rest = string_at_rest(model, poles, compiled.modes[s], parts.still, compiled.rest[s])
    return None if rest is None else _bench(held, model, rest)


def _at(compiled: Compiled, pole: Pole, gap: float | None) -> Pole:
    if gap is None:
        return pole
    place = pole.place.model_copy(update={"gap": gap})
    return replace(pole, place=place, weight=aperture_weights(pole.table, place, compiled.modes[pole.string]))


def _bench(held: Held, model: Model, rest: Floats) -> Bench:
    q, magnets = at_rest_under(model, rest[None], held.amperes)
    bench, flux = held.bench, held.bench.flux
    inductance = bench.inductance + np.diag((np.diag(magnets.inductance) - held.own)[held.kept])
    matrix = bench.matrix.copy()
    matrix[:, flux] = matrix[:, flux] @ bench.inductance @ np.linalg.inv(inductance)
    own = strand(model, q, magnets, 0)
    own = own._replace(link=own.link[held.kept])
    strands = tuple(own._replace(place=one.place) if one.place[0][0] == held.s else one for one in bench.strands)
    return bench._replace(strands=strands, matrix=matrix, inductance=inductance)
