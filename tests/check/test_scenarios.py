"""What `check` says of every shipped scenario without running it, against what the run then does.

Runs go on from their own start until nothing changes: at the end of its story the low string still gains a tenth.
"""

import pytest

from settled import observed
from wirebloom.analysis.check import check
from wirebloom.analysis.saturated import saturated
from wirebloom.compile import compile_rig
from wirebloom.rig import load, shipped_scenarios

VERDICTS = {
    "first_note": "starts",
    "from_noise": "starts",
    "low_string": "starts",
    "overtones": "starts",
    "power_chip": "starts",
    "reversed": "silent",
    "too_close": "touches",
    "too_far": "silent",
    "too_near": "squeals",
    "two_stages": "starts",
    "two_strings_one_loop": "starts",
    "two_strings_two_loops": "starts",
}
WITHIN = {"two_strings_one_loop": 0.1}  # its strings hang 2.5 mm beside the heads' axes and move sideways too, which is left out
SOUNDING = [name for name, verdict in VERDICTS.items() if verdict == "starts"]


def checked(name: str):
    return check(compile_rig(*load(name)))


def test_every_shipped_scenario_has_its_verdict_here() -> None:
    assert set(VERDICTS) == set(shipped_scenarios())


@pytest.mark.parametrize(("name", "verdict"), VERDICTS.items())
def test_verdict(name: str, verdict: str) -> None:
    assert checked(name).verdict == verdict


@pytest.mark.long
@pytest.mark.parametrize("name", SOUNDING)
def test_the_note_that_sounds(name: str) -> None:
    """Of the first string: the state that the run ends in is one of two, with its amplitude, clearance and drive voltage."""
    compiled = compile_rig(*load(name))
    run, ends = observed(compiled), saturated(compiled).of(compiled.rig.strings[0].name)[:2]
    told = next((state for state in ends if state.partial == run.partial), None)
    assert run.end == "steady"
    assert told is not None
    assert not told.touches
    assert told.amplitude_m == pytest.approx(run.amplitude_m, rel=WITHIN.get(name, 0.01))
    assert told.clearance_m == pytest.approx(run.clearance_m, abs=0.05e-3)
    assert told.drive_rms_V == pytest.approx(run.drive_V, rel=0.05)


@pytest.mark.parametrize("name", [name for name, verdict in VERDICTS.items() if verdict == "silent"])
def test_nothing_grows_in_a_silent_one(name: str) -> None:
    assert checked(name).small.fastest is None
