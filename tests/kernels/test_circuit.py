"""One step of coils and amplifiers against the implicit midpoint rule with a dense solve, from the continuous equations.

The equations are those of the twins, which were checked against energy balance and a circuit simulator; here they are
made a matrix by asking for their slope at every unit vector, and stepped by numpy's solver. Whatever the kernel
eliminates by hand (the node, the all-pass, the capacitor, the eddy currents of solid cores, the matrix of two loops) must come
out.
"""

from dataclasses import replace

import numpy as np
import pytest

from twins import rigs
from twins.equations import CIRCUIT_FIELDS, pack, rhs, unpack
from wirebloom.kernels import loop

RATE = 96_000.0
HEADS = (rigs.exponential_head(), rigs.exponential_head(factor=0.007, twist=0.05))
POLES = (
    rigs.Pole(head=0, position=0.2, circuit=0, gap=1e-3),
    rigs.Pole(head=1, position=0.25, circuit=1, gap=1.2e-3, sign=-1.0),
    rigs.Pole(head=0, position=0.3, circuit=2, gap=9e-4),
    rigs.Pole(head=1, position=0.1, circuit=3, gap=1e-3),
)
GENTLE = rigs.Loop(gain=200.0, mutual=3e-5, low=-1e9, high=1e9, slew=1e18)
CORES = (rigs.Core(0, (0,)), rigs.Core(1, (1,), inductance=(8e-4, 1.7e-3), resistance=(2.3, 83.0), share=(0.15, 0.35)))
SERIES = (CORES[0], rigs.Core(1, (1,), share=(-0.1, 0.3)), rigs.Core(1, ()))  # two heads in one drive circuit
COARSE = {"gap_nodes": np.linspace(-2e-4, 5.8e-3, 31), "offset_nodes": np.linspace(-3e-3, 3e-3, 13)}
LOOPS = {
    "plain": (GENTLE,),
    "capacitor": (replace(GENTLE, elastance=1e5, bias=2.0, offset=1e-3),),
    "all-pass": (replace(GENTLE, allpass_rate=1200.0, direct=-1.0, lagged=2.0, polarity=-1.0),),
    "loaded": (replace(GENTLE, node_conductance=1e-3, node_capacitance=1e-8, gain=1e5),),
    "solid": (replace(GENTLE, mutual=1e-6), CORES),
    "solid, in series": (replace(GENTLE, elastance=1e5, node_capacitance=1e-8), SERIES),
    "two": (replace(GENTLE, elastance=1e4), replace(GENTLE, gain=3e3, mutual=-1e-5, polarity=-1.0)),
}


def rig_of(parts):
    loops = [part for part in parts if isinstance(part, rigs.Loop)]
    cores = [core for part in parts if isinstance(part, tuple) for core in part]
    return rigs.Rig(heads=HEADS, poles=POLES[: 2 * len(loops)], loops=loops, cores=cores, **COARSE)


def start_of(model, seed):
    random = np.random.default_rng(seed)
    state = rigs.resting_state(model)
    state.q[:] = 2e-5 * random.standard_normal(state.q.shape)
    rigs.without_current(model, state)
    state.flux[:] += 1e-4 * random.standard_normal(state.flux.shape)
    state.eddy[:] += 2e-5 * random.standard_normal(state.eddy.shape)
    for name, size in (("node", 1e-3), ("allpass", 1e-3), ("output", 0.5), ("capacitor", 0.5)):
        getattr(state, name)[:] = size * random.standard_normal(getattr(state, name).shape)
    return state


def circuits_only(model, y):
    """Slopes of the circuit states alone, amplifiers off their rails."""
    modes = 2 * model.strings.frequency.size
    return rhs(model, 0.0, y, rails=np.zeros(len(model.amplifiers.gain), dtype=np.int64))[modes:]


