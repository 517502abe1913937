"""The sheet of a head in words: the first line decides; figures carry their units; nothing is claimed that is not known."""

from dataclasses import replace

import pytest

from studies import WINDING, bistable, field, heat, measured_study, rest, string, synthetic_study
from wirebloom.cli.answer import print_text
from wirebloom.take.head_parts import MagnetSheet
from wirebloom.views.head_sheet import head_sheet, winding_words
from wirebloom.views.verdict import render


def of(rest_sheet, **changes):
    return head_sheet(synthetic_study(strings=(string(rest=rest_sheet, **changes),)))


def row(said, name):
    return dict(said.rows)[name]


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (of(rest()), ["sense pulls pier with 3.2 mN, and with 14.1 mN more per ampere", "and no face can hold it."]),
        (of(rest(safe_m=1.2e-3)), ["it hangs clear, but a pull 1.9 times as strong"]),
        (of(bistable()), ["stays on a face once it gets there: a gap of at least 1.6 mm"]),
        (of(bistable(kind="latched")), ["The magnets hold pier on a face: a gap of at least 1.6 mm, or weaker magnets."]),
        (of(bistable(kind="latched", safe_m=None)), ["weaker magnets or a tighter string"]),
        (of(rest(pull_N=0.0), factor_N_per_A=0.0), ["sense has no magnets: motion of pier makes no voltage in it"]),
        (of(rest(kind="latched")), ["The magnets of another head hold pier on a face"]),
    ],
)
def test_the_first_line(told, words):
    for word in words:
        assert word in told.headline
    assert told.headline.endswith(".")


def test_of_several_strings_the_worst_comes_first():
    study = synthetic_study(strings=(string("west"), string("east", rest=bistable())))
    assert "pulls east" in head_sheet(study).headline


def test_winding_against_its_window():
    assert "420 turns of 0.10 mm (0.113 mm with enamel) go in easily" in winding_words(WINDING)
    assert "11.1 m of wire, 774 mg of copper (15 % of the window)" in winding_words(WINDING)
    assert "2.8 × 8 mm holds 1974 at most" in winding_words(WINDING)


@pytest.mark.parametrize(("filling", "words"), [(0.7, "with care"), (0.9, "only in neat layers"), (1.08, "hardly succeeds by hand")])
def test_a_fuller_window_wants_more_care(filling, words):
    assert words in winding_words(replace(WINDING, filling=filling))


def test_thick_enamel_may_not_go_in():
    assert "with the thickest enamel allowed only 400 go in" in winding_words(replace(WINDING, certain_turns=400))


def test_rows_carry_what_a_maker_builds_by():
    told = of(rest())
    assert row(told, "coil").startswith("24.1 Ω at 20 °C (27.9 Ω at 60 °C), 2.62 mH")
    assert "109 µs, so resistance rules below 1.46 kHz" in row(told, "coil")  # 2.62 mH / 24.1 Ω; R/(2π L)
    assert "14.1 mN/A (10 to 21 mN/A), pulled with 3.2 mN (1.9 to 6 mN)" in row(told, "pier")
    assert "a feeler gauge finds 0.97 mm" in row(of(rest(rest_gap_m=0.972e-3)), "pier at rest")
    assert "at every gap from 0.1 mm on, and no face can hold it, even if the pull were 1.9 times as strong" in row(told, "pier over gap")
    assert row(told, "head") == "sense head of main; of the same build: drive; of another build: odd"
    assert "magnet Ø 8 × 3 mm, N35, up" in row(told, "parts")


def test_magnets_that_lose_and_that_bear_their_own_field():
    worn, sound = MagnetSheet(0.631, -46e3, 0.66, 1.0), MagnetSheet(1.1, -150e3, 1.0, 0.0)
    said = row(head_sheet(synthetic_study(field=replace(field(), magnets=(worn, sound)))), "magnets")
    assert said == (
        "631 mT at -46 kA/m in the mean, 34 % of its remanence lost, 100 % of it past the knee of its grade; 1.1 T at -150 kA/m in the mean"
    )
    assert "magnets" not in dict(head_sheet(synthetic_study()).rows)


