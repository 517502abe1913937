"""Knobs, quick re-analysis, forecasts, and what is prescribed against failures on rigs whose answer is known beforehand.

What would go unnoticed without: a knob that turns the wrong way or a unit slip in its override, a changed rig that is not the one that the
scenario with that change compiles to, a start time without its last third, a cure that is not the least or cures nothing.
"""

from dataclasses import replace
from functools import cache
from math import inf, log

import numpy as np
import pytest

from random_rigs import random_text
from shipped import ended
from wirebloom.analysis.failures import kinds, kinds_after
from wirebloom.analysis.forecast import forecasts
from wirebloom.analysis.knobs import Knob, capacitor, grid, resistor, two_figures
from wirebloom.analysis.makers_knobs import knobs_of
from wirebloom.analysis.prescribe import advise
from wirebloom.analysis.probes import WORST, Probe
from wirebloom.analysis.rises import level, rise_time
from wirebloom.analysis.search import least_turns
from wirebloom.analysis.small import small_signal
from wirebloom.analysis.trials import tried, with_turns
from wirebloom.compile import Compiled, compile_rig
from wirebloom.rig import load, loads
from wirebloom.rig.dimensions import LENGTH
from wirebloom.take.check_prescriptions import Advice, Forecast

CLEAR = Forecast("one", "free", 1, 4.0, 0.5, "sense", 0.5, -0.6, False, 12.0)


@cache
def compiled(name: str, *overrides: str) -> Compiled:
    return compile_rig(*load(name, overrides))


@cache
def advice(name: str) -> Advice:
    return advise(compiled(name), sensitive=False)


def knob_of(rig: Compiled, name: str) -> Knob:
    return next(knob for knob in knobs_of(rig, rig.rig.strings[0].name) if knob.name == name)


def test_values_that_can_be_bought() -> None:
    """E24 has 6.2, 6.8, 7.5, 8.2 next to one another, E12 6.8 and 8.2 (IEC 60063, from memory)."""
    assert [resistor(70.0, up) for up in (True, False)] == [75.0, 68.0]
    assert [resistor(68.0, up) for up in (True, False)] == [68.0, 68.0]
    assert [resistor(960.0, up) for up in (True, False)] == [1000.0, 910.0]
    assert (resistor(0.0, True), resistor(0.05, True), resistor(0.05, False)) == (0.0, 0.1, 0.0)
    assert [capacitor(7e-6, up) for up in (True, False)] == pytest.approx([8.2e-6, 6.8e-6])
    assert [grid(0.5)(7.2, up) for up in (True, False)] == [7.5, 7.0]
    assert [two_figures(1234.0, up) for up in (True, False)] == [1300.0, 1200.0]


@pytest.mark.parametrize(("full", "beside"), [(4.0, 0.0), (30.0, 25.0), (0.05, inf)])
def test_turns_and_values_belong_to_one_another(full: float, beside: float) -> None:
    knob = Knob("k", "gap", 1.0, 0.0, 1e3, full, 0.1, lambda v: (), grid(1e-3), LENGTH, beside)
    for turn in (-0.4, 0.0, 0.7):
        assert knob.turn(knob.at(turn)) == pytest.approx(turn, abs=1e-12 if knob.at(turn) > 0.0 else 1.0)
    assert knob.at(1.0) == pytest.approx(1.0 + full if beside == inf else (1.0 + beside) * full - beside)
    for turn in (-0.0301, 0.0301):
        settled = knob.at(knob.beyond(turn))
        assert abs(settled - 1.0) >= abs(knob.at(turn) - 1.0) - 1e-9
        assert settled == pytest.approx(round(settled, 3))


def test_a_knob_moves_to_the_next_value_even_by_the_least_turn() -> None:
    knob = knob_of(compiled("first_note"), "level resistor of main")
    assert [knob.at(knob.beyond(turn)) for turn in (1e-6, -1e-6)] == pytest.approx([150.0, 120.0])  # 130 Ω between its neighbours in E24


