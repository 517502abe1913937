"""How large every partial is at first, roughly: by the thump of the switch-on, by noise, by a pluck or a tap."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.analysis.envelopes import Envelopes
from wirebloom.kernels.layout import Floats

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

LEAST = 1e-11  # m: noise leaves about as much
CALM = 1e-10  # m, of partial 1 by noise alone


def begun(compiled: Compiled, flow: Envelopes) -> Floats:
    """Amplitudes (N,) of a flow's partials, m: their order of size, not more."""
    kind = compiled.plan.start.kind
    if kind == "pluck":
        found = np.abs(compiled.state.q - compiled.rest)[flow.string, 0, flow.partials - 1]
    elif kind == "tap":
        found = _tapped(compiled, flow)
    elif kind == "switch-on":
        found = _thumped(compiled, flow)
    else:
        found = np.zeros(flow.partials.size)
    return np.asarray(np.maximum(np.asarray(found), np.maximum(CALM / flow.partials, LEAST)), dtype=np.float64)


def _tapped(compiled: Compiled, flow: Envelopes) -> Floats:
    """Impulse over ω, less what the push's own length takes off."""
    start, drivers = compiled.plan.start, compiled.model.drivers
    impulse = 0.5 * (start.force or 0.0) * (start.duration or 0.0)
    own = np.flatnonzero(drivers.string == flow.string)
    weight = np.abs(drivers.weight[own][:, flow.partials - 1]).max(axis=0, initial=0.0)
    turn = flow.frequency[0] * (start.duration or 0.0)
    return np.asarray(flow.inverse_mass * impulse * weight / flow.frequency[0] / (1.0 + (turn / (2.0 * np.pi)) ** 2))


def _thumped(compiled: Compiled, flow: Envelopes) -> Floats:
    """The current that charges a loop's output capacitor pulls at the string while the supply comes up."""
    model, point = compiled.model, flow.basis.point
    loops, inner = model.coils.area.size // 2, model.network.rate.shape[0]
    charge = (model.network.meter @ point.z)[2 * loops : 3 * loops]
    found = np.zeros(flow.partials.size)
    for k, j in enumerate(flow.poles):
        c = int(model.poles.circuit[j])
        if c < 0 or c % 2 == 0:
            continue
        resistance = -float(model.network.voltage[c, inner + c])
        amperes = abs(float(charge[c // 2])) / max(resistance, 1e-3) + abs(float(point.z[inner + c]))
        slope = flow.basis.ranges.read(int(j), np.array([model.poles.gap[j] - flow.basis.moved[j, 0]]))[1][0, 1]
        turn = flow.frequency[0] * compiled.plan.start.ramp
        found += np.abs(flow.inverse_mass * flow.weight[k] * slope * amperes / flow.frequency[0] ** 2) / (1.0 + turn)
    return found
