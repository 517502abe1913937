"""What must come out the same, bit for bit, and what must not.

| what is repeated                                 | what must come out        |
|--------------------------------------------------|---------------------------|
| the same model, start and inputs                 | the same bits             |
| the same seed, in stretches of any length        | the same inputs           |
| another seed                                     | other noise, other motion |
| one call of many steps, or many calls of a few   | the same bits             |
| calls of one step                                | the same bits             |
| a state set down and taken up again              | the same bits             |
| a whole run of a scenario with one seed          | the same take             |
| the same, told in frames of another length       | the same signals          |
| a run, with the model and start it was given     | left as they were         |

Something in the loop's scratch that outlives a step, a clock that counts calls, noise drawn per call or a random number
without a seed would show.
"""

import numpy as np
import pytest

from consistency.runs import CROWDED, RATE, assert_same_bits, copied, noisy_inputs, run
from consistency.scenario import compiled
from twins import rigs
from wirebloom.kernels import layout, loop
from wirebloom.rig import RunPlan
from wirebloom.run import simulate
from wirebloom.run.inputs import Source

STEPS = 960


@pytest.fixture(scope="module")
def crowded():
    model = rigs.build(CROWDED, RATE)
    start, inputs = rigs.plucked_state(model, CROWDED, height=-6e-4), noisy_inputs(model, STEPS)
    found = run(model, start, inputs)
    assert found.record.contact.max() > 0.0
    return model, start, inputs, found


def part(inputs, first, last):
    return layout.Inputs(*(array[first:last] for array in inputs))


def in_parts(crowded, lengths):
    """The run in calls of these many steps."""
    model, start, inputs, _ = crowded
    state, records, first = copied(start), [], 0
    loop.begin(model, state)
    for count in lengths:
        records.append(rigs.empty_record(model, count))
        assert loop.advance(model, state, part(inputs, first, first + count), records[-1])[0] == loop.DONE
        first += count
    assert first == STEPS
    return state, layout.Record(*(np.concatenate(arrays) for arrays in zip(*records, strict=True)))


def test_the_same_again(crowded):
    model, start, inputs, wanted = crowded
    found = run(model, start, inputs)
    assert_same_bits(found.state, wanted.state)
    assert_same_bits(found.record, wanted.record)


@pytest.mark.parametrize("lengths", [(480, 480), (1, 958, 1), (7,) * 137 + (1,), (1,) * 960], ids=["half", "ends", "sevens", "ones"])
def test_calls_of_any_length(crowded, lengths):
    state, record = in_parts(crowded, lengths)
    assert_same_bits(state, crowded[3].state)
    assert_same_bits(record, crowded[3].record)


def test_a_call_of_no_steps_changes_nothing(crowded):
    model, start, inputs, _ = crowded
    state = copied(start)
    assert loop.advance(model, state, part(inputs, 0, 0), rigs.empty_record(model, 0)) == (loop.DONE, 0, -1)
    assert_same_bits(state, start)


def source(seed):
    return Source(RunPlan(seed=seed, start={"kind": "noise"}), noises=4, drivers=0)


def test_seed_makes_the_noise():
    whole = source(5).next(0, 1000)
    parts = source(5)
    pieces = [parts.next(first, count) for first, count in ((0, 1), (1, 600), (601, 399))]
    for name in layout.Inputs._fields:
        np.testing.assert_array_equal(np.concatenate([getattr(piece, name) for piece in pieces]), getattr(whole, name), err_msg=name)
    other = source(6).next(0, 1000).noise
    assert np.abs(np.corrcoef(other.ravel(), whole.noise.ravel())[0, 1]) < 0.1


def test_noise_is_unit_white_and_independent():
    """Four columns of 50 000 normals: mean 0, variance 1, no correlation between columns or from one step to the next."""
    noise = source(7).next(0, 50_000).noise.reshape(-1, 4)
    later = np.hstack([noise[:-1], noise[1:]])
    assert np.abs(noise.mean(axis=0)).max() < 0.02
    np.testing.assert_allclose(np.cov(later.T), np.eye(8), atol=0.03)


def test_a_scenario_again():
    first = simulate(compiled())
    again, other = simulate(compiled()), simulate(compiled("run.seed=2"))
    assert_same_bits(again.signals, first.signals, tuple(vars(first.signals)))
    assert_same_bits(again.frames, first.frames, tuple(vars(first.frames)))
    assert not np.array_equal(other.signals.sense_voltage, first.signals.sense_voltage)


def test_frames_of_another_length_change_no_signal():
    first, other = simulate(compiled()), simulate(compiled("run.frame=4 ms"))
    assert_same_bits(other.signals, first.signals, tuple(vars(first.signals)))


def test_a_run_leaves_what_it_was_given(crowded):
    ready = compiled()
    model, state = [array.copy() for array in flat(ready.model)], copied(ready.state)
    simulate(ready)
    assert_same_bits(ready.state, state)
    for now, before in zip(flat(ready.model), model, strict=True):
        np.testing.assert_array_equal(now, before)


def flat(model):
    return [np.asarray(array) for part in model for array in (part if isinstance(part, tuple) else (part,))]
