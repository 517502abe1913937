"""Where a string ends up, without a run: steady states of the slow flow around its loop, which of them last, which the start leads to.

1. Every partial alone at ten sizes (`describing`): where its growth falls through zero there is a candidate.
2. Harmonic balance (`balance`): the candidate with all that its harmonics drive, and its pitch.
3. Does another partial grow on top of it, or motion across the heads? The eigenvalues of the slow flow there (`candidates`).
4. Of several that last, a race from the rig's own start (`race`).

Left out: what happens against a face, other strings of the same loop, current limits, and states in which partials that are no multiples
of one another share the drive for good: those are faint, of a string that trembles at the onset of clipping.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.analysis.begun import begun
from wirebloom.analysis.candidates import OWN_SAMPLES, SAMPLES, State, candidate
from wirebloom.analysis.describing import Crossing, Growths, crossings, growths, reaches
from wirebloom.analysis.envelopes import Envelopes
from wirebloom.analysis.race import winner
from wirebloom.analysis.settled_levels import told
from wirebloom.analysis.strand import Basis, basis_of
from wirebloom.kernels.layout import Floats
from wirebloom.take.check_saturated import Saturated, Steady

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

PARTIALS = 12  # looked at, or all there are
FEW = 8  # partials that half the samples do for
MOST = 5  # candidates a string that are looked into, those first that fill most of the gap
# Of an amplitude, where the state met is one of these. On 36 random rigs that this was developed with, clear of the faces: half below
# 0.0016, nine in ten below 0.007, all below 0.014.
ERROR = 0.01


def saturated(compiled: Compiled) -> Saturated:
    """Steady states of every string of a compiled rig.

    Parameters
    ----------
    compiled : Compiled

    Returns
    -------
    Saturated

    Examples
    --------
    >>> from wirebloom.analysis.saturated import saturated
    >>> from wirebloom.compile import compile_rig
    >>> from wirebloom.rig import load
    >>> state = saturated(compile_rig(*load("first_note"))).likely("pier")
    >>> state.partial, state.touches
    (1, False)
    """
    basis = basis_of(compiled.model, compiled.rest)
    found = [state for s in range(len(compiled.rig.strings)) for state in string_states(compiled, basis, s)]
    return Saturated(tuple(found), ERROR, compiled.plan.start.kind)


def string_states(compiled: Compiled, basis: Basis, string: int) -> list[Steady]:
    """Steady states of one string, the others still; those that are likely and last first."""
    frequency = basis.model.strings.frequency[string, 0]
    alive = int(np.count_nonzero(frequency > 0.0))
    flow = Envelopes(basis, string, np.arange(1, min(PARTIALS, alive) + 1), float(frequency[0]), SAMPLES)
    if not np.any(basis.model.poles.circuit[flow.poles] >= 0):
        return []
    scan = growths(flow)
    states = [state for crossing in _chosen(flow, scan) if (state := candidate(flow, crossing, alive)) is not None]
    best = _likely(compiled, flow, scan, states)
    found = [told(compiled, state, state is best) for state in states]
    return sorted(found, key=lambda own: (not own.likely, not own.lasts, -own.bridge_force_N))


def _chosen(flow: Envelopes, scan: Growths) -> list[Crossing]:
    """Candidates, those first that fill most of the gap: they are the ones that can quench the others."""
    reach = reaches(flow)
    return sorted(crossings(flow, scan), key=lambda own: -own.amplitude / reach[own.partial - 1])[:MOST]


def _likely(compiled: Compiled, flow: Envelopes, scan: Growths, states: list[State]) -> State | None:
    """The state that the rig's own start leads to, by rounds of two; None if it leads to silence."""
    lasting, first = [state for state in states if state.lasts], begun(compiled, flow)
    if not lasting or not _starts(scan, first):
        return None
    best = lasting[0]
    for other in lasting[1:]:
        pair = (best.partial - 1, other.partial - 1)
        if pair[0] != pair[1]:
            best = best if winner(_shared(flow, max(pair) + 1), pair, first) == pair[0] else other
    return best


def _shared(flow: Envelopes, most: int) -> Envelopes:
    """A flow with no more partials than two of them ask for."""
    few = max(most, 4)
    return Envelopes(flow.basis, flow.string, flow.partials[:few], flow.omega, OWN_SAMPLES if few <= FEW else flow.samples)


def _starts(scan: Growths, first: Floats) -> bool:
    """Whether any partial grows at the size that it begins with."""
    rows = zip(first, scan.amplitude, scan.growth, strict=True)
    return any(np.interp(np.log(size), np.log(row), grown) > 0.0 for size, row, grown in rows)
