"""A check in words: what decides comes first, and what cannot be said is not."""

import io
from dataclasses import replace

import numpy as np
import pytest
from rich.console import Console

from checks import advice, partial_check, steady, string_static, synthetic_check
from wirebloom.take.check_saturated import Saturated
from wirebloom.take.check_small import GapMargin, Margins, SquealMargin
from wirebloom.views.check_headline import check_headline
from wirebloom.views.check_margins import gap_words, squeal_words
from wirebloom.views.check_rest import hearing_words
from wirebloom.views.check_rows import check_rows
from wirebloom.views.check_sheet import check_sheet
from wirebloom.views.check_tables import decay_cells, growth_cells

SILENT = {"growth": (-0.5, -1.0, -2.0), "settles": False}


def ends(*states):
    return Saturated(tuple(states), 0.02, "switch-on")


def with_string(check, **changes):
    return replace(check, sheet=replace(check.sheet, strings=(string_static(**changes),)))


@pytest.mark.parametrize(
    ("check", "verdict", "said"),
    [
        (synthetic_check(), "starts", "It starts: partial 1 (196.0 Hz) grows by 8 per s and settles, 0.33 mm clear of sense."),
        (synthetic_check(saturated=ends(steady(touches=True))), "touches", "only on the face of sense: it will buzz."),
        (synthetic_check(saturated=ends(steady(partial=2, frequency_Hz=392.0))), "starts", "but in the end partial 2 (392.0 Hz) leads"),
        (synthetic_check(settles=False), "starts", "where it settles is not known without a run"),
        (synthetic_check(**SILENT), "silent", "no gain makes a partial grow; with the polarity reversed partial 3 would grow, by 2 per s."),
        (
            synthetic_check(**{**SILENT, "settles": True}, saturated=ends(steady(likely=False))),
            "silent",
            "does not start by itself; set going hard enough, partial 1 (194.8 Hz) would last.",
        ),
        (
            synthetic_check(**{**SILENT, "settles": True}),
            "starts",
            "partial 1 (194.8 Hz) would not grow from nothing, but its start is strong enough, and it settles, 0.33 mm",
        ),
        (synthetic_check(electrical=5.0), "squeals", "the electronics squeal at 304 kHz, whatever the strings do."),
        (synthetic_check(loops=False), "undriven", "There is no loop: nothing listens."),
        (with_string(synthetic_check(), equilibrium="latched"), "held", "The magnets hold pier on a face: more gap or weaker magnets"),
        (synthetic_check(**SILENT, words=("Loop main has no gain: nothing.",)), "silent", "It does not start. Loop main has no gain"),
        (synthetic_check(strings=("west", "east")), "starts", "All strings start."),
    ],
)  # fmt: skip
def test_headline(check, verdict, said):
    assert check.verdict == verdict
    assert said in check_headline(check)


def test_what_a_silent_partial_lacks_is_told():
    """A share of 2 is what must be heard: 6 dB more, and a minus sign would call them to spare."""
    check = synthetic_check(**SILENT)
    near = replace(check.small.partials[0], share=2.0)
    found = replace(check, small=replace(check.small, partials=(near, *check.small.partials[1:])))
    assert "partial 1 (196.0 Hz) comes nearest, and lacks 6 dB" in check_headline(found)


def test_one_of_several_strings_touches():
    check = synthetic_check(strings=("west", "east"), saturated=ends(steady("west"), steady("east", touches=True)))
    assert check.verdict == "touches"
    assert check_headline(check) == "All strings start; east will buzz."


def test_a_silent_string_among_others_is_counted():
    check = synthetic_check(strings=("west", "east"))
    quiet = tuple(
        partial_check(own.partial, -1.0, own.string, own.polarisation) if own.string == "east" else own for own in check.small.partials
    )
    found = replace(check, small=replace(check.small, partials=quiet), saturated=ends(steady("west")))
    assert check_headline(found) == "1 of 2 strings start (west)."
    assert found.verdict == "silent"


