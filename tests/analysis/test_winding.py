"""Winding and heat of a shipped head. By hand from the scenario: 420 turns of 0.10 mm between 5.6 and 11.2 mm, 8 mm high."""

import math

import pytest

from wirebloom.analysis.warmth import heat_sheet, loop_of, most_drive
from wirebloom.analysis.winding import winding_sheet
from wirebloom.rig import load, loads
from wirebloom.take.round_parts import part_sheets

TURN = math.pi * 8.4e-3  # m
OHMS = 420 * TURN * 2.1765  # IEC 60317-0-1: 2.1765 Ω/m of 0.100 mm (from memory, as in the checks of the wire table)


@pytest.fixture(scope="module")
def rig():
    return load("first_note")[0]


def test_winding_by_hand(rig):
    winding = winding_sheet(rig.heads[0])
    assert winding.mean_turn_m == pytest.approx(TURN)
    assert winding.wire_length_m == pytest.approx(420 * TURN)
    assert winding.copper_kg == pytest.approx(420 * TURN * math.pi * (0.05e-3) ** 2 * 8890.0)
    assert winding.copper_share == pytest.approx(420 * math.pi * 0.05**2 / (2.8 * 8.0))
    assert winding.filling == pytest.approx(420 * 0.1125**2 / (2.8 * 8.0))
    assert winding.turns < winding.certain_turns < winding.closest_turns < 2.8 * 8.0 / 0.1125**2 * 2 / math.sqrt(3)


def test_parts_are_where_the_scenario_has_them(rig):
    core, coil, magnet = part_sheets(rig.heads[0])
    assert (core.inner_radius_m, core.outer_radius_m, core.bottom_m, core.top_m) == (0.0, 2.5e-3, -10e-3, 0.0)
    assert (coil.bottom_m, coil.top_m) == (-8.5e-3, -0.5e-3)
    assert (magnet.top_m, magnet.bottom_m, magnet.direction) == (-10e-3, pytest.approx(-13e-3), "up")


def test_a_stack_of_magnets_and_a_plate_are_parts():
    changes = ["heads.sense.magnets.0.count=3", 'heads.sense.plates=[{diameter = "12 mm", thickness = "2 mm", top = "19 mm"}]']
    *_, magnet, plate = part_sheets(load("first_note", changes)[0].heads[0])
    assert magnet.top_m - magnet.bottom_m == pytest.approx(9e-3)
    assert (plate.kind, plate.top_m, plate.bottom_m, plate.outer_radius_m) == ("plate", -19e-3, pytest.approx(-21e-3), 6e-3)


def test_currents_for_the_touch_limit_by_hand(rig):
    sheet = heat_sheet(rig, rig.heads[0], {"sense": OHMS, "drive": OHMS})
    surface = math.pi * 11.2e-3 * 8e-3 + math.pi / 2 * (11.2e-3**2 - 5.6e-3**2)
    hot = OHMS * (1 + 0.00393 * 40.0)
    assert sheet.hot_ohm == pytest.approx(hot)
    given = 12.0 * surface, 25.0 * surface + 4 * 0.17 * 4e-3  # in W/K; a disc of 8 mm on oak: shape factor 2 D
    for conductance, current in zip(given, sheet.touch_A, strict=True):
        assert current**2 * hot == pytest.approx(conductance * 40.0, rel=1e-9)
    assert sheet.touch_A[1] < sheet.enamel_A[1]
    assert (sheet.hottest_K >= sheet.coolest_K).all()


def test_only_a_drive_head_is_driven(rig):
    ohms = {"sense": OHMS, "drive": OHMS}
    assert most_drive(rig, rig.heads[0], ohms) is None
    assert loop_of(rig, "drive")[0] == "drive"
    assert most_drive(rig, rig.heads[1], ohms) == pytest.approx(3.0 / (OHMS + 130.0 + 0.5))  # 4.5 V less 1.5 V of headroom


def test_unequal_swings_count_by_the_greater():
    rig = load("first_note", ["loops.main.amplifier.supply_kind=split", "loops.main.amplifier.headroom=2 V"])[0]
    assert most_drive(rig, rig.heads[1], {"sense": OHMS, "drive": OHMS}) == pytest.approx(7.0 / (OHMS + 130.5))


def test_the_weakest_grade_of_magnet_sets_what_it_bears():
    rig = load("first_note", ["heads.sense.magnets.0.grade=N35"])[0]
    assert heat_sheet(rig, rig.heads[0], {"sense": OHMS, "drive": OHMS}).magnet_K == pytest.approx(353.15)
    assert heat_sheet(load("first_note")[0], load("first_note")[0].heads[0], {"sense": OHMS, "drive": OHMS}).magnet_K is None


STAGES = """
[[loops.stages]]
kind = "power chip"
preset = "small audio power chip"
headroom_up = "1.5 V"
headroom_down = "0.5 V"
headroom_resistance = "2 ohm"
current_limit = "{limit}"

[[supplies]]
name = "bench"
kind = "ideal"
voltage = "9 V"
"""


def composed(limit):
    """The shipped rig with a power chip in place of its amplifier: half of 9 V less 1.5 V upwards, less 0.5 V downwards."""
    text = load("first_note")[0].text
    before, _, rest = text.partition("[loops.amplifier]")
    behind = rest.partition("[loops.output]")[2]
    before = before.replace('drive = ["drive"]', 'drive = ["drive"]\nsupply = "bench"')
    return loads(f"{before}[loops.output]{behind}{STAGES.format(limit=limit)}", file="composed")[0]


def test_a_composed_amplifier_by_its_last_stage():
    rig, ohms = composed("2 A"), {"sense": OHMS, "drive": OHMS}
    downwards = 4.0 / (OHMS + 2.0)  # the chip's own output resistance is within its feedback
    assert most_drive(rig, rig.heads[1], ohms) == pytest.approx(downwards, rel=0.03)
    assert most_drive(composed("50 mA"), rig.heads[1], ohms) == pytest.approx(0.05)


def test_whether_it_can_stay_on_for_good():
    """156 mA: too much for little cooling, not for good; 19 mA are harmless."""
    rig, ohms = composed("2 A"), {"sense": OHMS, "drive": OHMS}
    early, late = heat_sheet(rig, rig.heads[1], ohms).too_hot_s
    assert math.isfinite(early)
    assert late == math.inf
    assert heat_sheet(load("first_note")[0], rig.heads[1], ohms).too_hot_s == (math.inf, math.inf)
    assert heat_sheet(rig, rig.heads[0], ohms).too_hot_s is None


def test_the_enamel_of_the_wire_counts():
    plain = load("first_note")[0]
    better = load("first_note", ["heads.sense.coil.enamel=class 200"])[0]
    found = [heat_sheet(rig, rig.heads[0], {"sense": OHMS, "drive": OHMS}) for rig in (plain, better)]
    assert [sheet.enamel_K - 273.15 for sheet in found] == pytest.approx([155.0, 200.0])
    assert found[1].enamel_A[0] == pytest.approx(found[0].enamel_A[0] * math.sqrt(180 / 135 * (1 + 0.00393 * 135) / (1 + 0.00393 * 180)))
    assert found[1].touch_A == found[0].touch_A
