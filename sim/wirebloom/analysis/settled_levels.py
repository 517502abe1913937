"""A steady state in plain numbers: gaps, levels, what its drive takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from wirebloom.analysis.candidates import State, Whirl
from wirebloom.analysis.envelopes import Envelopes
from wirebloom.kernels.layout import Floats
from wirebloom.take.check_saturated import HeadReach, Steady, Whirling

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled


def told(compiled: Compiled, state: State, likely: bool) -> Steady:
    """Plain numbers of a state."""
    flow, size = state.flow, np.abs(state.solved.a[0])
    heads = _heads(compiled, state)
    nearest = min(heads, key=lambda own: own.least_gap_m)
    bridge = flow.basis.model.strings.bridge[flow.string, flow.partials - 1] * size
    loop = loop_of(flow)
    volts, amperes = drive(state, loop)
    return Steady(
        string=compiled.rig.strings[flow.string].name,
        partial=state.partial,
        frequency_Hz=float((flow.omega + state.solved.shift) / (2.0 * np.pi)),
        amplitude_m=float(size[0]),
        clearance_m=0.0 if state.touches else max(0.0, nearest.least_gap_m),
        nearest=nearest.head,
        touches=state.touches,
        bridge_force_N=float(np.linalg.norm(bridge)),
        partials_m=tuple((int(n), float(own)) for n, own in zip(flow.partials, size, strict=True)),
        heads=heads,
        loop=compiled.rig.loops[loop].name if loop >= 0 else "",
        drive_rms_V=float(np.sqrt((volts**2).mean())),
        drive_rms_A=float(np.sqrt((amperes**2).mean())),
        drive_power_W=float((volts * amperes).mean()),
        rival_growth_per_s=state.rival.growth,
        rival=state.rival.partial,
        lasts=state.lasts,
        likely=likely,
        whirl=None if state.whirl is None else _whirled(state.whirl),
    )


def _whirled(whirl: Whirl) -> Whirling:
    towards, sideways = np.abs(whirl.a[:, 0])
    return Whirling(float(towards), float(sideways), whirl.omega / (2.0 * np.pi), max(0.0, whirl.gap), whirl.growth)


def _heads(compiled: Compiled, state: State) -> tuple[HeadReach, ...]:
    """Gaps over one period at every head under the string."""
    flow, model, lead = state.flow, state.flow.basis.model, set(compiled.parts.lead.tolist())
    gaps = model.poles.gap[flow.poles][:, None] - state.period.moved[0, :, 0]
    rows = [(compiled.parts.poles[j].head.name, gap) for j, gap in zip(flow.poles, gaps, strict=True) if int(j) in lead]
    return tuple(HeadReach(name, float(gap.min()), float(gap.max())) for name, gap in rows)


def loop_of(flow: Envelopes) -> int:
    """First loop that drives the string, −1: none."""
    circuits = flow.basis.model.poles.circuit[flow.poles]
    driven = circuits[(circuits >= 0) & (circuits % 2 == 1)]
    return int(driven[0] // 2) if driven.size else -1


def drive(state: State, loop: int) -> tuple[Floats, Floats]:
    """Voltage at a loop's output and current in its drive coils through one period (M,), both about rest, V and A."""
    flow, period, model = state.flow, state.period, state.flow.basis.model
    if loop < 0:
        return np.zeros(flow.samples), np.zeros(flow.samples)
    output = model.network.meter[[model.coils.area.size // 2 + loop]]
    volts = flow.electric.read(output, period.flux, period.answer)[0, 0] - float(output[0] @ flow.basis.point.z)
    return volts, period.answer.current[0, 2 * loop + 1]