CHANGES = (
    ("heads.sense.gap=0.7 mm",),
    ("heads.drive.gap=1.6 mm", "heads.sense.gap=1.6 mm"),
    ("heads.drive.position=120 mm",),
    ("loops.main.amplifier.gain=900", "loops.main.amplifier.level_resistor=0 ohm", "loops.main.amplifier.polarity=reversed"),
)


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change[0])
def test_a_rig_that_is_changed_is_the_one_that_the_changed_scenario_says(change: tuple[str, ...]) -> None:
    quick, whole = tried(compiled("first_note"), change), compiled("first_note", *change)
    assert quick is not None
    assert quick.rest == pytest.approx(whole.rest, rel=1e-6, abs=1e-15)
    for name in ("poles", "coils", "network", "stages"):
        for key, was, now in zip(getattr(whole.model, name)._fields, getattr(whole.model, name), getattr(quick.model, name), strict=True):
            assert np.asarray(now) == pytest.approx(np.asarray(was), rel=1e-12), f"{name}.{key}"
    assert quick.rig == whole.rig


@pytest.mark.long
def test_more_turns_in_the_same_window() -> None:
    """K and R go as the turns, L as their square, and the reach of the far field as the turns: checked against a table of its own."""
    head, more = compiled("first_note").poles[0], compiled("first_note", "heads.sense.coil.turns=400").poles[0]
    scaled = with_turns(head.table, 400 / 420)
    assert scaled.force_factor(1e-3) == pytest.approx(more.table.force_factor(1e-3), rel=1e-9)
    for key in ("resistance", "inductance", "dipole", "copper_mass", "wire_length"):
        assert getattr(scaled, key) == pytest.approx(getattr(more.table, key), rel=1e-9), key
    assert scaled.coefficient == pytest.approx(more.table.coefficient, rel=1e-7, abs=1e-18)
    assert scaled.ladder == pytest.approx(more.table.ladder, rel=1e-7)


def test_what_cannot_be_built_or_hangs_on_a_face_is_none() -> None:
    rig = compiled("first_note")
    assert tried(rig, ["heads.drive.position=255 mm"]) is None  # in the sense head's place
    assert tried(rig, ["heads.sense.gap=0.2 mm"], ("sense", 30.0)) is None  # 900 times the pull


def test_a_head_made_like_another_is_left_as_it_is() -> None:
    rig = compiled("first_note")
    changed = load("first_note", knob_of(rig, "turns of sense").overrides(500.0))[0]
    assert [head.coil.turns for head in changed.heads] == [500, 420]


def test_what_was_measured_was_measured_at_the_old_gap() -> None:
    told = 'heads.sense.measured={ pull = "20 mN" }'
    rig = compile_rig(*load("first_note", [told]))
    assert knob_of(rig, "gap of sense").overrides(0.8e-3) == ("heads.sense.gap=0.8 mm", "heads.sense.measured.gap=1 mm")


@pytest.mark.parametrize("name", ["first_note", "power_chip", "two_stages", "two_strings_one_loop"])
def test_every_knob_is_one_that_a_scenario_takes(name: str) -> None:
    rig = compile_rig(*load(name))
    for knob in knobs_of(rig, rig.rig.strings[0].name):
        changed = load(name, knob.overrides(knob.at(knob.beyond(0.1))))[0]
        assert bool(changed == rig.rig) == bool(knob.magnets), knob.name


def test_rise_of_a_faint_note() -> None:
    """ln A grows by the rate: from 1e-9 to 0.9e-4 at 2/s."""
    size, growth = np.array([1e-8, 1e-3]), np.array([2.0, 2.0])
    assert rise_time(size, growth, 1e-9, 1e-4) == pytest.approx(log(0.9e5) / 2.0, rel=1e-4)
    assert rise_time(size, np.array([2.0, -1.0]), 1e-9, 1e-3) == inf