def test_rows_begin_with_what_cannot_work_then_the_places():
    names = [name for name, _ in check_rows(synthetic_check(words=("The magnets pull.",)))]
    assert names[:3] == ["first of all", "places", "pier"]
    rows = dict(check_rows(synthetic_check()))
    assert "24 dB to spare" in rows["gain"]
    assert "from a gain of 340 on" in rows["gain"]
    assert "15 µV per mm/s and 15 µN per mA" in rows["head sense"]
    assert "amplitude ± 2 %" in rows["settles"]
    assert "starts up to 1.8 mm" in rows["gap of sense and drive"]


def test_a_squealing_rig_says_nothing_of_where_strings_settle():
    assert not any(name.startswith("settles") for name, _ in check_rows(synthetic_check(electrical=5.0)))


def test_a_held_string_says_nothing_of_small_motions():
    names = [name for name, _ in check_rows(with_string(synthetic_check(), equilibrium="latched"))]
    assert "pier" not in names
    assert not any(name.startswith("settles") for name in names)


def test_advice_names_the_change_as_the_command_line_takes_it():
    rows = list(check_rows(synthetic_check(**SILENT, advice=advice())))
    assert ("mended by", "Change the gain. --set loops.main.amplifier.gain=3700") in rows
    assert ("start time", "Closer is quicker.") in rows
    assert "--advice" in dict(check_rows(synthetic_check(**SILENT)))["advice"]
    assert "advice" not in dict(check_rows(synthetic_check()))


def test_growth_table_follows_the_polarity():
    places = {polarity: [row[3] for row in growth_cells(synthetic_check(polarity=polarity), "pier")] for polarity in ("normal", "reversed")}
    assert places == {"normal": ["feed", "damp", "node"], "reversed": ["damp", "feed", "node"]}
    first = growth_cells(synthetic_check(), "pier")[0]
    assert first[4:7] == ["+8", "−0.65", "−8"]
    assert first[9] == "24"


def test_decay_table_shares_out_the_whole():
    for row in decay_cells(string_static()):
        assert sum(float(cell) for cell in row[5:]) == 100.0
    assert decay_cells(string_static())[0][4] == "10.6 s"
    assert decay_cells(string_static(magnet_cent=np.full((2, 3), np.nan)))[0][3] == "–"


@pytest.mark.parametrize(
    "check",
    [
        synthetic_check(),
        synthetic_check(loops=False),
        synthetic_check(strings=("west", "east")),
        synthetic_check(strings=tuple(f"s{k}" for k in range(8))),
        synthetic_check(**SILENT, advice=advice()),
        synthetic_check(electrical=5.0),
        with_string(synthetic_check(), equilibrium="latched", magnet_cent=np.full((2, 3), np.nan)),
        synthetic_check(margins=Margins((), ())),
    ],
)
def test_every_sheet_fits_into_80_columns(check):
    written = io.StringIO()
    Console(file=written, width=80, highlight=False, markup=False).print(check_sheet(check))
    assert max(len(line.rstrip()) for line in written.getvalue().splitlines()) <= 80
    assert "nan" not in written.getvalue()
    assert "inf " not in written.getvalue()


def test_gap_margins_in_words():
    margin = GapMargin("pier", ("sense",), (1.0,), (2.5,), 1, False)
    assert gap_words(margin, False) == "it starts up to 2.5 mm, at last on partial 1 (now 1 mm)"
    assert gap_words(replace(margin, limited=True), True).startswith("pier starts even at 2.5 mm")
    assert gap_words(replace(margin, widest_mm=None, partial=None), False) == "it starts at none, as everything else is set (now 1 mm)"


def test_squeal_margins_in_words():
    margin = SquealMargin("main", -5.0, 0.0, 10.0, None, 3e5, 9e4, 12.0)
    assert squeal_words(margin) == (
        "keeps still with its strings held; would squeal at 300 kHz with 10 times the crosstalk (20 dB), with its heads 12 mm apart, "
        "at a gain of 90000"
    )
    assert "squeals with its strings held, at 304 kHz" in squeal_words(replace(margin, growth_rate_per_s=9.0, frequency_Hz=304e3))
    assert "whatever the crosstalk" in squeal_words(replace(margin, crosstalk=None))


def test_a_deaf_loop_hears_nothing():
    deaf = synthetic_check().sheet.hearing[0]
    assert hearing_words(replace(deaf, least_m_per_rtHz=np.full(3, np.inf))) == "nothing of pier"
    assert hearing_words(deaf).startswith("partial 1 of pier from 1 nm/√Hz on")
