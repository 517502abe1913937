"""Where a string ends up, without a run: steady states of the slow flow around its loop, which of them last, which the start leads to.

1. Every partial alone at ten sizes (`describing`): where its growth falls through zero there is a candidate.
2. Harmonic balance (`balance`): the candidate with all that its harmonics drive, and its pitch.
3. Does another partial grow on top of it, or motion across the heads? The eigenvalues of the slow flow there (`candidates`).
4. Of several that last, the slow flow from the rig's own start tells which (`race`).

Left out: what happens against a face, other strings of the same loop, current limits, and states in which partials that are no multiples
of one another share the drive for good: one steady rig in fifty or so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.analysis.begun import begun
from wirebloom.analysis.candidates import OWN_SAMPLES, SAMPLES, State, candidate
from wirebloom.analysis.describing import Crossing, Growths, crossings, growths, reaches
from wirebloom.analysis.envelopes import Envelopes
from wirebloom.analysis.race import End, winner
from wirebloom.analysis.settled_levels import told
from wirebloom.analysis.strand import Basis, basis_of
from wirebloom.kernels.layout import Floats
from wirebloom.take.check_saturated import Saturated, Steady

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

PARTIALS = 12  # looked at, or all there are
FEW = 8  # partials that half the samples do for
LEAST = 6  # partials that take part in a race
MOST = 5  # candidates a string that are looked into, those first that fill most of the gap
# Of an amplitude, where the state met is one of these. On 123 random rigs clear of the faces that this was not developed with: half
# below 0.0005, nine in ten below 0.003; six above this, the worst 0.32 off: there another partial, or a near twin of the state, has a part.
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
    return Saturated(tuple(found), ERROR, compiled.plan.start.kind, (*_latched(compiled), *_shared(compiled, found)))


def _latched(compiled: Compiled) -> list[str]:
    """Words for strings that hang on a face."""
    names = [
        string.name for string, sheet in zip(compiled.rig.strings, compiled.sheet.strings, strict=True) if sheet.equilibrium == "latched"
    ]
    return [f"{name} rests on a face: the motion of a string that beats there only a run can tell" for name in names]


def _shared(compiled: Compiled, found: list[Steady]) -> list[str]:
    """Words for loops that more than one string would settle on."""
    driven = {loop.name: dict.fromkeys(own.string for own in found if own.likely and own.loop == loop.name) for loop in compiled.rig.loops}
    return [
        f"{' and '.join(names)} share the loop {loop}: each is told as if the others kept still, but its amplifier serves all of them"
        for loop, names in driven.items()
        if len(names) > 1
    ]


def string_states(compiled: Compiled, basis: Basis, string: int) -> list[Steady]:
    """Steady states of one string, the others still; those that are likely and last first. None of a string that hangs on a face."""
    if compiled.sheet.strings[string].equilibrium == "latched":
        return []
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
    """The state that the rig's own start leads to; None if it leads to silence."""
    lasting, first = [state for state in states if state.lasts], begun(compiled, flow)
    if not lasting or not _starts(scan, first):
        return None
    if len(lasting) == 1:
        return lasting[0]
    most = max(*(state.partial for state in lasting), LEAST)
    few = Envelopes(flow.basis, flow.string, flow.partials[:most], flow.omega, OWN_SAMPLES)
    ends = [End(state.partial, float(np.abs(state.solved.a[0, 0]))) for state in lasting]
    return lasting[winner(few, first[:most], ends)]


def _starts(scan: Growths, first: Floats) -> bool:
    """Whether any partial grows at the size that it begins with."""
    rows = zip(first, scan.amplitude, scan.growth, strict=True)
    return any(np.interp(np.log(size), np.log(row), grown) > 0.0 for size, row, grown in rows)
