"""What steps of a maker's knobs do, against rules that hold without this program.

A wrong sign of a step, a ratio turned over, millimetres for metres, or a ranking upside down would show.
"""

from functools import cache
from math import log10

import pytest

from wirebloom.analysis.forecast import forecasts
from wirebloom.analysis.sensitivities import gain, sensitivities
from wirebloom.compile import compile_rig
from wirebloom.rig import load
from wirebloom.take.check_prescriptions import MEASURES, Sensitivity


@cache
def found() -> tuple[Sensitivity, ...]:
    return sensitivities(compile_rig(*load("first_note")))


def of(measure: str, knob: str) -> Sensitivity:
    return next(own for own in found() if (own.measure, own.knob) == (measure, knob))


def test_they_are_ranked_and_each_is_for_the_better() -> None:
    for measure in MEASURES:
        gains = [own.gain for own in found() if own.measure == measure]
        assert gains == sorted(gains, reverse=True)
        assert min(gains, default=1.0) > 0.0
    assert {own.measure for own in found()} >= {"start time", "clearance", "squeal margin"}


def test_motion_goes_as_one_over_the_drive_circuits_resistance() -> None:
    """A saturated loop drives with one voltage: the motion goes as the current, V over the coil's R and what stands beside it. The coil's
    reactance and the pull's own rise leave some per cent."""
    rig = compile_rig(*load("first_note"))
    own, whole = of("clearance", "level resistor of main"), rig.sheet.loops[0].drive_resistance_ohm
    ohm = float(own.overrides[0].partition("=")[2].removesuffix(" ohm"))
    (now,) = forecasts(rig)
    rest = now.clearance_mm + now.reach_mm
    assert (rest - own.after) / now.reach_mm == pytest.approx(whole / (whole + ohm - 130.0), rel=0.1)


def test_crosstalk_falls_with_the_cube_of_the_distance() -> None:
    """Two far dipoles side by side: M ∝ 1/d³, so 60 dB a decade of distance, as far as the margin goes as M alone."""
    own = of("squeal margin", "position of drive")
    shift = float(own.step.removesuffix(" mm"))
    assert shift < 0.0
    assert own.after - own.before == pytest.approx(60.0 * log10((72.96 - shift) / 72.96), rel=0.05)


def test_signs_that_every_maker_knows() -> None:
    assert of("clearance", "gaps of sense and drive").step.startswith("+")
    assert of("clearance", "turns of drive").step.startswith("-")
    assert of("clearance", "supply of main").step.startswith("-")
    assert of("start time", "level resistor of main").step.startswith("-")
    assert "shorter" in of("start time", "level resistor of main").words


def test_gains() -> None:
    assert gain("start time", 8.0, 4.0) == pytest.approx(0.693, abs=1e-3)
    assert gain("clearance", 0.4, 0.6) == pytest.approx(0.5)
    assert gain("clearance", 0.0, 0.05) == pytest.approx(1.0)
    assert gain("squeal margin", 10.0, 9.0) < 0.0
