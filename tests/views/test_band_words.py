"""What a verdict says of the band: ranges instead of figures, and what is otherwise at its ends."""

import re
from dataclasses import replace

import pytest

from bands import banded, end, lost, string_end
from synthetic import Tone, synthetic_take
from wirebloom.take.measures import measure
from wirebloom.views.verdict import verdict

STUCK = {"outcome": "dying", "start_time_s": None}


def told(take):
    return verdict(take, measure(take))


def said(weak=None, strong=None, **kind):
    """The first line, the ends' strings changed so."""
    take = synthetic_take(**kind)
    return told(banded(take, end(take, string_end(**(weak or {}))), end(take, string_end(**(strong or {}))))).headline


def test_the_start_is_a_range_over_the_run_and_both_ends():
    """The run itself reaches 90 % of its level at 0.8 s + ln 0.9/20 = 0.79 s."""
    line = said({"start_time_s": 1.44, "clearance_mm": 0.75}, {"start_time_s": 0.6, "clearance_mm": 0.4})
    assert line.startswith("It starts: near full level after 0.6 to 1.4 s on partial 1 (196.0 Hz), 0.4 to 0.75 mm clear of sense 1.")
    assert "band" not in line  # nothing is otherwise at the ends


def test_without_a_band_nothing_is_said_of_one():
    line = told(synthetic_take()).headline
    assert "near full level after 0.79 s on" in line
    assert "band" not in line


@pytest.mark.parametrize(
    ("weak", "strong", "words"),
    [
        (STUCK, {}, "At the weak end of the band it does not start."),
        (STUCK, STUCK, "At both ends of the band it does not start."),
        ({}, {**STUCK, "first_touch_s": 2.0}, "At the strong end of the band it meets sense 1 at 2 s and falls silent."),
        ({}, {**STUCK, "first_touch_s": 2.0, "buzz": "resting"}, "At the strong end of the band it meets sense 1 at 2 s and stays on it."),
        ({}, {"first_touch_s": 1.3, "clearance_mm": 0.0}, "At the strong end of the band it touches sense 1 from 1.3 s on."),
        ({}, {"first_touch_s": 0.0, "clearance_mm": 0.0}, "it touches sense 1 from the first moment on."),
        ({"outcome": "growing", "start_time_s": None}, {}, "At the weak end of the band it is still growing when the run ends."),
        ({}, {"dominant_partial": 4}, "At the strong end of the band partial 4 wins."),
        ({}, {"dominant_partial": 4, "first_touch_s": 0.5}, "partial 4 wins and it touches sense 1 from 0.5 s on."),
        ({}, {"equilibrium": "latched", **STUCK}, "At the strong end of the band the magnets hold it on a face."),
    ],
)
def test_what_is_otherwise_at_an_end(weak, strong, words):
    line = said(weak, strong)
    assert line.endswith(words)
    assert line.startswith("It starts")


def test_a_string_that_only_strong_heads_start():
    line = said(STUCK, {"start_time_s": 2.0}, tones=(Tone(growth=0.0, drift=-5.0),), duration=2.5)
    assert line.startswith("It does not start")
    assert line.endswith("At the strong end of the band it starts after 2 s.")


def test_a_string_that_touches_may_stay_clear_at_an_end():
    line = said({}, {"first_touch_s": 1.0, "clearance_mm": 0.0}, touch=1.5)
    assert "but buzzes: touches sense 1 from 1.5 s on" in line
    assert line.endswith("At the weak end of the band it stays clear.")


def test_a_latched_string_may_hang_clear_at_an_end():
    take = synthetic_take()
    sheet = replace(take.sheet, strings=(replace(take.sheet.strings[0], equilibrium="latched"),))
    line = told(banded(replace(take, sheet=sheet), strong=end(take, string_end(equilibrium="latched", first_touch_s=0.0)))).headline
    assert line.startswith("The magnets hold pier 1 on a face")
    assert line.endswith("At the weak end of the band it hangs clear.")


def test_an_end_that_left_all_bounds_gives_no_figures():
    take = synthetic_take()
    line = told(banded(take, strong=lost(take), weak=end(take, string_end(start_time_s=1.5)))).headline
    assert "after 0.79 to 1.5 s" in line
    assert line.endswith("At the strong end of the band the computation leaves all bounds.")


def test_a_wall_says_how_many_start_and_which_touch():
    take = synthetic_take((Tone(), Tone(string=1)), strings=2)
    weak = end(take, string_end(), string_end(**STUCK))
    strong = end(take, string_end(first_touch_s=1.0), string_end())
    line = told(banded(take, weak, strong)).headline
    assert "At the weak end of the band 1 of 2 strings start (pier 1)." in line
    assert line.endswith("At the strong end of the band pier 1 will buzz.")


def test_the_rows_carry_the_band_behind_the_figures():
    take = synthetic_take()
    rows = dict(told(banded(take, end(take, string_end(start_time_s=1.5, growth_rate_per_s=12.0, clearance_mm=0.9)))).rows)
    assert "90 % of its level after 0.79 s (0.79 to 1.5 s), growth 20 per s (12 to 20 per s)" in rows["pier 1"]
    assert "0.59 mm (0.59 to 0.9 mm) over" in rows["nearest"]
    assert "pulls 3 mN (-40/+90 %) at rest" in rows["head sense 1"]
    assert "14.4 mN/A (-30/+50 %), 24 Ω" in rows["head sense 1"]
    assert not any(name.startswith("band of") for name in rows)


def test_what_a_measured_value_did_has_a_row_for_all_heads_of_which_it_tells():
    note = "the weighed pull narrows the force factor from -30/+50 % to -20/+18 %"
    rows = dict(told(banded(synthetic_take(), band_note=note)).rows)
    assert rows["band of sense 1 and drive 1"] == note


def test_heads_without_a_band_show_none():
    rows = dict(told(synthetic_take()).rows)
    assert "pulls 3 mN at rest" in rows["head sense 1"]
    assert "14.4 mN/A, 24 Ω" in rows["head sense 1"]


def test_a_clearance_that_an_end_uses_up_is_not_called_never_touching():
    take = synthetic_take()
    rows = dict(told(banded(take, strong=end(take, string_end(first_touch_s=1.0, clearance_mm=0.0)))).rows)
    assert "(0 to " in rows["nearest"]
    assert "touches at an end of the band only" in rows["nearest"]


def test_a_growth_rate_does_not_lie_outside_its_own_range():
    """8.14 per s as computed and at the most: both are told with two figures."""
    take = synthetic_take()
    take = banded(take, weak=end(take, string_end(growth_rate_per_s=3.3)), strong=end(take, string_end(growth_rate_per_s=8.12)))
    found = measure(take)
    found = replace(found, strings=(replace(found.strings[0], growth=replace(found.strings[0].growth, rate_per_s=8.14)),))
    rows = dict(verdict(take, found).rows)
    words = re.search(r"growth ([\d.]+) per s \(3.3 to ([\d.]+) per s\)", rows["pier 1"])
    assert words is not None
    assert float(words[1]) <= float(words[2])
