"""Short runs of small rigs, and what may be said of two of them: the same bits, or the same to a share of the largest value."""

from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from twins import rigs
from wirebloom.kernels import layout, loop
from wirebloom.kernels.ledger import turned

Floats = NDArray[np.float64]
RATE = 96_000.0  # Hz
HEADS = (rigs.exponential_head(), rigs.exponential_head(factor=0.012, twist=0.04))
SENSE = rigs.Pole(head=0, position=0.26, gap=1.5e-3, circuit=0)
DRIVE = rigs.Pole(head=1, position=0.186, gap=1.4e-3, offset=3e-4, circuit=1)
LOOP = rigs.Loop(gain=2e3, mutual=2e-6, coil_noise=1e-6, input_noise=1e-6)
WIRE = rigs.Wire()
COARSE = {"gap_nodes": np.linspace(-2e-4, 5.8e-3, 31), "offset_nodes": np.linspace(-3e-3, 3e-3, 13)}  # m: quick to fit
RIG = rigs.Rig(wires=(WIRE,), heads=HEADS, poles=(SENSE, DRIVE), loops=(LOOP,), **COARSE)
# Everything at work at once: an all-pass, a capacitor, a bias, solid cores, a face that is hit, a finger and a push from outside.
CROWDED = replace(
    RIG,
    poles=(SENSE, replace(DRIVE, gap=1.5e-4)),
    loops=(replace(LOOP, allpass_rate=1200.0, direct=-1.0, lagged=2.0, elastance=1 / 470e-6, bias=2.0, offset=1e-4, slew=2e4),),
    cores=(rigs.Core(1, (1,)), rigs.Core(0, (0,))),
    contacts=(rigs.Contact(pole=0, loss=0.3), rigs.Contact(pole=1, loss=0.3)),
    dampers=(rigs.Damper(window=(5e-3, 1.0)),),
    drivers=(rigs.Driver(), rigs.Driver(polarisation=1)),
)


class Run(NamedTuple):
    """Where a run ended and what it left behind."""

    model: layout.Model
    state: layout.State
    record: layout.Record


def copied(state: layout.State) -> layout.State:
    return type(state)(*(array.copy() for array in state))


def run(model: layout.Model, start: layout.State, inputs: layout.Inputs) -> Run:
    """From a start at a whole step, as many steps as there are inputs. The start is left as it is."""
    state, record = copied(start), rigs.empty_record(model, len(inputs.supply))
    loop.begin(model, state)
    status, step, where = loop.advance(model, state, inputs, record)
    assert status == loop.DONE, f"lost at step {step}, place {where}"
    assert int(state.clock[0]) == step == len(inputs.supply)
    return Run(model, state, record)


def plucked(rig: rigs.Rig, steps: int, rate: float = RATE, height: float = -2e-4, seed: int = 1) -> Run:
    """A rig whose strings are drawn aside, away from the heads, and let go, with noise and pushes from a seed."""
    model = rigs.build(rig, rate)
    return run(model, rigs.plucked_state(model, rig, height=height), noisy_inputs(model, steps, seed))


def noisy_inputs(model: layout.Model, steps: int, seed: int = 1) -> layout.Inputs:
    random, inputs = np.random.default_rng(seed), rigs.quiet_inputs(model, steps)
    inputs.noise[:] = random.standard_normal(inputs.noise.shape)
    inputs.force[:] = 0.05 * random.standard_normal(inputs.force.shape)
    inputs.supply[:] = np.linspace(0.5, 1.0, steps)
    return inputs


def whole(run_: Run) -> tuple[Floats, Floats]:
    """Modal displacement and velocity where the circuits stand: at a whole step."""
    return turned(run_.state.q, run_.state.v, run_.model.back)


def assert_same_bits(found: NamedTuple, wanted: NamedTuple, names: tuple[str, ...] = ()) -> None:
    for name in names or found._fields:
        np.testing.assert_array_equal(getattr(found, name), getattr(wanted, name), err_msg=name)


def assert_close(found: Floats, wanted: Floats, share: float, name: str = "") -> None:
    """Equal to a share of the largest value that was wanted."""
    size = max(float(np.max(np.abs(wanted), initial=0.0)), 1e-30)
    np.testing.assert_allclose(found, wanted, rtol=0, atol=share * size, err_msg=name)


def assert_all_close(found: NamedTuple, wanted: NamedTuple, share: float, names: tuple[str, ...] = ()) -> None:
    for name in names or found._fields:
        assert_close(getattr(found, name), getattr(wanted, name), share, name)
