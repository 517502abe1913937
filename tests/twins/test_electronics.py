"""The compiled loop with random electronics against the dense twin: 1 to 5 states, 1 to 3 stages, every limit met.

Stages follow one another, feed one another back, sag with their rails, bend, are limited in current, slew and are turned down.
Every kind of limit has to occur: a factor 2 between middle and end of a step, a bend with the wrong sign, a draw of the wrong rail, a
sweep that ends too soon show in the first step.
"""

from collections import Counter

import numpy as np
import pytest

from twins import rigs
from twins.electronics import BRANCHES, Coils, one_step
from twins.equations import inductance, linkage, pole_places
from wirebloom.kernels import layout, loop

RATE = 96_000.0
HEADS = (rigs.exponential_head(), rigs.exponential_head(factor=0.007, twist=0.05))
POLES = (rigs.Pole(head=0, position=0.2, circuit=0, gap=3e-3), rigs.Pole(head=1, position=0.25, circuit=1, gap=2.6e-3, sign=-1))
GRID = {"gap_nodes": np.linspace(-2e-4, 5.8e-3, 31), "offset_nodes": np.linspace(-3e-3, 3e-3, 13)}
STRINGS = rigs.build(rigs.Rig(heads=HEADS, poles=POLES, loops=(rigs.Loop(mutual=2e-4),), **GRID), RATE)
STEPS = 8
STATES = (5, 3, 1)  # with one, two, three stages: few sizes, each of which has to be compiled
KINDS = {
    "chain": {"feedback": 0.0},
    "fed back": {"feedback": 0.5},
    "fed back twice": {"feedback": 0.5, "round": 0.4},
    "sagging": {"feedback": 0.3, "sag": 1.5},
    "levelled": {"feedback": 0.0, "target": 0.4},
    "rails that hold": {"feedback": 0.3, "bend": 0.0, "limit": np.inf},
}


def network_of(rng, x, w, *, feedback, round_back=0.0, sag=0.0):
    """Rows of a chain of stages with loads, states everywhere and, if it sags, rails behind a resistance."""
    u = 1 + 2 * w * (sag > 0.0)
    z = x + 2 + w + u
    coil, stage, supply = x, x + 2, x + 2 + w
    rate = np.zeros((x, z))
    rate[:, :x] = -np.diag(10 ** rng.uniform(1, 5, x)) + rng.normal(0, 100, (x, x))
    rate[:, coil : coil + 2] = rng.normal(0, 1e5, (x, 2))
    rate[:, stage:] = rng.normal(0, 1e2, (x, w + u))
    voltage = np.zeros((2, z))
    voltage[:, :x] = rng.normal(0, 0.3, (2, x))
    voltage[0, coil], voltage[1, coil + 1], voltage[0, coil + 1] = -24.0, -24.0, 0.5
    voltage[1, stage + w - 1], voltage[1, supply] = 1.0, rng.normal()
    heard, given, high, low = (np.zeros((w, z)) for _ in range(4))
    heard[0, :x], heard[0, coil] = rng.normal(0, 0.1, x), 3.0
    for k in range(w):
        heard[k, stage + k] = -feedback
        if k > 0:
            heard[k, stage + k - 1] = rng.choice([-1.0, 1.0])
        given[k, stage + k] = 1.0 / 50.0
        given[k, :x] = rng.normal(0, 0.01, x)
        high[k, supply], low[k, supply] = rng.uniform(1.0, 3.0), -rng.uniform(1.0, 3.0)
        if sag > 0.0:
            high[k, supply + 1 :: 2], low[k, supply + 2 :: 2] = -sag, sag
            high[k, stage + k] -= 0.05  # stands on a reference that gives way
            low[k, stage + k] -= 0.05
    # Against the signal all the way round: with it a step has several solutions, and either may be found.
    heard[0, stage + w - 1] -= round_back * np.prod([heard[k, stage + k - 1] for k in range(1, w)])
    given[w - 1, coil + 1] = 1.0
    return layout.Network(
        rate=rate, voltage=voltage, heard=heard, given=given, high=high, low=low,
        heat=rng.normal(0, 1, (5, z)), heat_home=np.array([1, 0, 1, 1, 0]), power=rng.normal(0, 1, (3, 2, z)),
        power_loop=np.zeros(3, dtype=np.int64), meter=rng.normal(0, 1, (4, z)), inertia=rng.uniform(0, 1e-6, x),
    )  # fmt: skip


def stages_of(rng, w, *, bend=4.0, limit=0.06, target=np.inf):
    def each(low, high):
        return rng.uniform(low, high, w)

    return layout.Stages(
        loop=np.zeros(w, dtype=np.int64), gain=10 ** each(1, 5), rate=2 * np.pi * 10 ** each(5, 6.7), slew=10 ** each(4, 6),
        headroom_high=each(0.1, 0.4), headroom_low=each(0.1, 0.4), bend=np.full(w, bend), limit=np.full(w, limit),
        offset=each(-1e-3, 1e-3), noise=each(0, 1e-2), quiescent=each(0, 1e-2), target=np.full(w, target), attack=each(1e3, 1e4),
        release=each(10, 100), least=np.full(w, 0.05),
    )  # fmt: skip


