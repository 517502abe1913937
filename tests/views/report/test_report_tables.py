"""The tables of a page: each value under its unit, a dash for what a take does not define."""

import math
from dataclasses import replace

import pytest

from synthetic import COIL, DECAY, FACTOR, GAP, PULL, QUIESCENT, Tone, synthetic_take
from wirebloom.take.measures import measure
from wirebloom.views.report.tables import beside_table, partial_tables, take_tables, told

FALLING = 6.907755  # ln(1000): a level that falls by 60 dB


def rows(table):
    return {row[0]: row[1:] for row in table.rows}


@pytest.fixture(scope="module")
def take():
    return synthetic_take(touch=1.0)


@pytest.fixture(scope="module")
def tables(take):
    return {table.title: rows(table) for table in take_tables(take, measure(take))}


def test_strings_as_they_sound(tables):
    string = tables["Strings, over the last second"]
    assert string["outcome"] == ("sustained",)
    assert string["growth, 1/s"] == ("20",)
    assert string["its pitch, Hz"] == ("196.00",)
    assert string["first touch, s"] == ("1",)
    assert string["least gap to it, mm"] == ("0",)
    assert string["nearest head"] == ("sense 1",)


def test_heads_in_milli_units(tables):
    head = tables["Heads"]
    assert head["from the bridge, mm"] == ("256", "183")
    assert head["gap at rest, mm"] == (told(1e3 * GAP),) * 2 == ("1", "1")
    assert head["pull at rest, mN"] == (told(1e3 * PULL),) * 2 == ("3", "3")
    assert head["force per current, mN/A"] == (told(1e3 * FACTOR),) * 2 == ("14.4", "14.4")
    assert head["coil, Ω"] == (told(COIL),) * 2
    assert head["weak … strong end, mN"] == ("–", "–")


def test_bands_stand_in_the_unit_of_their_value(take):
    wide = replace(
        take.sheet, poles=tuple(replace(pole, pull_low=0.5, pull_high=2.0, factor_low=0.7, factor_high=1.5) for pole in take.sheet.poles)
    )
    head = next(rows(table) for table in take_tables(replace(take, sheet=wide), measure(take)) if table.title == "Heads")
    assert head["weak … strong end, mN"][0] == "1.5 … 6"
    assert head["weak … strong end, mN/A"][0] == "10.1 … 21.6"


def test_drives_are_those_measured(take, tables):
    (loop,) = measure(take).loops
    drive = tables["Drives, over the last second"]
    assert drive["current, rms, mA"] == (told(1e3 * loop.drive_rms_A),)
    assert drive["power into the drive circuit, mW"] == (told(1e3 * loop.drive_power_W),)
    assert drive["at the limit, % of the time"] == (told(100.0 * loop.drive_saturated),)
    assert float(drive["from the upper rail, mA"][0]) > 1e3 * QUIESCENT


def test_partials_with_level_and_decay(take):
    (table,) = partial_tables(take, measure(take))
    assert table.columns[1:3] == ("alone, Hz", "alone falls by 60 dB in, s")
    first, second = table.rows[:2]
    assert first[:2] == ("1", "196.00")
    assert float(first[2]) == pytest.approx(FALLING / DECAY, rel=5e-3)
    force = 0.4e-3 * float(take.sheet.strings[0].bridge_N_per_m[0])
    assert float(first[3]) == pytest.approx(1e3 * force, rel=5e-3)
    assert float(first[4].replace("−", "-")) == pytest.approx(20.0 * math.log10(force), abs=0.06)
    assert float(first[4].replace("−", "-")) - float(second[4].replace("−", "-")) == pytest.approx(12.04, abs=0.11)
    assert table.rows[-1][3:] == ("0", "–")


def test_a_silent_take_has_dashes_and_no_empty_table():
    take = synthetic_take((), duration=0.0)
    found = {table.title: rows(table) for table in take_tables(take, measure(take))}
    assert "Drives, over the last second" not in found
    assert found["Strings, over the last second"]["outcome"] == ("too short to tell",)
    assert found["Strings, over the last second"]["its pitch, Hz"] == ("–",)


def test_several_takes_stand_in_columns():
    takes = {"loud": synthetic_take(), "soft": synthetic_take((Tone(final=0.2e-3),))}
    table = beside_table({name: measure(take) for name, take in takes.items()})
    assert table.columns == ("", "loud", "soft")
    assert rows(table)["clearance"][0] != rows(table)["clearance"][1]


@pytest.mark.parametrize(
    ("value", "cell"), [(None, "–"), ("", "–"), (-0.0123456, "−0.0123"), (1234.5, "1230"), (0.0, "0"), ("text", "text")]
)
def test_cells(value, cell):
    assert told(value) == cell