def test_rise_at_full_swing() -> None:
    """A′ = σ (A∞ − A), a constant push against damping: from a tenth to nine tenths of A∞ in ln(9)/σ."""
    decay, final, size = 0.6, 1e-3, np.geomspace(1e-4, 2e-3, 10)
    growth = decay * (final / size - 1.0)
    assert level(size, growth, 1.1e-3) == pytest.approx(final, rel=1e-9)
    assert rise_time(size, growth, 0.1 * final, final) == pytest.approx(log(9.0) / decay, rel=1e-3)


@pytest.mark.long
def test_start_and_clearance_of_the_first_note_in_a_run() -> None:
    """The start as the run's bridge force has it: noise and thump are known to their order of size only."""
    told, run = forecasts(compiled("first_note"))[0], ended("first_note").string
    assert told.start_time_s == pytest.approx(run.start_time_s, rel=0.15)
    assert told.clearance_mm == pytest.approx(run.near.clearance_mm, rel=0.03)
    assert told.partial == run.dominant_partial


def test_which_verdicts_fail() -> None:
    silent = replace(CLEAR, partial=None, start_time_s=None, clearance_mm=None, reach_mm=None, rival_per_s=None, nearest="")
    assert kinds(CLEAR, 8.0) == kinds_after(CLEAR, 8.0) == ()
    assert kinds(silent, 8.0) == ("silent",)
    assert kinds(replace(silent, equilibrium="latched", squeals=True), 8.0) == ("latched", "squeals")
    assert kinds(replace(CLEAR, start_time_s=16.0), 8.0) == ("late",)
    assert kinds(replace(CLEAR, start_time_s=16.0), 24.0) == ()
    assert kinds(replace(CLEAR, clearance_mm=0.0), 8.0) == ("touches",)
    assert kinds(CLEAR, 8.0, wanted=2) == ("other partial",)


def test_a_cure_is_judged_more_strictly() -> None:
    near = replace(CLEAR, clearance_mm=0.04)
    assert (kinds(near, 8.0), kinds_after(near, 8.0)) == ((), ("touches",))
    assert kinds_after(replace(CLEAR, squeal_margin_dB=0.5), 8.0) == ("squeals",)
    assert kinds_after(replace(CLEAR, squeal_margin_dB=None), 8.0) == ()


def test_the_search_finds_the_least_turn_either_way() -> None:
    knob = Knob("k", "gain", 100.0, 1.0, 1e6, 10.0, 0.1, lambda v: (), two_figures)
    up, down = least_turns(knob, lambda turn: Probe(turn >= 0.3 or turn <= -0.7, abs(turn)), Probe(False, 0.0))
    assert (0.3 <= up < 0.33, -0.75 < down <= -0.7) == (True, True)


def test_the_search_gives_up_a_way_that_leads_off() -> None:
    knob, seen = Knob("k", "gain", 100.0, 1.0, 1e6, 10.0, 0.1, lambda v: (), two_figures), []

    def look(turn: float) -> Probe:
        seen.append(turn)
        return Probe(False, -turn)

    assert list(least_turns(knob, look, Probe(False, 0.0))) == []
    assert [turn for turn in seen if turn > 0.0] == pytest.approx([0.12])


def test_the_search_finds_a_window_between_a_face_and_silence() -> None:
    knob = Knob("k", "gain", 100.0, 1.0, 1e6, 10.0, 0.1, lambda v: (), two_figures)

    def look(turn: float) -> Probe:
        return Probe(False, -1.0) if turn < 0.6 else Probe(turn < 0.8, WORST if turn >= 0.8 else -0.5)

    (turn,) = least_turns(knob, look, Probe(False, -1.0))
    assert 0.6 <= turn < 0.65


def test_nothing_is_wrong_with_the_first_note() -> None:
    assert (advice("first_note").failures, advice("first_note").prescriptions) == ((), ())


