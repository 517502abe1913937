"""The level that keeps a clearance: what was found is run again by other means; extremes end as they must."""

from dataclasses import replace

import numpy as np
import pytest

from consistency.scenario import compiled
from wirebloom.circuit.series import E24
from wirebloom.compile import compile_rig
from wirebloom.errors import RigError
from wirebloom.rig import load
from wirebloom.run import simulate
from wirebloom.run.level import at_least, find_level
from wirebloom.run.settling import carried_over, rest_gaps, settle
from wirebloom.take.measures import measure

KEY = "loops.main.amplifier.level_resistor"


def rig_of(name, *overrides):
    return lambda ohm: compile_rig(*load(name, [*overrides, f"{KEY}={ohm:.9g} ohm"]))


@pytest.mark.slow
def test_a_whole_run_with_the_resistor_found_keeps_the_clearance():
    """And the preferred value below it does not, or is less than the settled level takes."""
    build = rig_of("first_note")
    found = find_level(build, 0, 0.45e-3, 130.0)
    assert found.kind == "found"
    values = [number * 10.0**decade for decade in range(3) for number in E24]
    below = values[values.index(found.ohm) - 1]
    near = measure(simulate(build(found.ohm))).near
    assert near.clearance_mm == pytest.approx(found.clearance_mm, abs=1e-3)
    assert near.clearance_mm > 0.995 * 0.45
    assert below < found.exact_ohm or measure(simulate(build(below))).near.clearance_mm < 0.45
    assert found.strong_mm < found.clearance_mm


@pytest.mark.slow
def test_the_motion_goes_with_the_drive():
    """More clearance takes more resistance, and leaves less current: reach about as the current (DER, saturated drive)."""
    near, far = (find_level(rig_of("first_note"), 0, wanted, 130.0) for wanted in (0.4e-3, 0.7e-3))
    assert far.ohm > near.ohm
    reach = (0.984 - far.clearance_mm) / (0.984 - near.clearance_mm)
    assert far.drive_A / near.drive_A == pytest.approx(reach, rel=0.15)


def test_a_string_that_keeps_clear_at_full_drive_needs_none():
    found = find_level(rig_of("overtones", "run.duration=3 s"), 0, 0.05e-3, 0.0)
    assert (found.kind, found.ohm) == ("none needed", 0.0)
    assert found.clearance_mm > 0.05


def test_a_string_that_does_not_sound_has_no_level():
    found = find_level(rig_of("too_far", "run.duration=3 s"), 0, 0.3e-3, 0.0)
    assert (found.kind, found.outcome) == ("silent", "dying")


def test_no_more_clearance_than_there_is_at_rest():
    said = r"^--clearance must be less than the least gap at rest \(9\d\d\.?\d* um\); instead received 1 mm\.$"
    with pytest.raises(RigError, match=said):
        find_level(rig_of("first_note"), 0, 1e-3, 0.0)


def test_a_magnet_that_holds_the_string_on_a_face_leaves_no_clearance():
    latched = "heads.sense.magnets=[{ shape = 'disc', diameter = '10 mm', thickness = '5 mm', grade = 'N42' }]"
    with pytest.raises(RigError, match="--clearance must be less than the least gap at rest"):
        find_level(rig_of("first_note", latched, "heads.sense.gap=0.3 mm"), 0, 0.25e-3, 0.0)


@pytest.mark.parametrize(("ohm", "value"), [(100.0, 100.0), (100.1, 110.0), (91.5, 100.0), (910.0, 910.0), (0.95, 1.0), (46e3, 47e3)])
def test_next_preferred_value(ohm, value):
    assert at_least(ohm) == pytest.approx(value)


def test_carried_over_is_motion_about_rest():
    bench = compiled()
    moved = bench.state._replace(q=bench.rest + 1e-4, v=bench.state.v + 0.2)
    half = carried_over(bench, moved, 0.5)
    assert half.q - bench.rest == pytest.approx(np.full_like(bench.rest, 5e-5))
    assert half.v == pytest.approx(np.full_like(moved.v, 0.1))
    assert moved.v == pytest.approx(np.full_like(moved.v, 0.2))


def test_going_on_is_as_if_it_had_never_stopped():
    """A second in one piece or in two: the same least gap in the last quarter, to the bit but for the seed's noise."""
    bench = compiled("loops.main.amplifier.noise=0 V/rtHz", "start={ kind = 'pluck', position = '0.3 L', height = '0.2 mm' }")
    quiet = replace(bench, model=bench.model._replace(coils=bench.model.coils._replace(noise=np.zeros(2))))
    whole = settle(quiet, None, 1.0)
    half = settle(quiet, settle(quiet, None, 0.5).state, 0.5)
    assert half.gap_m == pytest.approx(whole.gap_m, abs=1e-12)
    assert half.rest_m == pytest.approx(rest_gaps(bench)[half.pole])
