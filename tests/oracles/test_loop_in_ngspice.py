"""A loop of three partials with constant force factors: the time loop against ngspice and against its eigenvalues.

Growth within 1 %, limit-cycle level within 2 %. A wrong sign of an EMF turns growth into decay; a factor 2 in the modal
mass or a lost back-EMF moves the growth by tens of per cent; wind-up at the rail moves the level.
"""

import shutil

import numpy as np
import pytest

from oracles import decks
from twins import rigs
from twins.equations import pack, rhs
from wirebloom.kernels import loop

WIRE = rigs.Wire(partials=3, axial=0.0, quality=45.0)
RIG = rigs.Rig(
    wires=(WIRE,),
    heads=(rigs.linear_head(0.03), rigs.linear_head(0.025)),
    poles=(
        rigs.Pole(head=0, position=0.4 * WIRE.length, gap=3e-3, circuit=0),
        rigs.Pole(head=1, position=0.286 * WIRE.length, gap=3e-3, circuit=1),
    ),
    loops=(rigs.Loop(gain=1000.0, mutual=2e-7, elastance=1e4),),
)
SMALL, LARGE = 1e-4, 0.3  # m/s at the start: far below the rails, and near the limit cycle
GROWTH = {"first": 0.03, "last": 0.12}
debian = pytest.mark.debian
needs_ngspice = pytest.mark.skipif(shutil.which("ngspice") is None, reason="needs the Debian package ngspice")


def start_speed(model, speed):
    start = np.zeros((1, model.strings.curvature.shape[1]))
    start[0, 0] = speed
    return start


def time_loop(rate, speed, span):
    model = rigs.build(RIG, rate)
    state, steps = rigs.resting_state(model), round(span * rate)
    state.v[:, 0] = start_speed(model, speed)
    record = rigs.empty_record(model, steps)
    loop.begin(model, state)
    assert loop.advance(model, state, rigs.quiet_inputs(model, steps), record)[0] == 0
    time = (np.arange(steps) + 0.5) / rate
    return decks.Trace(time, record.node[:, 0], record.current[:, 1], record.output[:, 0])


def eigenvalue(model):
    """The eigenvalue of partial 1, by linearising the equations about rest."""
    rest = pack(rigs.resting_state(model))
    size = np.where(np.arange(len(rest)) < model.strings.frequency.size, 1e-9, 1e-7)
    columns = [(rhs(model, 0.0, rest + step) - rhs(model, 0.0, rest - step)) / (2 * size[k]) for k, step in enumerate(np.diag(size))]
    values, vectors = np.linalg.eig(np.array(columns).T)
    towards, sideways = np.abs(vectors[0]), np.abs(vectors[model.strings.curvature.shape[1]])
    miss = np.abs(values - 2j * np.pi * WIRE.pitch) + np.where(towards > sideways, 0.0, np.inf)
    return values[np.argmin(miss)]


def test_growth_is_the_eigenvalue():
    """Linear growth of partial 1 from the matrix of the slow equations."""
    expected = eigenvalue(rigs.build(RIG, 96000))
    frequency = expected.imag / (2 * np.pi)
    trace = time_loop(96000, SMALL, 0.2)
    assert expected.real > 10
    assert decks.growth_rate(trace.time, trace.node, frequency, **GROWTH) == pytest.approx(expected.real, rel=2e-3)


@debian
@needs_ngspice
def test_growth_agrees_with_ngspice(tmp_path):
    model = rigs.build(RIG, 96000)
    frequency = eigenvalue(model).imag / (2 * np.pi)
    theirs = decks.run(model, start_speed(model, SMALL), 0.2, 4e-6, tmp_path)
    ours = time_loop(96000, SMALL, 0.2)
    rates = [decks.growth_rate(trace.time, trace.node, frequency, **GROWTH) for trace in (ours, theirs)]
    assert np.max(np.abs(theirs.output)) < 0.5  # nowhere near the rails
    assert rates[0] == pytest.approx(rates[1], rel=0.01)


@debian
@needs_ngspice
def test_limit_cycle_agrees_with_ngspice(tmp_path):
    model = rigs.build(RIG, 96000)
    span, late = 0.5, 0.43
    theirs = decks.run(model, start_speed(model, LARGE), span, 4e-6, tmp_path)
    ours = time_loop(96000, LARGE, span)
    for name in ("node", "current", "output"):
        levels = [abs(decks.fundamental(trace.time, getattr(trace, name), WIRE.pitch, late)) for trace in (ours, theirs)]
        assert levels[0] == pytest.approx(levels[1], rel=0.02), name
    assert theirs.output.max() == pytest.approx(RIG.loops[0].high, rel=1e-3)
    assert ours.output.max() == pytest.approx(RIG.loops[0].high, rel=1e-6)
