"""The build sheet against the scenario's words, by hand, and against handbook values.

Sources: ISO 16:1975 and equal temperament (catalogue P1); IEC 60317-0-1, 2.1765 Ω/m of 0.100 mm (from memory, as in the checks of the wire
table). Caught: bare for overall diameter, radius for diameter, metres for millimetres, a change that came by --set and is forgotten,
the sign of a head that is connected the other way round.
"""

import math
from dataclasses import replace

import pytest

from wirebloom.rig import shipped_scenarios
from wirebloom.take.measures import measure
from wirebloom.views.build_sheet import build_sheet, note_name

from .bench_takes import moment, steady, without_samples


def table(take, title):
    return next(one for one in build_sheet(take) if one.title == title)


def cell(take, title, row, column):
    found = table(take, title)
    return next(dict(zip(found.columns, one, strict=True))[column] for one in found.rows if row in one[0].split(", "))


@pytest.mark.parametrize(
    ("hertz", "note"),
    [(440.0, "A4"), (195.9977, "G3"), (82.4069, "E2"), (246.9417, "B3"), (27.5, "A0"), (261.6256, "C4"), (445.0, "A4 + 20 cents")],
)
def test_note_names(hertz, note):
    assert note_name(hertz) == note  # 445/440 = 19.562 cents (P1)


def test_winding_by_hand():
    turn = math.pi * 8.4e-3  # mean turn between 5.6 and 11.2 mm
    what = "What to wind"
    assert cell(moment(), what, "sense", "turns") == "420"
    assert (
        cell(moment(), what, "sense", "wire (bare copper)") == "0.10 mm, 0.113 mm with enamel (class 155)"
    )  # IEC 60317: 0.108 to 0.117 mm
    assert cell(moment(), what, "sense", "resistance at 20 °C") == f"{420 * turn * 2.1765:.3g} Ω"
    assert cell(moment(), what, "sense", "wire to take") == f"{1.1 * 420 * turn:.3g} m"
    assert cell(moment(), what, "drive", "window") == "Ø 5.6 to 11.2 mm, 0.5 to 8.5 mm below the face"


def test_parts_by_hand():
    rows = table(moment(), "What else goes into the heads").rows
    assert rows[0] == ("sense, drive", "core", "Ø 5 × 10 mm", "0 to 10 mm", "iron of permeability 1000", "–")
    assert rows[1] == ("sense, drive", "magnet", "Ø 8 × 3 mm", "10 to 13 mm", "disc, remanence 380 mT", "up")


def test_mounting():
    what = "Where to mount the heads"
    assert [row[0] for row in table(moment(), what).rows] == ["drive", "sense"]  # as one meets them from the bridge
    assert cell(moment(), what, "drive", "from the bridge") == "183.0 mm (0.286 of the length)"  # 0.286 × 640 = 183.04
    assert cell(moment(), what, "drive", "gap as set, string straight") == "1.00 mm"
    assert cell(moment(), what, "sense", "feeler once the magnets pull") == "0.98 mm"
    assert "brass or plastic" in table(moment(), what).note


def test_changes_count():
    take = moment("first_note", "heads.drive.gap=1.5 mm", "heads.sense.coil.turns=500", "loops.main.amplifier.level_resistor=220 ohm")
    assert cell(take, "Where to mount the heads", "drive", "gap as set, string straight") == "1.50 mm"
    assert cell(take, "What to wind", "sense", "turns") == cell(take, "What to wind", "drive", "turns") == "500"  # "like" the other
    assert cell(take, "What to set in loop main", "level resistor", "value") == "220 Ω"


def test_a_string_on_the_face():
    take = steady()
    poles = tuple(replace(pole, rest_gap_m=-1e-5) for pole in take.sheet.poles)
    held = replace(take, sheet=replace(take.sheet, poles=poles))
    assert cell(held, "Where to mount the heads", "sense 1", "feeler once the magnets pull").startswith("none")


def test_settings_of_a_plain_amplifier():
    what = "What to set in loop main"
    said = {row[0]: row[1] for row in table(moment(), what).rows}
    assert said["gain"] == "30000"
    assert said["gain times bandwidth"] == "3 MHz (full gain up to 100 Hz)"
    assert said["supply"] == "9 V"
    assert said["output swing that results"] == "-3 to +3 V about 4.5 V"  # half of 9 V, less 1.5 V of headroom
    assert said["output capacitor"] == "470 µF"
    assert "Fuse the supply" in table(moment(), what).note


def test_settings_of_stages():
    said = {row[0]: row[1] for row in table(moment("two_stages"), "What to set in loop main").rows}
    assert said["stage 1: op-amp, low-noise op-amp"] == "inverting, feedback 2.4 kΩ, 4.7 nF across the feedback"
    assert said["stage 2: coupling"] == "1 µF and 10 kΩ, a pot set to 50 %"
    assert said["stage 3: power chip, medium power chip"].startswith("bypass 47 µF: gain 200, 20 at")  # 30 kΩ over 150 Ω, and over 1.5 kΩ
    assert said["snubber"] == "10 Ω and 100 nF"
    assert said["supply"].startswith("12 V, regulator mains")


@pytest.mark.parametrize(
    ("changes", "pulled"),
    [
        ((), True),
        (("heads.drive.reversed=true",), False),
        (("loops.main.amplifier.polarity=reversed",), False),
        (("loops.main.amplifier.polarity=reversed", "heads.sense.reversed=true"), True),
        (("heads.drive.magnets=[{shape='disc', diameter='8 mm', thickness='3 mm', remanence='0.38 T', direction='down'}]",), False),
    ],
)
def test_what_polarity_comes_to(changes, pulled):
    rows = table(moment("first_note", *changes), "What to set in loop main").rows
    said = next(row[2] for row in rows if row[0] == "polarity")
    assert ("pulled on by drive" in said) is pulled
    assert ("let go by drive" in said) is not pulled


@pytest.mark.parametrize("name", sorted(shipped_scenarios()))
def test_every_shipped_scenario(name):
    take = moment(name)
    tables = build_sheet(take, measure(take))
    assert all(len(row) == len(one.columns) for one in tables for row in one.rows)
    assert all(isinstance(text, str) for one in tables for row in one.rows for text in row)
    assert not any(" nan" in text or "inf " in text or "None" in text for one in tables for row in one.rows for text in row)
    assert {"Strings", "What to wind", "Where to mount the heads", "Test points before power"} <= {one.title for one in tables}


def test_a_scenario_that_cannot_be_read_any_more():
    take = replace(moment(), scenario="format = 99\n")
    tables = {one.title: one for one in build_sheet(take)}
    assert "cannot be read any more" in tables["Strings"].note
    assert "title must be given" in tables["Strings"].note  # and why
    assert cell(take, "What to wind", "sense", "turns") == "–"
    assert cell(take, "What to wind", "sense", "resistance at 20 °C") == "24.1 Ω"  # the take knows
    assert cell(take, "What to set in loop main", "gain", "value") == "30000"
    assert "What else goes into the heads" not in tables
    assert tables["Test points before power"].rows


def test_before_the_first_sample():
    take = without_samples(moment())
    titles = [one.title for one in build_sheet(take)]
    assert "Test points with the strings held" in titles
    assert "Test points while it plays" not in titles
