"""The compiled time loop against the dense, slow twin of one step, state by state and record by record.

A slip of a sign, of a factor 2 in a kick, of half a step in an input or of a unit in the ledger shows at the first step:
the two agree to rounding (1e-12 of each array's size) or not at all.
"""

import numpy as np
import pytest

from twins import rigs
from twins.scheme import Impulse, one_step
from twins.test_twins import random_state
from wirebloom.kernels import layout, loop

HEADS = (rigs.exponential_head(), rigs.exponential_head(factor=0.007, twist=0.05))
SENSE, DRIVE = (
    rigs.Pole(head=0, position=0.2, circuit=0, gap=3e-3),
    rigs.Pole(head=1, position=0.25, circuit=1, gap=2.6e-3, offset=0.4e-3, sign=-1),
)
NOISY = {"coil_noise": 1e-5, "input_noise": 1e-4, "offset": 1e-3}
TWO_STRINGS = (
    rigs.Pole(head=0, string=0, position=0.2, circuit=0, gap=3e-3),
    rigs.Pole(head=1, string=0, position=0.25, circuit=1, gap=2.8e-3, offset=0.5e-3, sign=-1),
    rigs.Pole(head=1, string=1, position=0.3, circuit=1, gap=3.1e-3),
    rigs.Pole(head=0, string=1, position=0.1, circuit=-1, gap=3.2e-3),
)
TWO_LOOPS = (
    rigs.Pole(head=0, string=0, position=0.2, circuit=0, gap=3e-3),
    rigs.Pole(head=1, string=0, position=0.25, circuit=3, gap=2.8e-3),
    rigs.Pole(head=1, string=1, position=0.3, circuit=1, gap=3.1e-3),
    rigs.Pole(head=0, string=1, position=0.1, circuit=2, gap=3.2e-3, sign=-1),
)
PAIR = (rigs.Wire(partials=6), rigs.Wire(pitch=147.0, partials=5))
LEDGER = layout.State._fields[layout.State._fields.index("work") :]  # sums of squares: half as exact
SUMS = ("core_heat", "products", "recent")  # how the loop keeps its energies, which are compared themselves
RIGS = {
    "no loop": rigs.Rig(heads=HEADS, poles=(rigs.Pole(gap=3e-3),)),
    "one loop": rigs.Rig(heads=HEADS, poles=(SENSE, DRIVE), loops=(rigs.Loop(**NOISY),)),
    "output capacitor, crosstalk": rigs.Rig(
        heads=HEADS, poles=(SENSE, DRIVE), loops=(rigs.Loop(mutual=3e-5, elastance=1e5, bias=2.5, **NOISY),)
    ),
    "all-pass": rigs.Rig(
        heads=HEADS, poles=(SENSE, DRIVE), loops=(rigs.Loop(allpass_rate=1200.0, direct=-1.0, lagged=2.0, polarity=-1.0, **NOISY),)
    ),
    "at the rails": rigs.Rig(heads=HEADS, poles=(SENSE, DRIVE), loops=(rigs.Loop(gain=1e5, low=-1.0, high=1.2, mutual=1e-6, **NOISY),)),
    "slewing": rigs.Rig(heads=HEADS, poles=(SENSE, DRIVE), loops=(rigs.Loop(gain=1e4, slew=3e3, **NOISY),)),
    "finger and tap": rigs.Rig(
        heads=HEADS,
        poles=(SENSE, DRIVE),
        loops=(rigs.Loop(**NOISY),),
        dampers=(rigs.Damper(window=(5e-5, 2e-4)),),
        drivers=(rigs.Driver(), rigs.Driver(polarisation=1)),
    ),
    "two strings, one loop": rigs.Rig(wires=PAIR, heads=HEADS, poles=TWO_STRINGS, loops=(rigs.Loop(**NOISY),)),
    "solid cores": rigs.Rig(
        heads=HEADS,
        poles=(SENSE, DRIVE),
        loops=(rigs.Loop(mutual=3e-5, elastance=1e5, bias=2.5, **NOISY),),
        cores=(rigs.Core(1, (1,)), rigs.Core(0, (0,), share=(-0.02, 0.4))),
    ),
    "solid cores, two strings": rigs.Rig(
        wires=PAIR,
        heads=HEADS,
        poles=TWO_STRINGS,
        loops=(rigs.Loop(**NOISY),),
        cores=(rigs.Core(0, (0,)), rigs.Core(1, (1, 2), inductance=(1e-3, 4e-4)), rigs.Core(1, ())),
    ),
    "stray field": rigs.Rig(
        heads=HEADS, poles=(SENSE, DRIVE), loops=(rigs.Loop(sense_area=0.03, drive_area=-0.02, **NOISY),), cores=(rigs.Core(0, (0,)),)
    ),
    "two strings, two loops": rigs.Rig(
        wires=PAIR, heads=HEADS, poles=TWO_LOOPS, loops=(rigs.Loop(**NOISY), rigs.Loop(gain=1e4, bias=1.0, elastance=2e4, **NOISY))
    ),
}


