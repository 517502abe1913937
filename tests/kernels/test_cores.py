"""A solid core in the time loop against its two stages on paper, by sines at the middle of the loop's way.

A stray field drives a shorted sense coil: i = −A dB/dt/(R + jωL(ω)), L(ω) = L∞ + Σ L_k R_k/(R_k + jωL_k), and pulls at a string that
does not give way: F = K(ω) i, K(ω)/K(0) = 1 − Σ κ_k jωL_k/(R_k + jωL_k). A coil that sees its core's currents with the wrong sign,
a string that sees the coil's current alone, a heat booked at the wrong circuit shows.
"""

from dataclasses import replace

import numpy as np
import pytest

from twins import rigs
from wirebloom.kernels import loop

RATE, AREA, FACTOR = 96_000.0, 0.02, 0.0144
CORE = rigs.Core(0, (0,), inductance=(1.1e-4, 4.3e-4), resistance=(0.4, 30.0), share=(0.06, 0.2))
SHORTED = rigs.Loop(sense_area=AREA, node_conductance=1e3, node_capacitance=1e-9, rate=0.0)
RIG = rigs.Rig(
    wires=(rigs.Wire(density=1e6, partials=1),),  # heavy: it stays where it is
    heads=(rigs.linear_head(FACTOR),),
    poles=(rigs.Pole(circuit=0, sign=-1.0),),
    loops=(SHORTED,),
    cores=(CORE,),
    gap_nodes=np.linspace(-2e-4, 5.8e-3, 31),
    offset_nodes=np.linspace(-3e-3, 3e-3, 13),
)


def response(rig, hertz, periods=400):
    """Complex current per rise of the field and force per current at a frequency, by the last tenth of a long sine; and the state."""
    model = rigs.build(rig, RATE)
    steps = round(periods * RATE / hertz)
    inputs = rigs.quiet_inputs(model, steps)
    sine = np.exp(2j * np.pi * hertz * (np.arange(steps) + 0.5) / RATE)
    inputs.stray[:] = sine.real
    state, record = rigs.resting_state(model), rigs.empty_record(model, steps)
    assert loop.advance(model, state, inputs, record)[0] == loop.DONE
    late = slice(-round(periods / 10 * RATE / hertz), None)
    current, force = (2 * np.mean(part[late] * sine[late].conj()) for part in (record.current[:, 0], record.force[:, 0, 0]))
    return current, force / current, state


def stages(core, hertz):
    """jωL_k/(R_k + jωL_k), with the midpoint rule's own frequency (2/h) tan(ωh/2)."""
    omega = 2 * RATE * np.tan(np.pi * hertz / RATE)
    turned = 1j * omega * np.array(core.inductance)
    return omega, turned / (np.array(core.resistance) + turned)


@pytest.mark.parametrize("hertz", [100.0, 1000.0, 8000.0])
def test_current_meets_the_inductance_of_that_frequency(hertz):
    omega, lag = stages(CORE, hertz)
    inductance = SHORTED.sense_inductance - lag @ np.array(CORE.inductance)
    assert response(RIG, hertz)[0] == pytest.approx(-AREA / (SHORTED.sense_resistance + 1e-3 + 1j * omega * inductance), rel=2e-4)


@pytest.mark.parametrize("hertz", [100.0, 1000.0, 8000.0])
def test_force_follows_the_flux_through_the_string(hertz):
    _, lag = stages(CORE, hertz)
    assert response(RIG, hertz)[1] == pytest.approx(-FACTOR * (1 - lag @ np.array(CORE.share)), rel=2e-4)


def test_ledger_books_what_the_field_gives():
    """All of it ends as heat at the sense side, in copper and core, but for the little that is stored."""
    _, _, state = response(RIG, 1000.0)
    assert state.noise_work[0] == pytest.approx(state.sense_heat[0], rel=1e-2)
    assert state.drive_heat[0] == 0.0
    copper = response(replace(RIG, cores=()), 1000.0)[2]
    assert state.sense_heat[0] != pytest.approx(copper.sense_heat[0], rel=1e-3)


def test_stages_without_resistance_take_their_inductance_off():
    perfect = replace(CORE, resistance=(0.0, 0.0))
    less = replace(SHORTED, sense_inductance=SHORTED.sense_inductance - sum(CORE.inductance))
    held, bare = response(replace(RIG, cores=(perfect,)), 1000.0), response(replace(RIG, loops=(less,), cores=()), 1000.0)
    assert held[0] == pytest.approx(bare[0], rel=1e-9)
    assert held[1] == pytest.approx(-FACTOR * (1 - sum(CORE.share)), rel=1e-9)
