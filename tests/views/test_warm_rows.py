"""Heat and fuse in words: one line each that a maker can act on."""

from dataclasses import replace
from math import inf

import pytest

from synthetic import Tone, synthetic_take
from wirebloom.take.measures import measure
from wirebloom.take.warm_parts import CoilWarmth, DriveWarmth
from wirebloom.views.verdict import verdict
from wirebloom.views.warm_rows import fuse_words, heat_words, warm_rows

COIL = CoilWarmth(
    head="drive", heat_W=0.2, room_K=293.15, steady_K=(303.15, 323.15), marks_K=((300.0, 310.0), (303.0, 323.0)), settled_s=(80.0, 1080.0),
    hot_ohm=(25.0, 27.0), limit="enamel", limit_K=428.15, enamel="class 155", ungraded=False, too_hot_s=(None, None), touch_s=None,
    bears_A=0.14,
)  # fmt: skip
DRIVE = DriveWarmth("main", (COIL,), 0.08, 0.14, 0.1, 0.21, 0.09, None)


def coil(**changes):
    return heat_words(replace(COIL, **changes))


def test_for_good():
    assert coil() == "30 to 50 °C in the end, nearly so after 80 s to 18 min: it can stay on for good"
    assert coil(steady_K=(293.2, 293.9)) == "as cool as the room at this level: it can stay on for good"
    assert coil(steady_K=(320.0, 350.0), touch_s=45.0).endswith("for good; too hot for a hand after 45 s at the earliest")


def test_magnets_of_no_grade_are_told_of_where_it_is_warm():
    assert "magnets" not in coil(ungraded=True)
    assert coil(ungraded=True, steady_K=(340.0, 360.0)).endswith("no stated grade: plain neodymium serves to 80 °C only")


def test_uncertain_names_what_gives_way():
    said = coil(steady_K=(400.0, 450.0), too_hot_s=(720.0, None), touch_s=60.0)
    assert said.startswith("127 to 177 °C in the end, but its enamel (class 155) bears 155 °C: with little cooling too hot after 12 min;")
    magnets = coil(steady_K=(340.0, 380.0), too_hot_s=(300.0, None), limit="magnets", limit_K=353.15)
    assert "its magnets serve to 80 °C: with little cooling too hot after 5 min" in magnets


def test_too_hot_in_any_case():
    said = coil(steady_K=(500.0, None), too_hot_s=(100.0, 720.0), touch_s=20.0)
    assert said.startswith("too hot after 100 s to 12 min: it would get to 227 °C or more, and its enamel (class 155) bears 155 °C")
    assert "more than 400 °C" in coil(steady_K=(2000.0, inf), too_hot_s=(1.0, 2.0))


def test_fuse_that_saves_the_coil_one_that_may_not_and_none():
    saves = fuse_words(replace(DRIVE, current_A=0.04, fuse_A=0.05, blows_A=0.11))
    assert saves == "50 mA time-lag, in line with the drive coils: the coils bear 140 mA for good, and it is sure to blow at 110 mA"
    assert fuse_words(DRIVE).startswith("100 mA time-lag, in line with the drive coils, but sure to blow only at 210 mA")
    assert fuse_words(DRIVE).endswith("do not rely on it alone")
    assert fuse_words(replace(DRIVE, current_A=0.13, fuse_A=None, blows_A=None)).startswith("none that carries 130 mA saves them")


def test_rows_of_one_loop_and_of_several_coils():
    assert dict(warm_rows([DRIVE])).keys() == {"heat of drive", "fuse of main"}
    two = replace(DRIVE, coils=(COIL, replace(COIL, head="second", steady_K=(310.0, 330.0))))
    assert dict(warm_rows([two]))["heat of second"].endswith("the other drive coil fares no worse")


def test_a_coil_that_is_well_now_and_would_not_be_at_full_drive():
    said = dict(warm_rows([replace(DRIVE, full_A=0.3, full_s=80.0)]))["heat of drive"]
    assert said.endswith("for good; driven over its whole swing (300 mA) it would, cooled little, be too hot after 80 s")
    hot = replace(COIL, too_hot_s=(60.0, None))
    assert "whole swing" not in dict(warm_rows([replace(DRIVE, coils=(hot,), full_A=0.3, full_s=40.0)]))["heat of drive"]


def test_of_many_loops_the_worst_speaks():
    hot = replace(COIL, head="third", too_hot_s=(60.0, None), steady_K=(400.0, 450.0), heat_W=0.1)
    heat = [DRIVE, replace(DRIVE, loop="second"), replace(DRIVE, loop="third", coils=(hot,)), replace(DRIVE, loop="fourth")]
    said = dict(warm_rows(heat))
    assert said.keys() == {"heat of third", "fuse of third"}
    assert said["heat of third"].endswith("the 3 other drive coils fare no worse")


def test_a_drive_that_rests_has_no_fuse():
    quiet = replace(DRIVE, current_A=1e-5, fuse_A=None, blows_A=None, coils=(replace(COIL, steady_K=(293.15, 293.15)),))
    assert dict(warm_rows([quiet])) == {"heat of drive": "as cool as the room at this level: it can stay on for good"}


@pytest.mark.parametrize("strings", [1, 2, 8])
def test_a_verdict_has_them_beside_the_drive(strings):
    take = synthetic_take((Tone(growth=0.0),), gain=1e9, strings=strings)
    names = [name for name, _ in verdict(take, measure(take)).rows]
    assert sum(name.startswith("heat of drive") for name in names) == (strings if strings <= 2 else 1)
    assert names.index("drive of loop 1") < names.index("heat of drive 1") < names.index("fuse of loop 1")
    bare = replace(take, sheet=replace(take.sheet, coils=()))
    assert not any(name.startswith(("heat", "fuse")) for name, _ in verdict(bare, measure(bare)).rows)
