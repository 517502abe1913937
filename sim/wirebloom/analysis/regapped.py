"""A compiled rig with heads at other gaps, as far as small motions ask for it: poles, shape weights and rest; everything else as it was."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from wirebloom.analysis.benches import benches_of
from wirebloom.analysis.motional import Bench
from wirebloom.analysis.nearby_rest import nearby_rest
from wirebloom.compile.circuits import circuits_of
from wirebloom.compile.loads import split, whole
from wirebloom.compile.poles import Pole, aperture_weights, lay_out_poles

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled


def regapped(compiled: Compiled, gaps: Mapping[int, float]) -> tuple[Bench, ...] | None:
    """Benches with some poles at other gaps.

    Parameters
    ----------
    compiled : Compiled
    gaps : mapping of int to float
        Poles of the rig, by number, and their gaps, m.

    Returns
    -------
    tuple of Bench or None
        None where a string no longer hangs clear.
    """
    poles = tuple(_at(compiled, pole, gaps[j]) if j in gaps else pole for j, pole in enumerate(compiled.poles))
    parts = split(poles, compiled.modes) if compiled.plan.loads == "separate" else whole(poles)
    model = compiled.model._replace(poles=lay_out_poles(parts.poles, circuits_of(compiled.rig), compiled.modes))
    rest = nearby_rest(model, poles, compiled.modes, parts.still, compiled.rest)
    return None if rest is None else benches_of(model, rest)


def _at(compiled: Compiled, pole: Pole, gap: float) -> Pole:
    place = pole.place.model_copy(update={"gap": gap})
    return replace(pole, place=place, weight=aperture_weights(pole.table, place, compiled.modes[pole.string]))
