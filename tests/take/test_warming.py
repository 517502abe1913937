"""Warmth of drive coils from a take: a square wave of ± 3 V over 124.5 Ω, 24 Ω of it in the coil, 5 to 12 mW/K, 0.3 to 1.8 J/K.

A pair the wrong way round, a current taken for a peak, copper that cools as it warms, a limit of the wrong part, °C taken for K.
"""

from dataclasses import replace
from math import exp, sqrt

import pytest

from synthetic import Tone, synthetic_take
from wirebloom.take.measures import measure
from wirebloom.take.store import load, save
from wirebloom.take.summary import summary
from wirebloom.take.warming import warmth

ROOM, AMPERES, ALPHA = 293.15, 3.0 / 124.5, 0.00393
SQUARE = (Tone(growth=0.0),)


def square(coils=1, **changes):
    """A take at its limit all along, its coils changed; resistances of the circuit stay."""
    take = synthetic_take(SQUARE, gain=1e9)
    own = replace(take.sheet.coils[0], **changes)
    return replace(take, sheet=replace(take.sheet, coils=(own,) * coils))


def of(take):
    return measure(take).heat[0]


def test_heat_is_that_of_the_drive():
    take = square()
    coil = of(take).coils[0]
    assert coil.heat_W == pytest.approx(AMPERES**2 * 24.0, rel=0.02)
    assert coil.heat_W == pytest.approx(measure(take).loops[0].coil_heat_W, rel=1e-9)
    assert of(take).current_A == measure(take).loops[0].drive_rms_A


def test_ends_by_hand():
    """Hottest: little cooling and a held current. Coolest: good cooling, and I falls as 1/(S + R)."""
    drive = of(square())
    coil, heat = drive.coils[0], drive.coils[0].heat_W
    slope = drive.current_A**2 * 24.0 * ALPHA
    assert coil.steady_K[1] - ROOM == pytest.approx(heat / (5e-3 - slope))
    cool = heat / 12e-3
    warm = 24.0 * (1 + ALPHA * cool)
    assert coil.steady_K[0] - ROOM == pytest.approx(heat * (124.5 / (100.5 + warm)) ** 2 * warm / 24.0 / 12e-3, rel=1e-4)
    assert coil.steady_K[0] - ROOM < heat / (12e-3 - slope)
    assert coil.hot_ohm[1] == pytest.approx(24.0 * (1 + ALPHA * (coil.steady_K[1] - ROOM)))
    assert coil.hot_ohm[0] < coil.hot_ohm[1]


def test_times_by_hand():
    """Quickest: the copper alone, cooled well. Slowest: the whole head, cooled little. 95 % takes three time constants."""
    coil = of(square()).coils[0]
    assert coil.settled_s == pytest.approx((3.0 * 0.3 / 12e-3, 3.0 * 1.8 / 5e-3), rel=0.02)
    (low, high), later = coil.marks_K
    rise = coil.steady_K[1] - ROOM
    assert high - ROOM == pytest.approx(rise * (1 - exp(-60.0 * 5e-3 / 0.3)), rel=0.02)
    assert ROOM < low < high < later[1] <= coil.steady_K[1]
    assert low < later[0] <= coil.steady_K[0]


@pytest.mark.parametrize(("cooling", "duty"), [((5e-3, 12e-3), "for good"), ((5e-5, 5e-4), "uncertain"), ((4e-5, 6e-5), "limited")])
def test_duty(cooling, duty):
    """14 mW: 135 K above the room is too much below 0.1 mW/K."""
    drive = of(square(conductance_low_W_per_K=cooling[0], conductance_high_W_per_K=cooling[1]))
    coil = drive.coils[0]
    assert (coil.duty, drive.duty) == (duty, duty)
    assert (coil.too_hot_s[0] is None, coil.too_hot_s[1] is None) == (duty == "for good", duty != "limited")
    if duty == "limited":
        assert coil.too_hot_s[0] < coil.too_hot_s[1]
        assert coil.steady_K[1] is None  # the held current outruns this cooling


def test_what_it_bears_leads_to_the_limit():
    coil = of(square()).coils[0]
    assert coil.bears_A == pytest.approx(sqrt(5e-3 * 135.0 / (24.0 * (1 + ALPHA * 135.0))))


def test_magnets_that_bear_less_than_the_enamel_set_the_limit():
    warm = {"conductance_low_W_per_K": 1.6e-4, "conductance_high_W_per_K": 5e-3}
    assert of(square(**warm)).duty == "for good"
    weak = of(square(magnet_K=353.15, **warm)).coils[0]
    assert (weak.limit, weak.limit_K, weak.duty) == ("magnets", 353.15, "uncertain")
    assert of(square(magnet_K=523.15, **warm)).coils[0].limit == "enamel"
    assert [of(square(magnet_K=known)).coils[0].ungraded for known in (-1.0, 0.0, 353.15)] == [True, False, False]
    assert of(square(enamel="class 105", enamel_K=378.15, magnet_K=0.0, **warm)).duty == "uncertain"