def case(kind, seed):
    """A model with random electronics, and a state of it in full swing."""
    rng = np.random.default_rng([seed, *kind.encode()])
    more, w = dict(KINDS[kind]), 1 + seed % 3
    x = STATES[w - 1]
    shape = {"feedback": more.pop("feedback"), "round_back": more.pop("round", 0.0), "sag": more.pop("sag", 0.0)}
    parts = STRINGS._asdict() | {"network": network_of(rng, x, w, **shape), "stages": stages_of(rng, w, **more)}
    parts["coils"] = parts["coils"]._replace(noise=np.array([1e-3, 0.0]), area=np.array([0.03, -0.02]))
    model = layout.Model(**{name: parts[name] for name in layout.Model._fields})
    state = rigs.resting_state(model)
    state.q[:, :, 0] = 1e-4
    rigs.without_current(STRINGS, state)
    state.flux[:] += 2e-4 * rng.standard_normal(2)
    state.x[:], state.output[:] = 0.3 * rng.standard_normal(x), rng.standard_normal(w)
    state.envelope[:] = np.abs(rng.standard_normal(w))
    if model.network.rate.shape[1] > x + 2 + w + 1:
        state.draw[:] = 0.05 * rng.random(state.draw.shape)
    return model, state, rng


def coils_at(model, state, noise, stray):
    places = pole_places(model, state.q)
    inverse = np.linalg.inv(inductance(STRINGS, places))
    return Coils(inverse, linkage(STRINGS, places), model.coils.noise * np.array([noise, 0.0]) - model.coils.area * stray)


def close(found, wanted, what, size=0.0):
    scale = max(float(np.max(np.abs(wanted), initial=0.0)), size, 1e-12)
    np.testing.assert_allclose(found, wanted, rtol=0, atol=1e-9 * scale, err_msg=what)


def watched_steps(kind, seed):
    """Run both for some steps; the branches that the stages sat on."""
    model, state, rng = case(kind, seed)
    network, w = model.network, len(state.output)
    moved = kind != "rails that hold"
    for t in range(STEPS):
        noise, supply, stray = rng.standard_normal(1 + w), rng.uniform(0.7, 1.0), rng.normal()
        before = type(state)(*(array.copy() for array in state))
        step, branches = one_step(model, before, noise[1:], coils_at(model, before, noise[0], stray), supply)
        inputs = layout.Inputs(np.array([supply]), noise[None], np.array([stray]), np.zeros((1, 0)))
        record = rigs.empty_record(model, 1)
        assert loop.advance(model, state, inputs, record)[0] == loop.DONE
        where = f"{kind} {seed}, step {t}: "
        for name in ("flux", "x", "output"):
            close(getattr(state, name), getattr(step, name), where + name, float(np.max(np.abs(before.output))) if name != "flux" else 0.0)
        close(state.drawn - before.drawn, model.step * step.draw[:, :, 0], where + "drawn")
        if moved:
            close(state.draw, step.draw, where + "draw")
            close(state.envelope, step.envelope, where + "envelope")
        meters = np.stack([record.node, record.output, record.capacitor, record.supply])[:, 0, 0]
        close(meters, network.meter @ step.middle, where + "meters")
        heat = model.step * (network.heat @ step.middle) ** 2
        wanted = [heat[network.heat_home == c].sum() for c in (0, 1)]
        close([(state.sense_heat - before.sense_heat)[0], (state.drive_heat - before.drive_heat)[0]], wanted, where + "heat")
        fed = model.step * np.prod(network.power @ step.middle, axis=1)
        close(state.supplied - before.supplied, fed.sum(), where + "supplied", float(np.abs(fed).max()))
        yield from branches


@pytest.mark.parametrize("kind", KINDS)
def test_every_step_agrees_with_the_twin(kind):
    seen = Counter(branch for seed in range(6) for branch in watched_steps(kind, seed))
    assert len(seen) >= 3, "too few limits were met to tell anything"


def test_every_limit_is_met():
    assert {branch for seed in range(9) for branch in watched_steps("sagging", seed)} >= set(BRANCHES) - {"low", "high"}


def test_a_supply_below_both_headrooms_leaves_the_output_between_its_rails():
    """Rails of ±0.15 V for headrooms of 0.4 V below and 0.2 V above: no swing at all; without any supply, 0 V."""
    loops = (rigs.Loop(gain=1e5, low=-0.15, high=0.15),)
    model = rigs.build(rigs.Rig(heads=HEADS, poles=POLES, loops=loops, **GRID), RATE)
    model = model._replace(stages=model.stages._replace(headroom_high=np.array([0.4]), headroom_low=np.array([0.2])))
    for bend in (0.0, 1.0):  # rails that hold, and the general way
        for supply, volts in ((1.0, -0.1), (0.0, 0.0)):
            own = model._replace(stages=model.stages._replace(bend=np.array([bend])))
            state = rigs.resting_state(own)
            state.node[:] = 1.0
            loop.advance(own, state, rigs.quiet_inputs(own, 3, supply), rigs.empty_record(own, 3))
            assert state.output[0] == pytest.approx(volts, abs=0.02)
