"""What a take is told of its supplies, their limits and their dangers."""

import pytest

from wirebloom.compile.supplies import round_amperes, supply_cautions, supply_limits, supply_sheet, supply_sheets
from wirebloom.rig import load
from wirebloom.rig.supplies import Battery, Ideal, Regulator

BLOCK = Battery(name="bench", cells="alkaline 9 V block", used=0.25)
BANK = Battery(name="bank", cells="Li-ion 18650", count=3, parallel=2, split=True)
STEADY = Regulator(name="steady", voltage=9.0, battery="bank", split=True)
IDEAL = Ideal(name="mains", voltage=12.0)


def rig_with(*supplies, fed="bench", loops=1):
    """A shipped rig on a named supply."""
    rig, _ = load("first_note")
    loop = rig.loops[0].model_copy(update={"supply": fed})
    others = [loop.model_copy(update={"name": f"loop {k}"}) for k in range(1, loops)]
    return rig.model_copy(update={"supplies": supplies, "loops": (loop, *others)})


def test_a_battery():
    """Three quarters of 500 mAh; 9.5 V less a quarter of the way to 6.6 V; 1.7 Ω and a quarter of the way to 5 Ω."""
    sheet = supply_sheet(rig_with(BLOCK), BLOCK)
    assert (sheet.charge_C, sheet.open_V, sheet.resistance_ohm) == pytest.approx((1350.0, 8.775, 2.525))
    assert (sheet.battery_V, sheet.battery_ohm, sheet.needed_V, sheet.empty_V) == pytest.approx((8.775, 2.525, 5.0, 6.6))
    assert (sheet.kind, sheet.made_of, sheet.halves) == ("battery", "1 × alkaline 9 V block", 1.0)


def test_a_regulator_speaks_of_its_battery():
    sheet = supply_sheet(rig_with(BANK, STEADY, fed="steady"), STEADY)
    assert (sheet.open_V, sheet.resistance_ohm, sheet.halves) == (9.0, 0.05, 2.0)
    assert (sheet.battery_V, sheet.battery_ohm, sheet.needed_V) == pytest.approx((12.6, 0.075, 11.0))
    assert sheet.charge_C == pytest.approx(2 * 2.6 * 3600.0)
    assert sheet.made_of == "regulator of 9 V behind 2 × 3 × Li-ion 18650, 2 rows side by side"


def test_an_ideal_supply_has_nothing_to_run_down():
    sheet = supply_sheet(rig_with(IDEAL, fed="mains"), IDEAL)
    assert (sheet.open_V, sheet.resistance_ohm, sheet.battery_V, sheet.charge_C) == (12.0, 0.0, 0.0, 0.0)
    assert sheet.made_of == "ideal of 12 V"


def test_only_supplies_in_use_are_told_of():
    assert [sheet.name for sheet in supply_sheets(rig_with(BLOCK, IDEAL))] == ["bench"]
    (shared,) = supply_sheets(rig_with(BLOCK, loops=2))
    assert len(shared.loops) == 2


def test_limits():
    assert [text.partition(" ")[0] for text in supply_limits(rig_with(BLOCK))] == ["A"]
    assert any("shared leads" in text for text in supply_limits(rig_with(BLOCK, loops=2)))
    assert any("regulator" in text for text in supply_limits(rig_with(BANK, STEADY, fed="steady")))
    assert not list(supply_limits(rig_with(IDEAL, fed="mains")))


def test_a_battery_that_feeds_a_regulator_and_a_loop():
    rig = rig_with(BANK, STEADY, fed="steady", loops=2)
    both = rig.model_copy(update={"loops": (rig.loops[0], rig.loops[1].model_copy(update={"supply": "bank"}))})
    assert any(text.startswith("bank feeds more than one") for text in supply_limits(both))
    assert not any("more than one" in text for text in supply_limits(rig))


def test_cautions():
    """12.6 V over 0.075 Ω: 168 A."""
    behind = list(supply_cautions(rig_with(BANK, STEADY, fed="steady")))
    assert behind[0].startswith("bank can give some 200 A into a short")
    assert "protection circuit" in behind[1]
    assert len(list(supply_cautions(rig_with(BLOCK)))) == 1
    assert "explosive gas" in list(supply_cautions(rig_with(Battery(name="bench", cells="lead-acid 7 Ah", count=6))))[1]
    assert not list(supply_cautions(rig_with(IDEAL, fed="mains")))


def test_a_current_as_a_rough_figure():
    assert (round_amperes(0.63), round_amperes(5.588), round_amperes(532.0)) == ("0.6 A", "6 A", "500 A")