def test_touch_comes_before_the_enamel():
    coil = of(square(conductance_low_W_per_K=1e-4, conductance_high_W_per_K=1.2e-2)).coils[0]
    assert 0.0 < coil.touch_s < coil.too_hot_s[0]
    assert of(square()).coils[0].touch_s is None


def test_fuse():
    """24 mA takes 32 mA, sure to blow at 67 mA: less than the 137 mA that the coil bears."""
    drive = of(square())
    assert (drive.fuse_A, drive.blows_A) == (0.032, pytest.approx(0.0672))
    assert drive.bears_A == drive.coils[0].bears_A
    assert of(square(conductance_low_W_per_K=2e-4)).fuse_A is None  # bears 27 mA


def test_full_drive_is_told_even_where_the_drive_rests():
    """3 V over 124.5 Ω and 14 mW again, though nothing moves: 0.09 mW/K are too little for them."""
    take = square(conductance_low_W_per_K=9e-5)
    resting = replace(take, signals=replace(take.signals, drive_current=0.0 * take.signals.drive_current))
    found = [of(one) for one in (resting, take)]
    assert [drive.full_A for drive in found] == pytest.approx([AMPERES, AMPERES])
    assert found[0].duty == "for good"
    assert found[0].full_s == pytest.approx(found[1].coils[0].too_hot_s[0], rel=0.05)
    assert of(square()).full_s is None


def test_a_drive_that_rests_asks_for_no_fuse():
    drive = of(synthetic_take(gain=0.0))
    assert (drive.current_A, drive.fuse_A, drive.duty, drive.resting) == (0.0, None, "for good", True)
    assert drive.coils[0].steady_K == (ROOM, ROOM)
    assert drive.coils[0].settled_s == (0.0, 0.0)


def test_coils_in_series_share_the_current_and_the_weakest_decides():
    take = square(coils=2)
    weak = replace(take.sheet.coils[1], head="second", conductance_low_W_per_K=1e-4)
    drive = of(replace(take, sheet=replace(take.sheet, coils=(take.sheet.coils[0], weak))))
    assert drive.hottest.head == "second"
    assert (drive.duty, drive.coils[0].duty) == ("uncertain", "for good")
    assert drive.bears_A == drive.coils[1].bears_A < drive.coils[0].bears_A


def test_a_reactance_in_the_circuit_holds_the_current_up():
    """Four times the voltage for the same current: the coil's own resistance tells for less in the impedance."""
    take = square(conductance_low_W_per_K=4e-4, conductance_high_W_per_K=4e-4)
    plain = measure(take).loops[0]
    ends = [warmth(take, [replace(plain, drive_rms_V=times * plain.drive_rms_V)])[0].coils[0].steady_K for times in (1.0, 4.0)]
    assert ends[0][0] < ends[1][0] < ends[1][1] == ends[0][1]


def test_only_loops_with_a_wound_drive_coil():
    take = synthetic_take(strings=2)
    assert [drive.loop for drive in measure(take).heat] == ["loop 1", "loop 2"]
    measured = replace(take, sheet=replace(take.sheet, coils=take.sheet.coils[1:]))
    assert [drive.loop for drive in measure(measured).heat] == ["loop 2"]
    assert measure(replace(take, sheet=replace(take.sheet, coils=()))).heat == ()


def test_it_is_kept_in_the_file(tmp_path):
    take = synthetic_take(strings=2)
    save(take, tmp_path / "take.h5")
    assert load(tmp_path / "take.h5").sheet.coils == take.sheet.coils


def test_summary_says_it_with_units():
    take = square(magnet_K=353.15)
    told = summary(take, measure(take))["heat"][0]
    coil = of(take).coils[0]
    assert (told["duty"], told["fuse_A"], told["fuse_blows_A"]) == ("for good", 0.032, pytest.approx(0.0672))
    assert told["coils"][0]["steady_high_degC"] == pytest.approx(coil.steady_K[1] - 273.15)
    assert told["coils"][0]["after_1_min_low_degC"] == pytest.approx(coil.marks_K[0][0] - 273.15)
    assert (told["coils"][0]["limit"], told["coils"][0]["limit_degC"]) == ("magnets", pytest.approx(80.0))
    assert told["coils"][0]["too_hot_low_s"] is None
