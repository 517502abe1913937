"""The benchmark's workload: one string, 60 partials × 2 polarisations, 2 heads, everything switched on, 96 kHz."""

from dataclasses import replace

import numpy as np

from twins import classic, rigs
from wirebloom.compile.model import compile_rig
from wirebloom.kernels import layout
from wirebloom.rig.reader import load

RATE = 96_000
SECONDS = 1.0
LOOP = rigs.Loop(
    mutual=1e-6, gain=1e5, slew=13e6, elastance=1 / 470e-6, bias=4.5, low=-3.5, high=3.5, offset=1e-4, coil_noise=1e-7, input_noise=1e-6
)
RIG = rigs.Rig(
    wires=(rigs.Wire(partials=60, pitch=147.0),),
    heads=(rigs.exponential_head(), rigs.exponential_head(factor=0.012)),
    poles=(rigs.Pole(head=0, position=0.26, gap=2.5e-3, circuit=0), rigs.Pole(head=1, position=0.186, gap=2.2e-3, offset=3e-4, circuit=1)),
    loops=(LOOP,),
    contacts=(rigs.Contact(pole=0, loss=0.3), rigs.Contact(pole=1, loss=0.3)),
)


SOLID = replace(RIG, cores=(rigs.Core(0, (0,)), rigs.Core(1, (1,))))


def closer(gap: float) -> rigs.Rig:
    return replace(RIG, poles=(RIG.poles[0], replace(RIG.poles[1], gap=gap)))


BUZZING = closer(3e-4)  # hits the face several times a period and is on it for a quarter of the time
PRESSED = closer(2e-6)  # never away from it: the worst case


def model_of(rig: rigs.Rig) -> classic.Classic:
    return rigs.build(rig, RATE)


def composed() -> classic.Classic:
    """The same strings and heads with the electronics of a shipped scenario: a preamplifier with a pot behind it and a power chip on a
    regulator that gives way, output network, limits of all kinds; automatic gain besides."""
    plain, model = model_of(RIG), compile_rig(*load("two_stages")).model
    last = np.arange(model.stages.gain.size) == model.stages.gain.size - 1
    pace = {"attack": np.full(last.size, 100.0), "release": np.full(last.size, 2.0), "least": np.full(last.size, 0.05)}
    levelled = model.stages._replace(target=np.where(last, 2.0, np.inf), **pace)
    return plain._replace(network=model.network, stages=levelled)


def inputs_of(model: layout.Model, seconds: float = SECONDS, quiet: bool = False) -> layout.Inputs:
    inputs = rigs.quiet_inputs(model, round(seconds * RATE))
    if not quiet:
        inputs.noise[:] = np.random.default_rng(1).standard_normal(inputs.noise.shape)
    return inputs


def start_of(model: layout.Model, rig: rigs.Rig) -> layout.State:
    """Drawn a little away from the heads and let go, half a step ahead as the time loop wants it."""
    from wirebloom.kernels import loop

    state = rigs.plucked_state(model, rig, height=-2e-4)
    loop.begin(model, state)
    return state
