"""What may be turned round, listed otherwise or added without changing what happens.

| what changes                                            | what must not                        | how exactly   |
|---------------------------------------------------------|--------------------------------------|---------------|
| left and right: offsets and sideways start              | all but the sign of sideways motion  | 1e-10         |
| both coils turned round, noise negated                  | motion; currents negated             | the same bits |
| amplifier reversed and sense coil turned round          | motion, output; sense side negated   | the same bits |
| order of strings, of heads, of loops                    | every string, pole and loop          | 1e-9          |
| two unconnected strings and loops as one rig or as two  | everything                           | 1e-9          |
| an idle head without field, first or last in the list   | everything                           | 1e-11         |
| rows padded with dead modes                             | everything                           | 1e-11         |
| other strings beside a string                           | that string                          | 1e-12         |

A pole that takes its neighbour's weight, a circuit read from the wrong row, a force that forgets the winding's sense, a
wrong sign of ∂/∂offset or a loop over one string too few shows in the first digits. Amplifiers run into their rails in
all of these, so that the clip is turned and listed otherwise too.
"""

from dataclasses import replace

import numpy as np
import pytest

from consistency.runs import (
    COARSE,
    CROWDED,
    DRIVE,
    HEADS,
    LOOP,
    RATE,
    RIG,
    SENSE,
    WIRE,
    Run,
    assert_close,
    assert_same_bits,
    noisy_inputs,
    plucked,
    run,
)
from twins import rigs
from wirebloom.kernels import layout

STEPS = 1000
LOUD = replace(RIG, loops=(replace(LOOP, gain=1e5),))
OTHER_WIRE = rigs.Wire(pitch=147.0, partials=8, length=0.7)
OTHER_POLES = (
    rigs.Pole(head=1, string=1, position=0.2, gap=1.3e-3, circuit=2, offset=-2e-4),
    rigs.Pole(head=0, string=1, position=0.25, gap=1.6e-3, circuit=3, sign=-1.0),
)
OTHER_LOOP = replace(LOOP, gain=1e4, elastance=1e4, drive_resistance=100.0)
TOUCHING = {"poles": (SENSE, replace(DRIVE, gap=1.5e-4)), "contacts": (rigs.Contact(pole=0, loss=0.3), rigs.Contact(pole=1, loss=0.3))}


def turned(array: np.ndarray, *flips: float) -> np.ndarray:
    return array * np.array(flips)


def at_rails(found: Run) -> bool:
    return bool(np.any(np.abs(found.record.output) > 2.9))


def test_left_is_as_good_as_right():
    rig = replace(CROWDED, loops=(replace(LOOP, gain=1e5, bias=2.0),), drivers=(rigs.Driver(), rigs.Driver(polarisation=1)))
    model, mirrored = rigs.build(rig, RATE), rigs.build(replace(rig, poles=[replace(p, offset=-p.offset) for p in rig.poles]), RATE)
    start, inputs = rigs.plucked_state(model, rig, height=-6e-4), noisy_inputs(model, STEPS)
    wanted = run(model, start, inputs)
    flipped = start._replace(q=start.q * [[[1.0], [-1.0]]])
    found = run(mirrored, flipped, inputs._replace(force=turned(inputs.force, 1.0, -1.0)))
    assert wanted.record.contact.max() > 0.0
    assert np.abs(wanted.record.force[:, :, 1]).max() > 1e-5
    for name in ("displacement", "force", "bridge"):
        assert_close(turned(getattr(found.record, name), 1.0, -1.0), getattr(wanted.record, name), 1e-10, name)
    for name in ("contact", "current", "node", "output", "capacitor"):
        assert_close(getattr(found.record, name), getattr(wanted.record, name), 1e-10, name)


def reversed_run(rig, flip_coils, noise, polarity=1.0, mutual=1.0):
    """The rig with coils turned round (factors of sense and drive coil) and noise multiplied (of coil and amplifier)."""
    poles = tuple(replace(pole, sign=flip_coils[pole.circuit]) for pole in rig.poles)
    loops = tuple(replace(loop, polarity=polarity, mutual=mutual * loop.mutual) for loop in rig.loops)
    other = replace(rig, poles=poles, loops=loops)
    model = rigs.build(other, RATE)
    inputs = noisy_inputs(model, STEPS)
    return run(model, rigs.plucked_state(model, other, height=-6e-4), inputs._replace(noise=turned(inputs.noise, *noise)))