def test_a_silent_string_is_cured_by_more_gain_or_less_gap() -> None:
    """The gain has to pass the start's threshold, found on another way (its root on the imaginary axis)."""
    found = advice("too_far")
    assert [own.kind for own in found.failures] == ["silent"]
    cures = {cure.knob: cure for cure in found.prescriptions}
    least = min(own.gain for own in small_signal(compiled("too_far")).partials if own.gain is not None)
    assert least < float(cures["gain of main"].after) < 10.0 * least
    assert all(0.3 < float(one.split("=")[1].removesuffix(" mm")) < 3.0 for one in cures["gaps of sense and drive"].overrides)
    assert found.least(found.failures[0]) == cures["gain of main"]


def test_every_prescription_holds_in_an_analysis_from_the_start() -> None:
    """Compiled anew with the change as `--set` takes it: the same forecast."""
    for cure in advice("too_far").prescriptions:
        (told,) = forecasts(compiled("too_far", *cure.overrides))
        assert told.partial == cure.forecast.partial, cure.words
        assert told.start_time_s == pytest.approx(cure.forecast.start_time_s, rel=1e-3)
        assert told.clearance_mm == pytest.approx(cure.forecast.clearance_mm, abs=1e-3)
        assert ("touches" in cure.leaves) == (told.clearance_mm < 0.05 * told.reach_mm)


def test_a_squeal_is_cured_by_room_between_the_heads() -> None:
    """The sense head is at 256 mm, the drive head at 218 mm: the one goes up, or the other down."""
    found = advice("too_near")
    assert found.failures[0].kind == "squeals"
    moved = {cure.knob: float(cure.after.removesuffix(" mm")) for cure in found.prescriptions if cure.knob.startswith("position")}
    assert moved["position of drive"] < 218.0
    assert moved["position of sense"] > 256.0
    assert all(not cure.forecast.squeals for cure in found.prescriptions)


def test_a_string_that_is_held_on_a_face_is_freed() -> None:
    """By weaker magnets, more gap or another place; compiled anew it hangs clear."""
    held = ["heads.sense.law.pull=400 mN", "heads.sense.gap=0.6 mm"]
    text = random_text(3)
    rig = compile_rig(*loads(text, file="held.toml", overrides=held))
    found = advise(rig, sensitive=False)
    assert [own.kind for own in found.failures] == ["latched"]
    assert {"gap of sense", "magnets of sense"} & {cure.knob for cure in found.prescriptions}
    for cure in found.prescriptions:
        freed = compile_rig(*loads(text, file="held.toml", overrides=[*held, *cure.overrides]))
        assert freed.sheet.strings[0].equilibrium != "latched"


@pytest.mark.long
def test_wires_that_were_swapped_are_swapped_back() -> None:
    cure = next(own for own in advice("reversed").prescriptions if own.knob == "polarity of main")
    assert cure.words.startswith("Swap the two wires of the drive coils of main: pier starts on partial 1 in some ")
    assert cure.words.endswith(" s, but it meets sense or nearly so.")
    assert cure.overrides == ("loops.main.amplifier.polarity=normal",)
    assert (cure.forecast.partial, cure.leaves) == (1, ("touches",))  # as its story says


@pytest.mark.long
def test_a_level_resistor_keeps_a_string_off_the_faces_and_is_the_least_that_does() -> None:
    found = advice("too_close")
    assert [own.kind for own in found.failures] == ["touches"]
    cure = next(own for own in found.prescriptions if own.knob == "level resistor of main")
    assert kinds_after(cure.forecast, 3.0) == ()
    (less,) = forecasts(compiled("too_close", f"loops.main.amplifier.level_resistor={0.75 * float(cure.after.removesuffix(' ohm'))} ohm"))
    assert "touches" in kinds_after(less, 3.0)


@pytest.mark.long
def test_another_partial_can_be_asked_for() -> None:
    found = advise(compiled("first_note"), wanted=2, sensitive=False)
    assert [own.kind for own in found.failures] == ["other partial"]
    assert all(cure.forecast.partial == 2 for cure in found.prescriptions)
