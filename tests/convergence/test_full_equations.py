"""The time loop against the full continuous equations, integrated by scipy's solve_ivp (DOP853, rtol 1e-10).

| rig                                  | slope of log error over 4 octaves | error at 96 kHz |
|--------------------------------------|-----------------------------------|-----------------|
| smooth (no limit reached)            | 1.9 – 2.1                         | ≤ 1e-3          |
| smooth, finger and output capacitor  | 1.9 – 2.1                         | ≤ 1e-3          |
| amplifier at its rails               | 1.6 – 2.4                         | ≤ 3e-3          |
| string hitting the face              | above 0.7                         | ≤ 5e-3          |

The error is the worst, over 20 moments of 20 ms, of the modal energy norm of the difference over that of the state; the
flux linkages, the amplifier's output and the capacitor's voltage are held to the same slope by their rms. (The sense node
is left out: it carries a ring of the coil's own resonance, microvolts at 70 kHz, that no audio step resolves.) A force
half a step late, a kick of full instead of half length, a ledger of voltages at the wrong end of the step or an
unsymmetrical order of sub-steps costs an order; a wrong coefficient leaves an error that no refinement removes.
"""

from dataclasses import replace
from typing import NamedTuple

import numba
import numpy as np
import pytest

from twins import compiled, rigs
from twins.equations import pack, reference, unpack
from twins.scheme import rotate
from wirebloom.kernels import loop

pytestmark = pytest.mark.skipif(bool(numba.config.DISABLE_JIT), reason="reference runs need compiled equations")
RATES = (48e3, 96e3, 192e3, 384e3, 768e3, 1536e3)
FITTED = slice(1, None)  # four octaves; at 48 kHz the coil's resonance, which no audio step resolves, adds to the electrical error
SPAN, MOMENTS = 20e-3, 20
HEADS = (rigs.exponential_head(), rigs.exponential_head(factor=0.012))
POLES = (
    rigs.Pole(head=0, position=0.26, circuit=0),
    rigs.Pole(head=1, position=0.186, circuit=1, gap=1.2e-3, offset=3e-4),
)
# A node capacitance fifteen times the usual one moves the coil's resonance to 70 kHz, where an explicit reference can follow.
LOOP = rigs.Loop(node_capacitance=2e-9, mutual=1e-6, low=-50.0, high=50.0)
SMOOTH = rigs.Rig(heads=HEADS, poles=POLES, loops=(LOOP,))
RIGS = {
    "smooth": SMOOTH,
    "finger": replace(SMOOTH, loops=(replace(LOOP, elastance=1e4, gain=400.0),), dampers=(rigs.Damper(),)),
    "rails": replace(SMOOTH, loops=(replace(LOOP, gain=1e5, slew=1e9, low=-3.0, high=3.0),)),
    "stiff": replace(SMOOTH, loops=(replace(LOOP, node_capacitance=1.3e-10),)),
    "face": replace(
        SMOOTH,
        wires=(rigs.Wire(partials=16),),
        poles=(POLES[0], replace(POLES[1], gap=1.5e-4)),
        contacts=(rigs.Contact(pole=1, stiffness=1e6),),
    ),
}


class Study(NamedTuple):
    """Errors at the RATES: worst of the modes, rms of the electrical states."""

    modes: np.ndarray
    electrical: np.ndarray

    def slopes(self):
        octaves = np.log2(RATES[FITTED])
        return [float(-np.polyfit(octaves, np.log2(error[FITTED]), 1)[0]) for error in self]

    def __str__(self):
        rows = [f"{rate / 1e3:6.0f} kHz  modes {m:.2e}  electrical {e:.2e}" for rate, m, e in zip(RATES, *self, strict=True)]
        return "\n".join([*rows, f"slopes {self.slopes()}"])


def study(name, height=2e-4):
    rig = RIGS[name]
    model = rigs.build(rig, RATES[0])
    start = pack(rigs.plucked_state(model, rig, height=height))
    exact = reference(model, start, np.linspace(0, SPAN, MOMENTS + 1), flow=compiled.flow(model))[1:]
    errors = [differences(model, time_loop(rig, rate, height), exact) for rate in RATES]
    return Study(*np.array(errors).T)


def time_loop(rig, rate, height):
    """Packed states at whole steps, MOMENTS of them."""
    model, steps = rigs.build(rig, rate), round(SPAN * rate / MOMENTS)
    state = rigs.plucked_state(model, rig, height=height)
    inputs, record = rigs.quiet_inputs(model, steps), rigs.empty_record(model, steps)
    loop.begin(model, state)
    seen = []
    for _ in range(MOMENTS):
        assert loop.advance(model, state, inputs, record)[0] == 0
        q, v = rotate(model.back, state.q, state.v)
        seen.append(pack(state._replace(q=q, v=v)))
    return np.array(seen)


def differences(model, ours, exact):
    modes = [modal_size(model, ours[t] - exact[t]) / modal_size(model, exact[t]) for t in range(MOMENTS)]
    ours, exact = slow_electrical(model, ours), slow_electrical(model, exact)
    size = np.abs(exact).max(axis=0)
    alive = size > 0
    return max(modes), float(np.sqrt(np.mean(((ours - exact)[:, alive] / size[alive]) ** 2)))


def slow_electrical(model, run):
    return np.array([np.concatenate([unpack(model, y)[name] for name in ("flux", "output", "capacitor")]) for y in run])


def modal_size(model, y):
    state = unpack(model, y)
    return np.sqrt(np.sum((model.strings.frequency * state["q"]) ** 2 + state["v"] ** 2))


@pytest.mark.parametrize("name", ["smooth", "finger", pytest.param("stiff", marks=pytest.mark.slow)])
def test_smooth_rig_is_of_second_order(name):
    found = study(name)
    modes, electrical = found.slopes()
    assert 1.9 <= modes <= 2.1, f"{name}\n{found}"
    # "stiff": the coil rings at 275 kHz, which only the two finest rates resolve; coarser ones add to the error (measured: 2.105).
    assert 1.9 <= electrical <= (2.2 if name == "stiff" else 2.1), f"{name}\n{found}"
    assert found.modes[1] <= 1e-3, f"{name}\n{found}"
    assert found.electrical[1] <= 1e-3, f"{name}\n{found}"


def test_clamped_amplifier_keeps_most_of_the_order():
    found = study("rails")
    assert all(1.6 <= slope <= 2.4 for slope in found.slopes()), str(found)
    assert found.modes[1] <= 3e-3, str(found)


def test_contact_converges_to_the_power_law():
    """Drawn away from the face and let go: first touch after half a period, several touches in the span."""
    found = study("face", height=-4e-4)
    assert found.slopes()[0] >= 0.7, str(found)
    assert found.modes[1] <= 5e-3, str(found)