def test_both_windings_turned_round():
    rig = replace(LOUD, **TOUCHING)
    wanted, found = reversed_run(rig, (1, 1), (1, 1)), reversed_run(rig, (-1, -1), (-1, -1))
    assert at_rails(wanted)
    assert_same_bits(found.record, wanted.record, ("displacement", "force", "contact", "bridge"))
    for name in ("current", "node", "output"):
        np.testing.assert_array_equal(getattr(found.record, name), -getattr(wanted.record, name), err_msg=name)
    assert_same_bits(found.state, wanted.state, ("work", "supplied", "drive_heat", "sense_heat", "noise_work"))


def test_one_winding_turned_round_is_not_the_same():
    """Of the two tests above and below: that they could fail."""
    wanted, found = reversed_run(LOUD, (1, 1), (1, 1)), reversed_run(LOUD, (-1, 1), (-1, 1))
    assert np.abs(found.record.force - wanted.record.force).max() > 1e-4


def test_polarity_turned_twice():
    wanted = reversed_run(LOUD, (1, 1), (1, 1))
    found = reversed_run(LOUD, (-1, 1), (-1, 1), polarity=-1.0, mutual=-1.0)
    assert at_rails(wanted)
    assert_same_bits(found.record, wanted.record, ("displacement", "force", "output", "bridge"))
    np.testing.assert_array_equal(found.record.node, -wanted.record.node)
    np.testing.assert_array_equal(found.record.current, turned(wanted.record.current, -1.0, 1.0))


PAIR = rigs.Rig(wires=(WIRE, OTHER_WIRE), heads=HEADS, poles=(SENSE, DRIVE, *OTHER_POLES), loops=(LOUD.loops[0], OTHER_LOOP), **COARSE)


def listed(rig, poles, loops=(0, 1)):
    """Run of a pair with poles and loops in other order; poles given as (string, circuit, pole) of the new rig."""
    model = rigs.build(replace(rig, poles=poles), RATE)
    inputs = noisy_inputs(model, STEPS)
    noise = noisy_inputs(rigs.build(PAIR, RATE), STEPS).noise[:, [*loops, *(2 + a for a in loops)]]
    inputs = inputs._replace(noise=np.ascontiguousarray(noise))
    return run(model, rigs.plucked_state(model, replace(rig, poles=poles)), inputs)


def reordered(record: layout.Record, poles, strings, loops) -> layout.Record:
    """A record as if poles, strings and loops had been listed in these orders."""
    circuits = [2 * a + d for a in loops for d in (0, 1)]
    own = {name: getattr(record, name)[:, list(loops)] for name in ("node", "output", "capacitor", "supply")}
    moved = {name: getattr(record, name)[:, list(poles)] for name in ("displacement", "force")}
    return record._replace(**own, **moved, current=record.current[:, circuits], bridge=record.bridge[:, list(strings)])


def assert_same_record(found: layout.Record, wanted: layout.Record, share: float) -> None:
    for name in layout.Record._fields:
        assert_close(getattr(found, name), getattr(wanted, name), share, name)


@pytest.fixture(scope="module")
def pair():
    found = listed(PAIR, PAIR.poles)
    assert at_rails(found)
    return found


def test_order_of_strings(pair):
    poles = (*(replace(p, string=0) for p in OTHER_POLES), *(replace(p, string=1) for p in (SENSE, DRIVE)))
    found = listed(replace(PAIR, wires=(OTHER_WIRE, WIRE)), poles)
    assert_same_record(reordered(found.record, (2, 3, 0, 1), (1, 0), (0, 1)), pair.record, 1e-9)


def test_order_of_heads(pair):
    """Both the table's rows and the poles of a string."""
    swapped = [replace(pole, head=1 - pole.head) for pole in (DRIVE, SENSE, *OTHER_POLES[::-1])]
    found = listed(replace(PAIR, heads=HEADS[::-1]), swapped)
    assert_same_record(reordered(found.record, (1, 0, 3, 2), (0, 1), (0, 1)), pair.record, 1e-9)


