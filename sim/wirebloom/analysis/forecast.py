"""What is to be expected of a string, as verdicts judge it: does it start, how soon, on which partial, how clear of the faces; a squeal."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from wirebloom.analysis.candidates import candidate
from wirebloom.analysis.describing import crossings, growths
from wirebloom.analysis.envelopes import Envelopes
from wirebloom.analysis.rises import flow_of, heard, rises
from wirebloom.analysis.saturated import string_states
from wirebloom.analysis.settled_levels import told
from wirebloom.analysis.squeal import GROWS, Change, Electronics, begins, changed, electronics, fastest, most_crosstalk
from wirebloom.analysis.strand import Basis, basis_of
from wirebloom.take.check_prescriptions import Forecast

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled
    from wirebloom.take.check_saturated import Steady

MOST = 1e4  # times the crosstalk: beyond, nothing is looked for


def forecasts(compiled: Compiled) -> tuple[Forecast, ...]:
    """String by string.

    Parameters
    ----------
    compiled : Compiled

    Returns
    -------
    tuple of Forecast

    Examples
    --------
    >>> from wirebloom.analysis.forecast import forecasts
    >>> from wirebloom.compile import compile_rig
    >>> from wirebloom.rig import load
    >>> forecasts(compile_rig(*load("too_far")))[0].partial is None
    True
    """
    basis = basis_of(compiled.model, compiled.rest)
    return tuple(forecast(compiled, basis, s) for s in range(len(compiled.rig.strings)))


def forecast(compiled: Compiled, basis: Basis, string: int, partial: int | None = None) -> Forecast:
    """Of one string, the others still; on the partial that its start leads to, or on one that is given, as long as that lasts."""
    flow, state, equilibrium = flow_of(basis, string), None, compiled.sheet.strings[string].equilibrium
    free = heard(flow) and equilibrium != "latched"
    if free and partial is None:
        state = next((own for own in string_states(compiled, basis, string) if own.likely), None)
    elif free:
        state = _on(compiled, flow, partial)
    grows, margin = squeal(compiled, string)
    return Forecast(
        string=compiled.rig.strings[string].name,
        equilibrium=equilibrium,
        partial=None if state is None else state.partial,
        start_time_s=None if state is None else _start(compiled, flow, state.partial),
        clearance_mm=None if state is None else 1e3 * state.clearance_m,
        nearest="" if state is None else state.nearest,
        reach_mm=None if state is None else 1e3 * (_rest_gap(compiled, flow, state.nearest) - state.clearance_m),
        rival_per_s=None if state is None or not np.isfinite(state.rival_growth_per_s) else state.rival_growth_per_s,
        squeals=grows > GROWS,
        squeal_margin_dB=margin,
    )


def _on(compiled: Compiled, flow: Envelopes, partial: int | None) -> Steady | None:
    """The steady state on one partial; None where it does not last."""
    alive = int(np.count_nonzero(flow.basis.model.strings.frequency[flow.string, 0] > 0.0))
    own = [crossing for crossing in crossings(flow, growths(flow)) if crossing.partial == partial]
    states = [state for crossing in own[:1] if (state := candidate(flow, crossing, alive)) is not None and state.lasts]
    return told(compiled, states[0], likely=True) if states else None


def _start(compiled: Compiled, flow: Envelopes, partial: int) -> float | None:
    """Of a partial, s; where it needs another's help to get away, that of the soonest: the string sounds by then."""
    times = {own.partial: own.time_s for own in rises(compiled, flow) if np.isfinite(own.time_s)}
    return times.get(partial, min(times.values(), default=None))


def _rest_gap(compiled: Compiled, flow: Envelopes, head: str) -> float:
    """Of the string at rest over a head, m."""
    j = next(j for j in flow.poles if compiled.parts.poles[j].head.name == head)
    return float(flow.basis.model.poles.gap[j] - flow.basis.moved[j, 0])


def squeal(compiled: Compiled, string: int) -> tuple[float, float | None]:
    """Fastest growth of the electronics, 1/s, and by how many dB the crosstalk of the string's loops may rise.

    None: by any, or they squeal without any.
    """
    if not compiled.rig.loops:
        return -np.inf, None
    bench, name = electronics(compiled), compiled.rig.strings[string].name
    under = {head.name for head in compiled.rig.heads if any(place.string == name for place in head.places)}
    factors = []
    for a, loop in enumerate(compiled.rig.loops):
        most = most_crosstalk(bench.inductance, a)
        if under & {*loop.sense, *loop.drive} and (most < np.inf or bench.strays.size):
            found = begins(partial(_crossed, bench, a), min(most, MOST))
            factors += [found.factor] if found is not None else []
    worst = min(factors, default=0.0)
    return fastest(bench.matrix).real, 20.0 * float(np.log10(worst)) if worst > 0.0 else None


def _crossed(bench: Electronics, loop: int, factor: Any) -> Any:
    """Fastest eigenvalue with the crosstalk of one loop times a factor, or those of all factors (F,)."""
    return fastest(changed(bench, loop, Change(mutual=factor, stray=factor)))
