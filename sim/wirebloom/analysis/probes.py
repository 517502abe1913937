"""How near a changed rig is to passing one verdict, in milliseconds: what a search for the least change steers by."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from wirebloom.analysis.candidates import OWN_SAMPLES
from wirebloom.analysis.describing import growths
from wirebloom.analysis.failures import CLEAR, MARGIN_DB, SOON, latest
from wirebloom.analysis.rises import Rise, flow_of, rises
from wirebloom.analysis.saturated import FEW
from wirebloom.analysis.squeal import GROWS, Change, changed, electronics, fastest
from wirebloom.analysis.strand import basis_of

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

SURE = 1e3  # added to the score of a string that starts at all: above any growth, 1/s over its decay
WORST = -1e9  # of what cannot be, or would need another cure first


class Probe(NamedTuple):
    """Whether it passes, and a score that rises towards that."""

    passes: bool
    score: float


def probe(compiled: Compiled | None, string: int, kind: str, wanted: int | None = None) -> Probe:
    """Look at one string of a rig (None: one that cannot be built, or hang clear) for one kind of failure."""
    if compiled is None:
        return Probe(False, WORST)
    if kind == "latched":
        return Probe(True, 0.0)
    if kind == "squeals":
        return _quiet(compiled)
    flow = flow_of(basis_of(compiled.model, compiled.rest), string, FEW, OWN_SAMPLES)
    scan = growths(flow)
    found = [own for own in rises(compiled, flow, scan) if np.isfinite(own.time_s)]
    if not found:
        most = float((scan.growth[:, 0] / flow.decay[0]).max())
        return Probe(False, min(most, SURE - 1.0) if kind in ("silent", "late") else WORST)
    return _sounding(found, kind, SOON * latest(compiled.plan.duration), wanted)


def _quiet(compiled: Compiled) -> Probe:
    """Its electronics, with as much more crosstalk as a cure must leave."""
    bench, more = electronics(compiled), 10.0 ** (MARGIN_DB / 20.0)
    grows = [fastest(changed(bench, a, Change(mutual=more, stray=more))).real for a in range(len(compiled.rig.loops))]
    worst = max(grows, default=-np.inf)
    return Probe(worst <= GROWS, -worst)


def _sounding(found: list[Rise], kind: str, last: float, wanted: int | None) -> Probe:
    """A string that starts: by what quenches the others, or by the partial that is wanted."""
    lead = found[0]
    in_time = lead.time_s <= last
    if kind in ("silent", "late"):
        return Probe(in_time, SURE - float(np.log(max(lead.time_s, 1e-6))))
    if not in_time:
        return Probe(False, WORST)
    if kind == "touches":
        return Probe(lead.share < 1.0 / (1.0 + CLEAR), -lead.share)
    strength = {own.partial: own.partial * own.amplitude for own in found}
    ahead = np.log(strength.get(wanted or 0, 1e-12) / max(strength.values()))
    return Probe(lead.partial == wanted, float(ahead))
