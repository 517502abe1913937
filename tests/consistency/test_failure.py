"""What must happen when a number goes bad.

| where it is put                       | what must stop, and where            | when               |
|---------------------------------------|--------------------------------------|--------------------|
| NaN or infinity in q                  | the string, at its first pole        | at once            |
| NaN in v                              | the same                             | a step later       |
| NaN in flux, table, supply, noise     | the circuit                          | at that step       |
| NaN in the table under an idle head   | the string at that pole              | a step later       |
| NaN in an outside force               | the string it pushes, at its pole    | a step later       |
| a gain of infinity                    | nothing: the swing holds             | –                  |
| any of it within a run                | DivergedError with time and place    | at that time       |

In every case the record is finite up to the step that is named, the clock stands there, and what was recorded before is
what a healthy run records. NaN compares false with everything: a check written `if x > limit` lets it pass, and flags
that assume there is no NaN delete the check.
"""

from dataclasses import replace

import numpy as np
import pytest

from consistency.runs import DRIVE, LOOP, RATE, RIG, SENSE, WIRE, copied, noisy_inputs
from consistency.scenario import compiled
from twins import rigs
from wirebloom.errors import DivergedError
from wirebloom.kernels import layout, loop
from wirebloom.kernels.layout import Record
from wirebloom.run import simulate
from wirebloom.run.inputs import Source

STEPS, BAD = 60, 37  # the step of a bad input
PAIR = replace(
    RIG,
    wires=(WIRE, rigs.Wire(pitch=147.0)),
    poles=(SENSE, DRIVE, rigs.Pole(head=0, string=1, gap=2e-3)),
    loops=(replace(LOOP, bias=1.0),),
    drivers=(rigs.Driver(string=1),),
)


@pytest.fixture(scope="module")
def healthy():
    model = rigs.build(PAIR, RATE)
    start = rigs.plucked_state(model, PAIR)
    loop.begin(model, start)
    record = rigs.empty_record(model, STEPS)
    inputs = noisy_inputs(model, STEPS)
    assert loop.advance(model, copied(start), inputs, record)[0] == loop.DONE
    return model, start, inputs, record


def assert_stops(healthy, change, wanted):
    """Make a change to copies of state, inputs and tables; the run must end with the wanted status, step and place."""
    model, start, inputs, record = healthy
    state, own = copied(start), layout.Inputs(*(array.copy() for array in inputs))
    tables = model.tables._replace(coefficient=model.tables.coefficient.copy())
    change(state, own, tables)
    found = rigs.empty_record(model, STEPS)
    status = loop.advance(model._replace(tables=tables), state, own, found)
    assert status == wanted
    step = wanted[1]
    assert int(state.clock[0]) == step
    for name in Record._fields:
        assert np.all(np.isfinite(getattr(found, name)[:step])), name
    for name in ("displacement", "node", "bridge"):
        np.testing.assert_array_equal(getattr(found, name)[: min(step, BAD)], getattr(record, name)[: min(step, BAD)], err_msg=name)


def setter(part, name, place, value):
    """A change of one number: of the state, the inputs or the tables (0, 1, 2)."""

    def change(*parts):
        getattr(parts[part], name)[place] = value

    return change


STATE, INPUTS, TABLES = 0, 1, 2
BAD_NUMBERS = [np.nan, np.inf, -np.inf]


@pytest.mark.parametrize("value", BAD_NUMBERS)
@pytest.mark.parametrize(("string", "pole"), [(0, 0), (1, 2)])
@pytest.mark.parametrize("polarisation", [0, 1])
def test_displacement(healthy, value, string, pole, polarisation):
    assert_stops(healthy, setter(STATE, "q", (string, polarisation, 3), value), (loop.STRING_LOST, 0, pole))


@pytest.mark.parametrize("value", BAD_NUMBERS)
@pytest.mark.parametrize(("string", "pole"), [(0, 0), (1, 2)])
def test_velocity(healthy, value, string, pole):
    assert_stops(healthy, setter(STATE, "v", (string, 1, 2), value), (loop.STRING_LOST, 1, pole))