def test_gaps_of_a_string_that_can_stick():
    said = row(of(bistable(together=("drive",))), "pier over gap")
    assert said.startswith("cannot hang clear up to 0.4 mm; can stay on a face up to 1.3 mm; even if the pull were 1.9 times as strong")
    assert said.endswith("safe from 1.6 mm on (with drive at the same gap)")
    assert "no gap up to 6 mm is safe" in row(of(bistable(safe_m=None)), "pier over gap")
    assert "cannot hang clear up to 6 mm" in row(of(bistable(latches_to_m=None, sticks_to_m=None, safe_m=None)), "pier over gap")


def test_sideways_a_string_may_be_steady_weakened_or_lost():
    weakened = row(of(rest()), "pier sideways")
    assert "the magnets add 0.12 % of its stiffness; they take most" in weakened
    steady = rest(side_N_per_m=abs(rest().side_N_per_m))
    assert "nowhere beside the axis do they draw it off" in row(of(steady), "pier sideways")
    lost = rest(side_N_per_m=2e3 * rest().side_N_per_m)
    assert "beside the axis it would snap aside" in row(of(lost), "pier sideways")
    assert "add less than 0.01 %" in row(of(rest(magnet_N_per_m=(-2.0, 1e-12))), "pier sideways")
    assert "take 0.54 %" in row(of(rest(magnet_N_per_m=(-2.0, -2.0))), "pier sideways")


def test_heat_with_and_without_an_amplifier():
    alone = row(head_sheet(synthetic_study()), "heat")
    assert "60 °C, the most for a hand, at 86 to 120 mA rms; 155 °C, the most for its enamel (class 155), at 140 to 200 mA" in alone
    assert "amplifier" not in alone
    driven = synthetic_study(heat=heat(drive_A=0.1, drive_K=(370.0, 330.0), magnet_K=353.15, too_hot_s=(40.0, float("inf"))))
    said = row(head_sheet(driven), "heat")
    assert "can send at most 100 mA: 57 to 97 °C in the end, with little cooling too hot after 40 s" in said
    assert "magnets of this grade serve to 80 °C only" in said
    burnt = synthetic_study(heat=heat(drive_A=1.0, drive_K=(float("inf"), 2000.0), too_hot_s=(2.0, 9.0)))
    assert row(head_sheet(burnt), "heat").endswith("more than 400 °C if it lived to see that, too hot after 2 to 9 s")
    harmless = synthetic_study(heat=heat(drive_A=0.02, drive_K=(296.0, 294.0), too_hot_s=(float("inf"), float("inf"))))
    assert row(head_sheet(harmless), "heat").endswith("20 mA: 21 to 23 °C in the end, and it can stay on for good")


def test_a_borrowed_string_and_one_beside_the_axis_say_so():
    said = row(of(rest(side_m=3e-6), stands=False, offset_m=-2.5e-3), "pier")
    assert "2.5 mm beside the axis" in said
    assert "as if it ran over the middle of the face" in said


def test_a_measured_head_says_only_what_was_measured():
    said = head_sheet(measured_study())
    assert {"winding", "parts", "field", "heat", "pier sideways"}.isdisjoint(dict(said.rows))
    assert "(" not in row(said, "pier").split(":")[0]


def test_it_prints_with_its_limits_and_cautions(capsys):
    print_text(render(head_sheet(synthetic_study())))
    out = capsys.readouterr().out
    assert "It leaves something out." in out
    assert "Something hurts." in out
    assert "None" not in out
    assert "nan" not in out


def test_figures_say_for_which_gap_they_are():
    assert "gap 0.9 mm at rest (1 mm as set)" in row(of(rest(rest_gap_m=0.9e-3)), "pier")
    assert "gap 1 mm" in row(of(rest(rest_gap_m=1e-3)), "pier")


def test_a_pull_hardly_stronger_is_not_called_once_as_strong():
    assert "1.04 times as strong" in row(of(rest(strong_pull=1.04)), "pier over gap")


def test_without_magnets_nothing_is_said_of_what_they_do():
    still = rest(pull_N=0.0, softness=0.0, pulls_N=0.0 * rest().pulls_N, side_N_per_m=0.0 * rest().side_N_per_m, safe_m=0.0)
    told = of(still, factor_N_per_A=0.0)
    assert row(told, "pier").startswith("neither pulled nor heard without magnets")
    for name in ("at rest", "over gap", "sideways"):
        assert "magnets" not in row(told, f"pier {name}")


def test_what_was_measured_is_told():
    assert row(of(rest(), band_note="the weighed pull narrows"), "band of pier") == "the weighed pull narrows"
