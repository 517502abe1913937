"""Test points against takes whose voltages and currents are known by construction.

Caught: peak for rms, an output with its bias in it, a band upside down, microvolts told as a reading, what a loop draws at rest without its
devices' data sheets. Form factor: an averaging meter shows π/(2√2) of the mean of the rectified wave, which of a square wave is 1.11
times its rms (textbook).
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from wirebloom.take.band import Band, End, StringEnd
from wirebloom.take.measures import measure
from wirebloom.views.bench import bench_of
from wirebloom.views.idle_points import quiescent
from wirebloom.views.playing_points import inverted, level_band, sensed
from wirebloom.views.test_points import PLAYING
from wirebloom.views.test_points import test_points as points_of

from .bench_takes import moment, steady

FACTOR, AMPLITUDE, PITCH = 0.0144, 0.4e-3, 196.0  # of the synthetic take
SENSED = FACTOR * 2.0 * math.pi * PITCH * AMPLITUDE * abs(math.sin(0.4 * math.pi))  # V, peak


def found(take, title, what, where=""):
    tables = {one.title: one for one in points_of(take, bench_of(take), measure(take))}
    rows = [dict(zip(tables[title].columns, row, strict=True)) for row in tables[title].rows]
    return next(row for row in rows if row["measure"] == what and where in row["where"])


def test_input_is_rms():
    take = steady()
    assert sensed(take, 0) == pytest.approx(SENSED / math.sqrt(2.0), rel=1e-3)
    assert found(take, "Test points while it plays", "input, AC")["expect"] == f"{1e3 * SENSED / math.sqrt(2.0):.2f} mV"


def test_output_is_rms_about_its_bias():
    row = found(steady(), "Test points while it plays", "output, AC")  # gain 1e4 against a swing of 3 V: all but a square wave
    volts = float(row["expect"].split()[0])
    assert 2.9 < volts <= 3.0
    assert row["in order within"] == "2.7 to 3.3 V"  # the supply sets it


def test_output_below_its_limits_goes_with_the_string():
    row = found(steady(gain=10.0), "Test points while it plays", "output, AC")
    low, high = (float(word) for word in row["in order within"].split()[::2][:2])
    assert high / low == pytest.approx(4.0, rel=0.05)  # half to twice, as no band is known


def test_idle_of_a_plain_loop():
    assert found(steady(), "Test points with the strings held", "output, DC")["expect"] == "4.5 V"
    assert found(steady(), "Test points with the strings held", "output, DC")["in order within"] == "3.6 to 5.4 V"
    assert found(steady(split=True), "Test points with the strings held", "output, DC")["in order within"] == "-0.9 to 0.9 V"
    assert found(steady(), "Test points with the strings held", "supply current")["expect"] == "5 mA"


def test_current_at_rest_by_data_sheets():
    take = moment("two_stages")
    loop, sheet = bench_of(take).rig.loops[0], take.sheet.loops[0]
    assert quiescent(loop, sheet) == pytest.approx((2e-3 + 20e-3, 8e-3 + 100e-3))  # of both presets, least and greatest
    assert quiescent(None, sheet) == pytest.approx((0.5 * sheet.quiescent_A, 2.0 * sheet.quiescent_A))


def test_noise_too_small_for_a_meter():
    sheet = steady().sheet
    loops = (replace(sheet.loops[0], idle_noise_V=8e-3, idle_hum_V=6e-3),)
    take = replace(steady(), sheet=replace(sheet, loops=loops))
    held = "Test points with the strings held"
    assert found(take, held, "output, AC")["expect"] == "10 mV"  # 8 and 6 by power
    assert found(take, held, "output, AC")["in order within"] == "up to 20 mV"
    assert found(take, held, "input, AC")["expect"] == "less than 100 µV"


def test_noise_beyond_the_swing_stays_within_it():
    sheet = steady().sheet
    take = replace(steady(), sheet=replace(sheet, loops=(replace(sheet.loops[0], idle_noise_V=50.0),)))
    assert found(take, "Test points with the strings held", "output, AC")["expect"] == "3 V"


def test_level_resistor_tells_the_current():
    row = found(moment_that_plays(), "Test points while it plays", "level resistor, AC")
    volts, amperes = float(row["expect"].split()[0]), float(row["expect"].split(": ")[1].split()[0])
    assert volts / (1e-3 * amperes) == pytest.approx(130.0, rel=0.01)


def moment_that_plays():
    """The synthetic take with the scenario of a shipped one, whose loop has a level resistor of 130 Ω."""
    take, shipped = steady(), moment()
    loops = (replace(take.sheet.loops[0], name="main"),)
    poles = tuple(replace(pole, loop="main") for pole in take.sheet.poles)
    return replace(take, scenario=shipped.scenario, sheet=replace(take.sheet, loops=loops, poles=poles))


def test_inverting_input_is_read_behind_its_stage():
    take = moment("two_stages")
    gain = inverted(bench_of(take).rig.loops[0], take, take.sheet.loops[0])
    assert gain == pytest.approx(100.0, rel=0.01)  # 2.4 kΩ over 24 Ω, as the scenario says
    assert inverted(bench_of(moment()).rig.loops[0], moment(), moment().sheet.loops[0]) is None


def end(force):
    string = StringEnd("free", "sustained", 1.0, 5.0, 1, 196.0, force, 0.3, "sense 1", None, "none")
    return End("complete", (string,), np.zeros((1, 1)))


def test_band_of_what_a_loop_hears():
    take = steady()
    force = measure(take).strings[0].bridge_force_N
    sheet = replace(take.sheet.poles[0], factor_low=0.7, factor_high=1.5)
    banded = replace(
        take, sheet=replace(take.sheet, poles=(sheet, take.sheet.poles[1])), band=Band(weak=end(0.8 * force), strong=end(1.2 * force))
    )
    assert level_band(banded, measure(banded), [0]) == pytest.approx((0.7 * 0.8, 1.5 * 1.2))


def test_gap_at_rest_by_the_band_of_the_pull():
    take = steady()
    pole = replace(take.sheet.poles[0], rest_gap_m=0.9e-3, pull_low=0.5, pull_high=2.0)  # 0.1 mm of sag: 0.05 to 0.2
    row = found(
        replace(take, sheet=replace(take.sheet, poles=(pole, take.sheet.poles[1]))), "Test points before power", "gap at rest", "sense"
    )
    assert row["expect"] == "0.90 mm"
    assert row["in order within"] == "0.75 to 1.00 mm"  # and a step of the gauge


def test_a_loop_that_plays_nothing_has_no_points_of_playing():
    take = steady()
    still = replace(take, signals=replace(take.signals, magnetic_force=np.zeros_like(take.signals.magnetic_force)))
    titles = {one.title: one for one in points_of(still, bench_of(still), measure(still))}
    assert not titles["Test points while it plays"].rows


def test_averaging_meters():
    square = np.sign(np.sin(np.linspace(0.0, 2.0 * np.pi, 10001)[:-1] + 1e-6))
    shown = math.pi / (2.0 * math.sqrt(2.0)) * np.abs(square).mean() / np.sqrt((square**2).mean())
    assert f"{100.0 * (shown - 1.0):.0f} % high" in PLAYING


def test_every_point_says_how_and_what_can_hurt():
    take = moment()
    for table in points_of(take, bench_of(take), measure(take)):
        for row in table.rows:
            assert all(row), row
