"""What may be rescaled without changing what happens.

| what changes                                          | what must not                                | how exactly |
|-------------------------------------------------------|----------------------------------------------|-------------|
| unit of mass, length, time or current, × 4 or ÷ 4     | state, record and ledger told in those units | the same bits |
| the same with a face that is hit                      | the same                                     | 1e-9        |
| twice the turns on the sense coil, half the gain      | everything but the sense coil's own numbers  | the same bits |
| twice the turns on the drive coil, twice the voltages | the motion; half the current                 | the same bits |
| twice the mass, tension, axial stiffness, no heads    | the motion; twice the bridge force           | the same bits |
| twice the length, 4 T, 16 EA, no heads                | the motion; twice the bridge force           | 1e-11       |

Powers of two because a computer multiplies by them without rounding: a kick that forgets one h, an energy that counts a
speed once, a noise or a limit in the wrong unit shows in the first digits, not in the last.
"""

from dataclasses import replace

import numpy as np
import pytest

from consistency.runs import CROWDED, LOOP, RATE, RIG, assert_all_close, assert_same_bits, noisy_inputs, plucked, run
from consistency.units import SUMS, model_in, told_in
from twins import rigs

STEPS = 1500
UNITS = {"mass": (4, 1, 1, 1), "length": (1, 4, 1, 1), "time": (1, 1, 4, 1), "current": (1, 1, 1, 4), "all": (4, 0.25, 0.25, 4)}


def in_units(units, rig):
    """The same run in SI and in other units, both told in the other units."""
    model = rigs.build(rig, RATE)
    start, inputs = rigs.plucked_state(model, rig, height=-6e-4), noisy_inputs(model, STEPS)
    inputs = inputs._replace(force=0.05 * inputs.force)
    plain = run(model, start, inputs)
    other = run(model_in(units, model), told_in(units, start), told_in(units, inputs))
    told = (told_in(units, plain.state), told_in(units, plain.record))
    return (other.state, other.record), told


def of_one_unit(told):
    """Names of the arrays that have one unit."""
    return tuple(name for name in told._fields if name not in SUMS)


@pytest.mark.parametrize("name", UNITS)
def test_units_are_ours_to_choose(name):
    clear = replace(CROWDED, contacts=())
    for found, wanted in zip(*in_units(UNITS[name], clear), strict=True):
        assert_same_bits(found, wanted, of_one_unit(wanted))


@pytest.mark.parametrize("name", UNITS)
def test_units_are_ours_to_choose_at_a_face(name):
    """Not bit for bit: when to look for the face is decided by an absolute distance."""
    found, wanted = in_units(UNITS[name], CROWDED)
    assert wanted[1].contact.max() > 0.0
    for ours, theirs in zip(found, wanted, strict=True):
        assert_all_close(ours, theirs, 1e-9, of_one_unit(theirs))


def test_turns_against_gain():
    """Λ and M double, L₁, L and R quadruple, C and G quarter: e doubles, and half the gain hears what was heard before."""
    plain, rewound = replace(RIG, loops=(replace(LOOP, offset=1e-4),)), wound_twice(RIG.heads[0])
    loop = replace(
        doubled_winding(plain.loops[0], "sense"),
        node_capacitance=LOOP.node_capacitance / 4,
        node_conductance=LOOP.node_conductance / 4,
        gain=LOOP.gain / 2,
        rate=LOOP.rate / 2,
        offset=2e-4,
        coil_noise=2 * LOOP.coil_noise,
        input_noise=2 * LOOP.input_noise,
    )
    found = plucked(replace(plain, heads=(rewound, RIG.heads[1]), loops=(loop,)), STEPS)
    wanted = plucked(plain, STEPS)
    np.testing.assert_array_equal(found.record.node, 2 * wanted.record.node)
    np.testing.assert_array_equal(found.record.current[:, 0], wanted.record.current[:, 0] / 2)
    assert_same_bits(found.record, wanted.record, ("displacement", "force", "output", "bridge"))


def test_turns_against_supply():
    plain, rewound = RIG, wound_twice(RIG.heads[1])
    loop = replace(doubled_winding(LOOP, "drive"), gain=2 * LOOP.gain, rate=2 * LOOP.rate, slew=2 * LOOP.slew, low=-6.0, high=6.0)
    found = plucked(replace(plain, heads=(RIG.heads[0], rewound), loops=(loop,)), STEPS)
    wanted = plucked(plain, STEPS)
    np.testing.assert_array_equal(found.record.output, 2 * wanted.record.output)
    np.testing.assert_array_equal(found.record.current[:, 1], wanted.record.current[:, 1] / 2)
    assert_same_bits(found.record, wanted.record, ("displacement", "force", "node", "bridge"))


def wound_twice(head):
    return replace(head, flux=lambda g, y: 2 * head.flux(g, y), inductance=lambda g, y: 4 * head.inductance(g, y))


def doubled_winding(loop, which):
    twice = {f"{which}_{part}": 4 * getattr(loop, f"{which}_{part}") for part in ("inductance", "resistance")}
    return replace(loop, mutual=2 * loop.mutual, **twice)


def test_a_heavier_string_moves_the_same():
    """f = √(T/μ)/2L: twice of both, and twice EA against the tension's rise, leave the motion and double the forces."""
    bare = rigs.Rig()
    heavy = replace(bare, wires=(replace(bare.wires[0], density=2 * bare.wires[0].density, axial=2 * bare.wires[0].axial),))
    found, wanted = plucked(heavy, STEPS, height=2e-3), plucked(bare, STEPS, height=2e-3)
    assert_same_bits(found.state, wanted.state, ("q", "v"))
    np.testing.assert_array_equal(found.record.bridge, 2 * wanted.record.bridge)
    np.testing.assert_array_equal(found.state.work, 2 * wanted.state.work)


def test_a_longer_string_at_the_same_pitch_moves_the_same():
    """At one density and one pitch T quadruples; k halves, so that (EA/4) k⁴ q³/μ stays if EA grows sixteenfold."""
    bare = rigs.Rig()
    wire = bare.wires[0]
    long = replace(bare, wires=(replace(wire, length=2 * wire.length, axial=16 * wire.axial),))
    found = run_with_corner(long, 0.26)
    wanted = run_with_corner(bare, 0.13)
    assert_all_close(found.state, wanted.state, 1e-11, ("q", "v"))
    np.testing.assert_allclose(found.record.bridge, 2 * wanted.record.bridge, rtol=0, atol=1e-10 * np.abs(wanted.record.bridge).max())


def run_with_corner(rig, position):
    model = rigs.build(rig, RATE)
    return run(model, rigs.plucked_state(model, rig, height=2e-3, position=position), rigs.quiet_inputs(model, STEPS))
