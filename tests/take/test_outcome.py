"""Does it start, when, and how fast: against the closed forms of the synthetic take.

The definitions tested are the project's own: last second, ±1 dB/s, half of the damping loss, 90 % of the final level.
Growth: ln A rises by the rate a second, a level by 20 log₁₀ e = 8.686 dB a neper (derived).
"""

from dataclasses import replace

import numpy as np
import pytest

from synthetic import Tone, synthetic_take
from wirebloom.take.measures import measure
from wirebloom.take.outcome import outcome

STEADY = Tone(growth=0.0)


def fed_with(take, share):
    """The same take whose drive force, but for its constant pull, is multiplied."""
    force = take.signals.magnetic_force.copy()
    pull = force.mean(axis=0)
    force = (pull + share * (force - pull)).astype(np.float32)
    return replace(take, signals=replace(take.signals, magnetic_force=force))


@pytest.mark.parametrize(
    ("drift", "outcome"), [(0.0, "sustained"), (0.95, "sustained"), (1.05, "growing"), (-0.95, "sustained"), (-1.05, "dying")]
)
def test_steady_means_within_a_decibel_a_second(drift, outcome):
    string = measure(synthetic_take([Tone(growth=0.0, drift=drift)])).leading
    assert string.level_slope_dB_per_s == pytest.approx(drift, abs=1e-6)
    assert string.outcome == outcome
    assert string.starts is (outcome != "dying")


@pytest.mark.parametrize(("share", "outcome"), [(1.0, "sustained"), (0.52, "sustained"), (0.48, "dying"), (0.0, "dying"), (-1.0, "dying")])
def test_fed_means_half_of_the_damping_loss(share, outcome):
    string = measure(fed_with(synthetic_take([STEADY]), share)).leading
    assert string.outcome == outcome
    assert string.fed is (outcome != "dying")


def test_a_constant_pull_feeds_nothing():
    take = synthetic_take([Tone(final=1e-8, growth=0.0)])
    string = measure(fed_with(take, 0.0)).leading
    assert not string.fed


def test_start_time_is_when_nine_tenths_are_reached():
    string = measure(synthetic_take([Tone(growth=6.0, full=0.85)])).leading
    assert string.start_time_s == pytest.approx(0.85 + np.log(0.9) / 6.0, abs=1e-6)


def test_no_start_time_while_still_growing():
    string = measure(synthetic_take([Tone(growth=1.0, full=9.0, final=0.4)])).leading
    assert (string.outcome, string.start_time_s) == ("growing", None)


@pytest.mark.parametrize(("partial", "rate", "side"), [(1, 12.0, 0), (4, 31.0, 0), (2, 9.0, 1)])
def test_growth_rate(partial, rate, side):
    take = synthetic_take([Tone(partial=partial, growth=rate, full=2.0, side=side), Tone(partial=7, final=1e-9, growth=0.0)])
    found = measure(take).leading.growth
    assert found is not None
    assert found.rate_per_s == pytest.approx(rate, rel=1e-6)
    assert (found.partial, found.polarisation) == (partial, side)


def test_growth_is_read_below_a_hundredth_of_the_swing():
    tone = Tone(growth=12.0, full=1.0)
    found = measure(synthetic_take([tone])).leading.growth
    factor, weight, gain, swing = 0.0144, np.sin(0.4 * np.pi), 1e4, 3.0
    height = gain * factor * weight * 2.0 * np.pi * 196.0 * tone.amplitude(np.array([found.end_s]))[0]
    assert 0.8 * 0.01 * swing < height < 1.1 * 0.01 * swing  # the rms of a frame lags behind its end by half a frame


def test_growth_out_of_noise_leaves_the_noise_out():
    take = synthetic_take([Tone(growth=12.0, full=1.0)], floor=2e-9)
    assert measure(take).leading.growth.rate_per_s == pytest.approx(12.0, rel=0.01)


def test_decay_is_a_negative_growth():
    string = measure(synthetic_take([Tone(final=1e-8, growth=0.0, drift=-0.6 * 20.0 * np.log10(np.e))])).leading
    assert string.growth_rate_per_s == pytest.approx(-0.6, rel=1e-6)
    assert string.outcome == "dying"


def test_growth_too_small_to_saturate_is_growing():
    string = measure(synthetic_take([Tone(growth=1.0, full=10.0)])).leading
    assert string.outcome == "growing"


def test_noise_that_rises_is_not_a_note():
    """Below 1 % of the swing, a level that wanders up by a few dB while noise fills the drive is not growth."""
    take = synthetic_take([Tone(final=1e-9, growth=0.0, drift=2.0)])
    random = np.random.default_rng(5)
    wander = np.exp(0.4 * np.sin(np.linspace(0.0, 19.0, take.frames.time.size)))[:, None, None, None]
    volts = take.signals.drive_voltage + 2e-3 * random.standard_normal(take.signals.drive_voltage.shape).astype(np.float32)
    take = replace(
        take,
        signals=replace(take.signals, drive_voltage=volts),
        frames=replace(take.frames, amplitude=take.frames.amplitude * wander),
    )
    string = measure(take).leading
    assert string.level_slope_dB_per_s > 1.0
    assert string.outcome == "dying"


def test_the_leading_string_starts_even_if_a_dying_one_is_louder():
    tones = [Tone(final=0.1e-3, growth=0.0, string=1), Tone(final=0.4e-3, growth=0.0, drift=-3.0)]
    measures = measure(synthetic_take(tones, strings=2))
    assert [string.outcome for string in measures.strings] == ["dying", "sustained"]
    assert measures.leading.name == "pier 2"
    assert measures.starts is True


@pytest.mark.parametrize(("cents", "outcome"), [(-507.0, "carried"), (20.0, "sustained")])
def test_a_faint_string_at_another_pitch_is_only_carried(cents, outcome):
    """West at its own pitch; east fainter, at its own pitch or a fourth below it."""
    tones = [Tone(final=0.4e-3, growth=0.0), Tone(final=0.05e-3, growth=0.0, cents=cents, string=1)]
    west, east = measure(synthetic_take(tones, strings=2)).strings
    assert (west.outcome, east.outcome) == ("sustained", outcome)
    assert (east.start_time_s is None) == (outcome == "carried")


def test_a_single_string_is_never_carried():
    """However far gain and magnets pull it: there is nobody else to move it."""
    assert measure(synthetic_take([Tone(growth=0.0, cents=-690.0)])).leading.outcome == "sustained"


def test_noise_that_passes_one_per_cent_now_and_then_is_no_note():
    """A silent string under a loop of noise: whether 0, 3 or 49 of a hundred frames pass the limit, nothing has started."""
    take = synthetic_take([Tone(final=1e-8, growth=0.0)])
    linear = np.ones(take.frames.time.size, dtype=bool)
    for passing in (0, 3, 49):
        linear[-passing - 1 : -1] = False
        assert outcome(take, 0, linear, None, None) == "dying"
    assert outcome(take, 0, np.zeros_like(linear), None, None) == "sustained"