def test_order_of_loops(pair):
    poles = tuple(replace(pole, circuit=(pole.circuit + 2) % 4) for pole in PAIR.poles)
    found = listed(replace(PAIR, loops=PAIR.loops[::-1]), poles, loops=(1, 0))
    assert_same_record(reordered(found.record, range(4), (0, 1), (1, 0)), pair.record, 1e-9)


def test_two_rigs_in_one_model(pair):
    """Nothing passes between two strings with a loop each."""
    alone = [
        replace(PAIR, wires=(WIRE,), poles=(SENSE, DRIVE), loops=PAIR.loops[:1]),
        replace(PAIR, wires=(OTHER_WIRE,), poles=[replace(p, string=0, circuit=p.circuit - 2) for p in OTHER_POLES], loops=PAIR.loops[1:]),
    ]
    noise = noisy_inputs(rigs.build(PAIR, RATE), STEPS).noise
    for s, rig in enumerate(alone):
        model = rigs.build(rig, RATE)
        inputs = noisy_inputs(model, STEPS)._replace(noise=np.ascontiguousarray(noise[:, [s, 2 + s]]))
        found = run(model, rigs.plucked_state(model, rig), inputs)
        assert_same_record(found.record, reordered(pair.record, (2 * s, 2 * s + 1), (s,), (s,)), 1e-9)


NOTHING = rigs.Head(lambda g, y: 0 * g, lambda g, y: 0 * g, lambda g, y: 0 * g)
IDLE = tuple(rigs.Pole(head=2, position=x, circuit=c) for x, c in ((0.1, -1), (0.4, 0)))


@pytest.mark.parametrize("order", ["last", "first"])
def test_heads_without_field_do_nothing(order):
    """Listed first, they push the live ones off the two front places that ride along in the passes over the modes."""
    wanted = plucked(replace(LOUD, **TOUCHING), STEPS, height=-6e-4)
    live = TOUCHING["poles"]
    poles, places = ((*live, *IDLE), (0, 1)) if order == "last" else ((*IDLE, *live), (2, 3))
    contacts = tuple(rigs.Contact(pole=j, loss=0.3) for j in places)
    found = plucked(replace(LOUD, heads=(*HEADS, NOTHING), poles=poles, contacts=contacts), STEPS, height=-6e-4)
    assert at_rails(wanted)
    assert wanted.record.contact.max() > 0.0
    assert np.all(np.delete(found.record.force, places, axis=1) == 0.0)
    assert_same_record(reordered(found.record, places, (0,), (0,)), wanted.record, 1e-11)
    assert_close(found.state.q, wanted.state.q, 1e-11)


def test_dead_modes_do_nothing():
    """Beside a string of 24 partials one of 8 is padded to 24; in a list of its own it is not."""
    wanted = plucked(LOUD, STEPS)
    found = plucked(replace(LOUD, wires=(WIRE, rigs.Wire(partials=24, pitch=100.0))), STEPS)
    assert found.state.q.shape[2] == 24
    assert np.all(found.state.q[0, :, 8:] == 0.0)
    assert_close(found.state.q[0, :, :8], wanted.state.q[0], 1e-11)
    assert_same_record(reordered(found.record, (0, 1), (0,), (0,)), wanted.record, 1e-11)


@pytest.mark.parametrize("place", [0, 1, 2])
def test_one_string_of_several(place):
    """Strings without heads or loops beside it, before and after it."""
    wanted = plucked(LOUD, STEPS)
    wires = [rigs.Wire(pitch=110.0), rigs.Wire(pitch=330.0)]
    wires.insert(place, WIRE)
    found = plucked(replace(LOUD, wires=wires, poles=[replace(p, string=place) for p in LOUD.poles]), STEPS)
    assert_close(found.state.q[place], wanted.state.q[0], 1e-12)
    assert_close(found.state.work[place], wanted.state.work[0], 1e-12)
    assert_same_record(reordered(found.record, (0, 1), (place,), (0,)), wanted.record, 1e-12)