@pytest.mark.parametrize("value", BAD_NUMBERS)
@pytest.mark.parametrize("circuit", [0, 1])
def test_flux(healthy, value, circuit):
    """The coils are coupled: a bad flux in one is a bad current in both, and the first is named."""
    assert_stops(healthy, setter(STATE, "flux", circuit, value), (loop.CIRCUIT_LOST, 0, 0))


@pytest.mark.parametrize("name", ["node", "capacitor"])
def test_voltages(healthy, name):
    assert_stops(healthy, setter(STATE, name, 0, np.nan), (loop.CIRCUIT_LOST, 0, 0))


def test_table(healthy):
    assert_stops(healthy, setter(TABLES, "coefficient", (1, slice(None), slice(None), 1), np.nan), (loop.CIRCUIT_LOST, 0, 0))


@pytest.mark.parametrize("name", ["supply", "noise"])
def test_inputs(healthy, name):
    place = BAD if name == "supply" else (BAD, 0)
    assert_stops(healthy, setter(INPUTS, name, place, np.nan), (loop.CIRCUIT_LOST, BAD, 0))


def test_amplifier_noise(healthy):
    assert_stops(healthy, setter(INPUTS, "noise", (BAD, 1), np.nan), (loop.CIRCUIT_LOST, BAD, 0))


def test_outside_force(healthy):
    assert_stops(healthy, setter(INPUTS, "force", (BAD, 0), np.nan), (loop.STRING_LOST, BAD + 1, 2))


def test_a_hopeless_displacement(healthy):
    """Half a metre is finite but no string's."""
    assert_stops(healthy, setter(STATE, "q", (1, 0, 0), 0.5), (loop.STRING_LOST, 0, 2))


def test_idle_table():
    """A head without a circuit: its bad number reaches the string by the force alone."""
    rig = replace(PAIR, heads=(*PAIR.heads, rigs.exponential_head()), poles=(SENSE, DRIVE, rigs.Pole(head=2, string=1, gap=2e-3)))
    model = rigs.build(rig, RATE)
    start, inputs, record = rigs.plucked_state(model, rig), noisy_inputs(model, STEPS), rigs.empty_record(model, STEPS)
    model.tables.coefficient[2, :, :, 0] = np.nan
    status = loop.advance(model, start, inputs, record)
    assert status[0] == loop.STRING_LOST
    assert status[2] == 2
    for name in Record._fields:
        assert np.all(np.isfinite(getattr(record, name)[: status[1]])), name


def test_infinite_gain(healthy):
    """No number goes bad: an integrator between two rails."""
    model, start, inputs, _ = healthy
    endless = model._replace(stages=model.stages._replace(gain=np.array([np.inf])))
    record = rigs.empty_record(model, STEPS)
    assert loop.advance(endless, copied(start), inputs, record) == (loop.DONE, STEPS, -1)
    assert np.all(np.abs(record.output[:, 0] - inputs.supply) <= 3.0 * inputs.supply + 1e-12)


def spoilt_source(monkeypatch, step):
    """A source whose coil noise is NaN at one step of the run."""
    healthy_next = Source.next

    def bad(self, first, count):
        inputs = healthy_next(self, first, count)
        if first <= step < first + count:
            inputs.noise[step - first, 0] = np.nan
        return inputs

    monkeypatch.setattr(Source, "next", bad)


def test_a_run_names_time_and_place(monkeypatch):
    spoilt_source(monkeypatch, 5000)
    heard = []
    with pytest.raises(DivergedError) as caught:
        simulate(compiled(), heard.append)
    assert caught.value.time_s == pytest.approx(5000 / 96e3, abs=1e-12)
    assert caught.value.where == "the current in the sense coil of loop main"
    assert heard[-1] == pytest.approx(0.05)
    assert "0.052083 s" in str(caught.value)


def test_a_run_names_the_string():
    ready = compiled()
    state = copied(ready.state)
    state.v[0, 0, 0] = np.nan
    with pytest.raises(DivergedError) as caught:
        simulate(replace(ready, state=state))
    assert caught.value.where == "the motion of string one over head sense"
    assert caught.value.time_s <= 2 / 96e3
