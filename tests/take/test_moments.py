"""The string at any moment, from what the frames hold: on takes of known content, and on a run that was also booked ten times as often."""

from dataclasses import replace

import numpy as np
import pytest

from consistency.scenario import compiled
from synthetic import AUDIO, LENGTH, Tone, frequency, synthetic_take
from wirebloom.run import simulate
from wirebloom.take.moments import along, has_phases, partials_at, period_at, recorded_at, shape_at

PLACES = np.linspace(0.0, LENGTH, 33)
STEADY = {"growth": 0.0}


def exact(take, tones, string, when):
    """Σ A cos(2πft) sin(nπx/L), the definition of the synthetic take."""
    shape = np.zeros((when.size, 2, PLACES.size))
    for tone in tones:
        if tone.string == string:
            swing = tone.amplitude(when) * np.cos(2.0 * np.pi * frequency(take.sheet, tone) * when)
            shape[:, tone.side] += np.outer(swing, np.sin(tone.partial * np.pi * PLACES / LENGTH))
    return shape


@pytest.mark.parametrize(
    "tones",
    [
        (Tone(**STEADY),),
        (Tone(cents=-30.0, **STEADY), Tone(partial=5, final=0.1e-3, cents=20.0, **STEADY)),
        (Tone(partial=2, **STEADY), Tone(partial=3, final=0.2e-3, side=1, cents=-8.0, **STEADY)),
        (Tone(**STEADY), Tone(string=1, partial=4, final=0.1e-3, cents=5.0, **STEADY)),
    ],
)
@pytest.mark.parametrize("heads", [True, False])
def test_steady_partials_are_where_they_are(tones, heads):
    """Anywhere in a frame, off their free pitch or on it, in both polarisations, with heads to go by and without."""
    take = synthetic_take(tones, duration=0.5, strings=2)
    if not heads:
        take = replace(take, sheet=replace(take.sheet, poles=()))
    when = np.linspace(0.2, 0.25, 57)
    for string in range(2):
        found = shape_at(take, string, when, PLACES)
        np.testing.assert_allclose(found, exact(take, tones, string, when), atol=2e-3 * 0.4e-3)


def test_growing_partials_are_nearly_where_they_are():
    """Straight lines between frames in place of e^(20 t): at most (20·0.01)²/8 = 0.5 % off, by Taylor's remainder."""
    tones = (Tone(growth=20.0, full=0.4),)
    take, when = synthetic_take(tones, duration=0.5), np.linspace(0.3, 0.33, 50)
    bare = replace(take, sheet=replace(take.sheet, poles=()))
    due = exact(take, tones, 0, when)
    assert np.abs(shape_at(bare, 0, when, PLACES) - due).max() < 0.006 * np.abs(due).max()


def test_rest_is_where_it_rests():
    take = synthetic_take((), duration=0.1)
    rest = np.zeros((2, 12))
    rest[0, 0], rest[1, 2] = 2e-5, -1e-5
    lying = replace(take, sheet=replace(take.sheet, strings=(replace(take.sheet.strings[0], rest_m=rest),), poles=()))
    np.testing.assert_allclose(partials_at(lying, 0, [0.03, 0.051]), np.stack([rest, rest]), atol=1e-15)


def test_what_is_recorded_at_a_head_is_met_there_and_nothing_jumps_elsewhere():
    """A steady push of 10 µm at one head that no partial tells of: the string passes there, and by the other head where it was."""
    tones = (Tone(**STEADY),)
    take = synthetic_take(tones, duration=0.2)
    pushed = take.signals.displacement.copy()
    pushed[:, 0, 0] += 1e-5
    found = partials_at(replace(take, signals=replace(take.signals, displacement=pushed)), 0, [0.1, 0.1013])
    plain = partials_at(take, 0, [0.1, 0.1013])
    weights = np.array([pole.weight for pole in take.sheet.poles])
    np.testing.assert_allclose((found - plain)[:, 0] @ weights.T, [[1e-5, 0.0]] * 2, atol=1e-9)
    np.testing.assert_allclose((found - plain)[:, 1], 0.0, atol=1e-12)


@pytest.mark.parametrize(("tone", "partial"), [(Tone(cents=-12.3, **STEADY), 1), (Tone(partial=3, cents=7.0, **STEADY), 3)])
def test_the_period_is_that_of_the_sounding_pitch(tone, partial):
    take = synthetic_take((tone,), duration=0.3)
    due = partial / frequency(take.sheet, tone)
    assert 1200.0 * abs(np.log2(period_at(take, 0, 0.2) / due)) < 0.1


def test_of_silence_and_of_nonsense_it_is_that_of_the_free_string():
    take = synthetic_take((Tone(**STEADY),), duration=0.3)
    free = 1.0 / take.sheet.strings[0].frequency_Hz[0, 0]
    assert period_at(synthetic_take((), duration=0.3), 0, 0.1) == pytest.approx(free, rel=1e-12)
    wild = np.mod(take.frames.phase + 2.0 * np.arange(take.frames.time.size)[:, None, None, None], 6.28).astype(np.float32)
    assert period_at(replace(take, frames=replace(take.frames, phase=wild)), 0, 0.1) == pytest.approx(free, rel=1e-12)


def test_signals_between_their_samples_and_beyond_the_ends():
    take = synthetic_take(duration=0.05)
    ramp = np.stack([np.arange(5.0), -np.arange(5.0)], axis=1)
    found = recorded_at(take, ramp, np.array([-1.0, 0.0, 1.25, 4.0, 9.0]) / AUDIO)
    np.testing.assert_allclose(found[:, 0], [0.0, 0.0, 1.25, 4.0, 4.0])
    np.testing.assert_allclose(found[:, 1], -found[:, 0])
    assert recorded_at(take, np.array([3.0]), [0.0, 1.0]).tolist() == [3.0, 3.0]


def test_only_takes_with_phases_have_phases():
    take = synthetic_take(duration=0.05)
    older = replace(take.frames, phase=np.full_like(take.frames.phase, -1.0))
    assert has_phases(take)
    assert not has_phases(replace(take, frames=older))
    assert not has_phases(synthetic_take(duration=0.0))
    assert not has_phases(replace(take, frames=replace(take.frames, phase=take.frames.phase[:0])))


def test_a_run_booked_every_millisecond_was_where_the_one_booked_every_ten_says():
    """The same bits, booked ten times as often: its exact states between the frames. 3 % of the swing along the whole string."""
    pluck = "start={kind='pluck', position='0.3 L', height='0.3 mm'}"
    coarse, fine = (simulate(compiled(pluck, f"run.frame={frame}")) for frame in ("10 ms", "1 ms"))
    assert (coarse.frames.time.size, fine.frames.time.size) == (9, 81)
    count = fine.sheet.strings[0].frequency_Hz.shape[-1]
    states = fine.frames.amplitude[:, 0, :, :count] * np.cos(fine.frames.phase[:, 0, :, :count])
    due = along(fine, 0, fine.sheet.strings[0].rest_m + states, PLACES)
    found = shape_at(coarse, 0, fine.frames.time, PLACES)
    assert np.abs(found - due)[10:].max() < 0.03 * np.abs(due).max()
    both = slice(20, 80, 10)  # ends of frames that both have, but for the last, at which the last sample is one old
    np.testing.assert_allclose(found[both], due[both], atol=1e-3 * np.abs(due).max())
