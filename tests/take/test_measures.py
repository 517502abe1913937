"""Ledger figures, and that any take at all can be measured: short, cut off, silent, without loop or head."""

import json
from dataclasses import replace

import numpy as np
import pytest

from bands import banded
from supplied import supplied
from synthetic import Tone, synthetic_take
from wirebloom.take.measures import measure
from wirebloom.take.summary import summary

KEYS = {
    "starts", "outcome", "start_time_s", "growth_rate_per_s", "dominant_partial", "pitch_Hz", "clearance_mm", "first_touch_s",
    "drive_rms_V", "drive_rms_A", "drive_power_W", "realtime_factor", "ledger_residual",
}  # fmt: skip
UNITLESS = {
    "title", "status", "seed", "starts", "outcome", "dominant_partial", "dominant_at_head", "buzz", "clearance_head", "ledger_residual",
    "ledger_drift", "realtime_factor", "drive_crest", "drive_saturated", "digest", "name", "string", "partial", "polarisation",
    "strings", "loops", "growth", "band_note", "head", "equilibrium", "loop", "duty", "limit", "enamel", "squeals", "string_share",
    "drops_out",
}  # fmt: skip
UNITS = ("_s", "_per_s", "_Hz", "_dB", "_dBA", "_cent", "_mm", "_V", "_A", "_W", "_N", "_N_per_A", "_ohm", "_H", "_degC", "_h")


def without(take, *, poles=False):
    """The same take of a rig without loops, and without heads if asked."""
    sheet, signals, frames = take.sheet, take.signals, take.frames
    kept = slice(0, 0) if poles else slice(None)
    idle = tuple(replace(pole, role="idle", loop="") for pole in sheet.poles)[kept]
    bare = ("sense_voltage", "drive_voltage", "capacitor_voltage", "sense_current", "drive_current")
    signals = replace(signals, **{name: getattr(signals, name)[:, :0] for name in bare})
    signals = replace(signals, **{name: getattr(signals, name)[:, kept] for name in ("displacement", "magnetic_force", "contact_force")})
    frames = replace(frames, **{name: getattr(frames, name)[:, :0] for name in ("supplied", "noise", "drive_heat", "sense_heat")})
    frames = replace(frames, **{name: getattr(frames, name)[:, kept] for name in ("least_gap", "most_contact", "drive_work")})
    return replace(take, sheet=replace(sheet, poles=idle, loops=()), signals=signals, frames=frames)


def numbers(value, key=""):
    """Every number of a JSON object with its key."""
    if isinstance(value, dict):
        return [found for name, part in value.items() for found in numbers(part, name)]
    if isinstance(value, list):
        return [found for part in value for found in numbers(part, key)]
    return [(key, value)]


def answer(take):
    text = json.dumps(summary(take, measure(take)), allow_nan=False)
    return json.loads(text)


def test_ledger_residual_is_relative_to_the_energy_stored():
    """The residual grows with time to 1 nJ; stored is ½m(ωA)² of a steady partial (closed form)."""
    measures = measure(synthetic_take([Tone(growth=0.0)], residual=-1e-9))
    stored = 0.5 * (8.9e-4 * 0.64 / 2.0) * (2.0 * np.pi * 196.0 * 0.4e-3) ** 2
    assert measures.ledger_residual == pytest.approx(1e-9 / stored, rel=1e-9)


def test_ledger_drift_is_relative_to_what_was_put_in():
    take = synthetic_take([Tone(growth=0.0)], residual=-1e-9)
    assert measure(take).ledger_drift == pytest.approx(1e-9 / float(take.frames.supplied[-1].sum()), rel=1e-9)


def test_magnetic_energy_below_its_start_counts_by_its_size():
    take = synthetic_take([Tone(growth=0.0)], residual=1e-9)
    sunk = np.full(take.frames.time.size, -1e-3)
    share = measure(replace(take, frames=replace(take.frames, magnetic_energy=sunk))).ledger_residual
    assert share == pytest.approx(1e-9 / 1.034e-3, rel=0.01)


@pytest.mark.parametrize("duration", [0.0, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 1.0])
@pytest.mark.parametrize("tones", [(), (Tone(),), (Tone(growth=0.0), Tone(growth=0.0, string=1))], ids=["silent", "one", "two"])
def test_takes_of_any_length_can_be_measured(duration, tones):
    take = synthetic_take(tones, duration=duration, strings=2, status="interrupted")
    found = answer(take)
    assert found.keys() >= KEYS
    if duration < 0.2:
        assert found["outcome"] is None
        assert found["starts"] is None


@pytest.mark.parametrize("poles", [False, True])
def test_a_rig_without_a_loop_can_be_measured(poles):
    found = answer(without(synthetic_take([Tone(growth=0.0, drift=-3.0)]), poles=poles))
    assert (found["outcome"], found["drive_rms_V"], found["dominant_at_head"]) == ("dying", None, None)
    assert (found["clearance_mm"] is None) is poles


def test_silence_is_dying_and_has_no_pitch():
    found = answer(synthetic_take(()))
    assert (found["outcome"], found["starts"]) == ("dying", False)
    assert found["pitch_Hz"] is found["dominant_partial"] is found["growth_rate_per_s"] is None


@pytest.mark.parametrize("strings", [1, 3])
def test_keys_end_in_their_unit(strings):
    found = answer(supplied(banded(synthetic_take(strings=strings, touch=1.2))))
    for key, value in numbers(found):
        assert key in UNITLESS or (key.endswith(UNITS) and (value is None or np.isfinite(value))), key


def test_each_string_stands_under_strings_where_there_are_several():
    assert "strings" not in answer(synthetic_take())
    found = answer(synthetic_take([Tone(growth=0.0), Tone(growth=0.0, final=0.6e-3, string=1)], strings=2))
    assert [string["name"] for string in found["strings"]] == ["pier 1", "pier 2"]
    assert found["pitch_Hz"] == found["strings"][1]["pitch_Hz"] == pytest.approx(294.0, rel=1e-5)
    assert found["drive_power_W"] == pytest.approx(sum(loop["drive_power_W"] for loop in found["loops"]))


@pytest.mark.parametrize("wall", [{}, {"kernel_s": 0.0, "realtime_factor": 0.0}, {"realtime_factor": float("inf")}])
def test_no_realtime_factor_without_a_run(wall):
    assert measure(replace(synthetic_take(duration=0.1), wall=wall)).realtime_factor is None