def midpoint(model, state):
    """Circuit states one step later: (1 − hJ/2) z⁺ = (1 + hJ/2) z + h c, the strings held still."""
    y, h = pack(state), model.step
    modes = 2 * model.strings.frequency.size
    z = y[modes:]

    def slope(own):
        return circuits_only(model, np.concatenate([y[:modes], own]))

    constant = slope(0 * z)
    matrix = np.stack([slope(unit) - constant for unit in np.eye(z.size)], axis=1)
    later = np.linalg.solve(np.eye(z.size) - h / 2 * matrix, (np.eye(z.size) + h / 2 * matrix) @ z + h * constant)
    return unpack(model, np.concatenate([y[:modes], later]))


def one_step(model, state):
    record = rigs.empty_record(model, 1)
    assert loop.advance(model, state, rigs.quiet_inputs(model, 1), record)[0] == loop.DONE
    return record


@pytest.mark.parametrize("name", LOOPS)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_step_is_the_midpoint_rule(name, seed):
    model = rigs.build(rig_of(LOOPS[name]), RATE)
    state = start_of(model, seed)
    wanted = midpoint(model, state)
    one_step(model, state)
    for field in CIRCUIT_FIELDS:
        size = np.abs(wanted[field]).max(initial=1e-12)
        np.testing.assert_allclose(getattr(state, field), wanted[field], rtol=0, atol=1e-9 * size, err_msg=field)


@pytest.mark.parametrize("slew", [1e3, 1e18], ids=["slew", "swing"])
def test_limits_hold_and_let_go(slew):
    """Within its limits an amplifier follows its equation; at one, the equation must push outwards. 200 random starts.

    One of a kind alone would do for a clip that sticks, or that lets go too late: both kinds must occur.
    """
    tight = replace(GENTLE, gain=1e4, low=-1.0, high=1.0, slew=slew)
    model = rigs.build(rig_of((tight,)), RATE)
    seen = set()
    for seed in range(200):
        state = start_of(model, seed)
        state.output[:] = np.clip(state.output, -1.0, 1.0)
        rigs.without_current(model, state)
        state.node[:] = np.sign(state.node) * 10 ** np.random.default_rng(seed).uniform(-6, -2)
        before = state.output[0]
        record = one_step(model, state)
        after, heard = state.output[0], record.node[0, 0]
        floor, ceiling = max(-1.0, before - slew * model.step), min(1.0, before + slew * model.step)
        slope = model.amplifiers.rate[0] * (heard - 0.5 * (before + after) / tight.gain)
        pushed = slope * model.step - (after - before)
        assert floor - 1e-12 <= after <= ceiling + 1e-12
        if floor + 1e-9 < after < ceiling - 1e-9:
            seen.add("free")
            assert pushed == pytest.approx(0.0, abs=1e-9)
        else:
            side = 1.0 if after > 0.5 * (floor + ceiling) else -1.0
            seen.add(side)
            assert side * pushed >= -1e-9
    assert seen == {"free", 1.0, -1.0}


@pytest.mark.parametrize("name", ["capacitor", "solid, in series"])
def test_power_balances_within_a_step(name):
    """What the amplifier gave is stored or turned to heat, to rounding: implicit midpoint and quadratic energies (derived)."""
    model = rigs.build(rig_of(LOOPS[name]), RATE)
    state = start_of(model, 5)

    def energy(state):
        from twins.equations import pole_places, whole_inductance, whole_linkage

        places = pole_places(model, q)
        driven = np.concatenate([state.flux, state.eddy.ravel()]) - whole_linkage(model, places)
        electric = model.amplifiers.node_capacitance @ state.node**2 + np.sum(state.capacitor**2 / model.circuits.elastance[1::2])
        return 0.5 * (driven @ np.linalg.solve(whole_inductance(model, places), driven) + electric)

    q = state.q.copy()
    before = energy(state)
    one_step(model, state)
    gained = energy(state) - before
    given, lost = state.supplied.sum(), state.drive_heat.sum() + state.sense_heat.sum()
    assert gained == pytest.approx(given - lost, abs=1e-12 * (abs(given) + lost + before))
    assert lost > 1e-3 * before
