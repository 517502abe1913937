"""A string that does not start: the sentence claims no more than the take shows."""

from dataclasses import replace

import numpy as np
import pytest

from synthetic import BIAS, Tone, synthetic_take
from wirebloom.take.measures import measure
from wirebloom.views.verdict import headline, verdict

DYING = (Tone(growth=0.0, drift=-5.0),)


def said_of(take, *, fed=False, **of_loop):
    """Return the headline with what the string's loop and its own feeding are taken to be."""
    found = measure(take)
    assert found.strings[0].outcome == "dying"
    strings = (replace(found.strings[0], fed=fed),)
    return headline(take, replace(found, strings=strings, loops=tuple(replace(loop, **of_loop) for loop in found.loops)))


def of_the_drive(take, signal):
    signals = replace(take.signals, drive_voltage=(BIAS + signal).astype(np.float32))
    return replace(take, signals=signals, frames=replace(take.frames, output_square=np.zeros_like(take.frames.output_square)))


def test_a_short_take_does_not_claim_to_know():
    said = headline(short := synthetic_take(tones=DYING, duration=1.2), measure(short))
    assert said.startswith("It does not start within 1.2 s")
    assert "longer" in said


def test_a_quiet_drive_falls_silent():
    said = said_of(synthetic_take(tones=DYING), drive_rms_V=0.01, drive_saturated=0.0)
    assert said == "It does not start: the string falls silent."


def test_a_stuck_output_is_named():
    said = said_of(synthetic_take(tones=DYING), drive_rms_V=3.0, drive_saturated=1.0)
    assert "the output of loop 1 is stuck at its limit" in said


def test_a_loop_that_hums_without_the_string_is_not_called_silent():
    take = synthetic_take(tones=DYING)
    time = np.arange(take.signals.drive_voltage.shape[0]) / take.audio_rate
    hum = np.sin(2.0 * np.pi * 50.0 * time)[:, None]
    said = said_of(of_the_drive(take, hum), drive_rms_V=0.7, drive_saturated=0.5)
    assert "drifts or hums" in said
    assert "(700 mV rms)" in said


@pytest.mark.parametrize(("fed", "words"), [(True, "run longer"), (False, "falls silent")])
def test_a_note_on_its_way_down_is_not_called_dead_while_it_is_driven(fed, words):
    take = synthetic_take(tones=DYING)
    time = np.arange(take.signals.drive_voltage.shape[0]) / take.audio_rate
    pitch = measure(take).strings[0].pitch_Hz
    note = np.sin(2.0 * np.pi * pitch * time)[:, None]
    assert words in said_of(of_the_drive(take, note), fed=fed, drive_rms_V=0.7, drive_saturated=0.5)


def test_without_a_loop_nothing_is_blamed_on_the_drive():
    take = synthetic_take(tones=DYING)
    poles = tuple(replace(pole, role="idle", loop="") for pole in take.sheet.poles)
    take = replace(take, sheet=replace(take.sheet, poles=poles, loops=()))
    assert headline(take, replace(measure(synthetic_take(tones=DYING)), loops=())).startswith("It does not start, as no loop drives it")


def test_a_gap_pressed_shut_is_nought():
    take = synthetic_take()
    poles = tuple(replace(pole, rest_gap_m=-5e-20) for pole in take.sheet.poles)
    take = replace(take, sheet=replace(take.sheet, poles=poles))
    assert "gap then 0 mm" in dict(verdict(take, measure(take)).rows)["head sense 1"]


def test_power_that_comes_back_says_so():
    take = synthetic_take(tones=DYING)
    found = measure(take)
    loops = tuple(replace(loop, drive_power_W=-1e-4) for loop in found.loops)
    rows = dict(verdict(take, replace(found, loops=loops)).rows)
    assert "100 µW back out of the drive circuit" in rows["drive of loop 1"]


@pytest.mark.parametrize(
    ("rate", "outcome", "words"),
    [
        (-1.0, "dying", "falls by 60 dB in 6.91 s"),  # ln 1000 over the decay rate of the amplitude
        (2.0, "growing", "growth 2 per s"),
        (2.0, "dying", None),
        (-1.0, "growing", None),
    ],
)
def test_a_rate_is_told_in_the_words_of_the_outcome(rate, outcome, words):
    take = synthetic_take()
    found = measure(take)
    string = found.strings[0]
    string = replace(string, outcome=outcome, growth=replace(string.growth, rate_per_s=rate))
    row = dict(verdict(take, replace(found, strings=(string,))).rows)["pier 1"]
    assert (words in row) if words else ("growth" not in row and "60 dB" not in row)


def test_a_note_that_is_there_from_the_start_does_not_start_after_nought_seconds():
    take = synthetic_take(tones=(Tone(growth=0.0),), touch=0.0)
    found = measure(take)
    string = replace(found.strings[0], outcome="sustained", start_time_s=0.0)
    near = replace(string.near, first_touch_s=0.0)
    said = headline(take, replace(found, strings=(replace(string, near=near),)))
    assert said.startswith("It sounds from the first moment on partial 1")
    assert "touches sense 1 from the first moment on" in said


@pytest.mark.parametrize(("residual", "warned"), [(0.03, False), (0.3, True)])
def test_a_ledger_that_does_not_close_is_not_passed_over(residual, warned):
    take = synthetic_take()
    row = dict(verdict(take, replace(measure(take), ledger_residual=residual)).rows)["run"]
    assert ("do not rely on" in row) is warned


@pytest.mark.parametrize(("role", "words"), [("sense", "sense 1 has no magnets"), ("drive", "drive 1 has no magnets")])
def test_a_head_without_magnets_is_the_reason(role, words):
    take = synthetic_take(tones=DYING)
    poles = tuple(replace(pole, force_factor_N_per_A=0.0, pull_N=0.0) if pole.role == role else pole for pole in take.sheet.poles)
    take = replace(take, sheet=replace(take.sheet, poles=poles))
    told = verdict(take, measure(take))
    assert words in told.headline
    assert any("no magnets, so neither pull nor force factor" in said for _, said in told.rows)


def test_a_string_caught_by_a_face_is_not_called_silent():
    take = synthetic_take(tones=DYING)
    found = measure(take)
    near = replace(found.strings[0].near, first_touch_s=0.68, head="sense 1", buzz="resting")
    said = headline(take, replace(found, strings=(replace(found.strings[0], near=near),)))
    assert said.startswith("It does not last: the string meets sense 1 after 0.68 s and stays on its face")