def copied(state):
    return type(state)(*(array.copy() for array in state))


def floors(model, state):
    """Size that each array's rounding is measured against, beyond its own: work is a difference of kinetic energies."""
    kinetic = np.max(np.einsum("s,spn->s", 0.5 / model.strings.inverse_mass, state.v**2))
    sizes = {name: max(float(np.max(np.abs(getattr(state, name)), initial=0.0)), 1e-30) for name in layout.State._fields}
    return sizes | {"work": 1e-3 * kinetic}


def start_of(model):
    state = random_state(model)
    state.q[:, :, 0] = 1e-4
    return rigs.without_current(model, state)


def inputs_of(model, steps):
    rng = np.random.default_rng(7)
    quiet = rigs.quiet_inputs(model, steps)
    quiet.supply[:] = np.linspace(0.6, 1.0, steps)
    quiet.noise[:] = rng.standard_normal(quiet.noise.shape)
    quiet.stray[:] = 0.1 * rng.standard_normal(steps)
    quiet.force[:] = rng.standard_normal(quiet.force.shape)
    return quiet


@pytest.mark.parametrize("name", RIGS)
def test_every_step_agrees_with_the_twin(name):
    model, steps = rigs.build(RIGS[name], 96000), 25
    state, inputs = start_of(model), inputs_of(model, steps)
    for t in range(steps):
        before, record = copied(state), rigs.empty_record(model, 1)
        impulse = Impulse(inputs.supply[t], inputs.noise[t], inputs.force[t], inputs.stray[t])
        expected, noted = one_step(model, before, impulse)
        one = layout.Inputs(*(array[t : t + 1] for array in inputs))
        assert loop.advance(model, state, one, record)[0] == 0
        compare(state, expected, floors(model, before), f"{name}, step {t}")
        for key, value in noted.items():
            size = max(float(np.max(np.abs(value), initial=0.0)), 1e-12)
            np.testing.assert_allclose(getattr(record, key)[0], value, rtol=0, atol=1e-10 * size, err_msg=f"{name}, step {t}: record {key}")


def compare(state, expected, floor, where):
    for key in (name for name in layout.State._fields if name not in SUMS):
        found, wanted = getattr(state, key), getattr(expected, key)
        exactness = 1e-11 if key in LEDGER else 1e-12
        tolerance = exactness * max(float(np.max(np.abs(wanted), initial=0.0)), floor[key])
        np.testing.assert_allclose(found, wanted, rtol=0, atol=tolerance, err_msg=f"{where}: state {key}")


def test_begin_turns_every_mode_half_a_step():
    model = rigs.build(RIGS["one loop"], 96000)
    state = start_of(model)
    before = copied(state)
    loop.begin(model, state)
    omega, sigma, t = model.strings.frequency[0], model.strings.decay[0], model.step / 2
    alive = omega > 0
    damped = np.sqrt(omega**2 - sigma**2)[alive]
    decay = np.exp(-sigma[alive] * t)
    q, v = before.q[0][alive], before.v[0][alive]
    expected = decay * (np.cos(damped * t) * q + np.sin(damped * t) / damped * (v + sigma[alive] * q))
    np.testing.assert_allclose(state.q[0][alive], expected, rtol=1e-12, atol=1e-19)


def test_many_steps_are_the_same_bits_in_one_call_or_in_many():
    model, steps = rigs.build(RIGS["at the rails"], 96000), 64
    inputs = inputs_of(model, steps)
    whole, parts = start_of(model), start_of(model)
    loop.advance(model, whole, inputs, rigs.empty_record(model, steps))
    for t in range(0, steps, 16):
        loop.advance(model, parts, layout.Inputs(*(array[t : t + 16] for array in inputs)), rigs.empty_record(model, 16))
    for key in layout.State._fields:
        np.testing.assert_array_equal(getattr(whole, key), getattr(parts, key), err_msg=key)
