"""Bands of a rig's poles, and what measured values make of them: the shipped rig's heads with a table that is made up.

The table is the exponential of a measured head; its band has one source of the wire that moves the pull twice as far as the force
factor, so that what a reading must do is known in closed form.
"""

from dataclasses import replace

import numpy as np
import pytest

from bands import exponential_table
from wirebloom.compile import bands
from wirebloom.compile.bands import at_end, band_along, known_poles, spread_of
from wirebloom.compile.poles import Pole
from wirebloom.physics.head_table import SOURCES
from wirebloom.rig import load

WIRE = 0.3  # ln, of the force factor
SURE = "heads.{0}.tolerance={{gap='0 mm', turns=0, remanence=0}}"


@pytest.fixture
def table():
    shift = np.zeros((1, len(SOURCES), 2, 2))
    shift[0, 0] = [[-WIRE, -2 * WIRE], [WIRE, 2 * WIRE]]
    shift[0, SOURCES.index("remanence")] = [[-0.1, -0.2], [0.1, 0.2]]
    return replace(exponential_table(), band_gap=np.array([1e-3]), band=shift)


@pytest.fixture
def poles(table, monkeypatch):
    """Known poles of first_note with these overrides."""

    def found(*overrides):
        rig, _ = load("first_note", [SURE.format("sense"), SURE.format("drive"), *overrides])
        bare = tuple(Pole(0, head, head.places[0], table, np.ones(4)) for head in rig.heads)
        monkeypatch.setattr(bands, "find_poles", lambda *_: bare)
        return known_poles(rig, [])

    return found


def test_a_head_that_is_sure_but_for_its_wire(poles):
    for pole in poles():
        assert pole.band.factor == pytest.approx((np.exp(-WIRE), np.exp(WIRE)))
        assert pole.band.pull == pytest.approx((np.exp(-2 * WIRE), np.exp(2 * WIRE)))
        assert pole.band.note == ""


def test_a_weighed_pull_moves_and_narrows_both_heads_over_the_string(poles):
    """The law has 3 mN at 1 mm; 4 mN weighed to 5 %: shift 2·0.3·ln(4/3)·0.3/(0.6² + 0.05²) of ln K, and what is left is 5 % / 2."""
    sense, drive = poles("heads.sense.measured={pull='4 mN', accuracy=0.05}")
    gain = 0.3 * 0.6 / (0.6**2 + 0.05**2)
    left = np.sqrt(0.3**2 - 0.3 * 0.6 * gain)
    assert left == pytest.approx(0.025, rel=5e-3)
    for pole in (sense, drive):
        assert pole.table.force_factor(1e-3) == pytest.approx(14e-3 * np.exp(gain * np.log(4 / 3)), rel=1e-3)
        assert pole.table.pull(1e-3) == pytest.approx(3e-3 * np.exp(2 * gain * np.log(4 / 3)), rel=1e-3)
        assert pole.band.factor == pytest.approx((np.exp(-left), np.exp(left)), rel=1e-6)
    assert sense.band.note == (
        "the weighed pull narrows the force factor from -26/+35 % to -2/+3 % (moved by +15 %) and the pull from -45/+82 % to -5/+5 % "
        "(moved by +33 %)"
    )
    assert drive.band.note.startswith("what was measured at sense narrows the force factor from -26/+35 % to -2/+3 %")


def test_a_coil_reading_is_one_of_the_force_factor(poles):
    """14 mN/A in the law: half of it moves K by nearly half and the pull by nearly a quarter."""
    sense, _ = poles("heads.sense.measured={force_factor='7 mN/A', accuracy=0.01}")
    assert sense.table.force_factor(1e-3) == pytest.approx(7e-3, rel=5e-3)
    assert sense.table.pull(1e-3) == pytest.approx(0.75e-3, rel=5e-3)
    assert sense.band.note.startswith("the coil reading narrows")


def test_a_value_measured_at_another_gap_is_compared_there(poles):
    """3 mN e^(−1/1.5) at 2 mm: no surprise, so nothing moves."""
    sense, _ = poles(f"heads.sense.measured={{pull='{3 * np.exp(-1 / 1.5):.6f} mN', gap='2 mm'}}")
    assert sense.table.pull(1e-3) == pytest.approx(3e-3, rel=1e-3)
    assert sense.band.factor[1] < 1.04


def test_the_gap_as_built_is_known_from_a_pull_weighed_there_and_not_from_one_on_a_bench(poles):
    """A set gap of its own has an error of its own: the rig's gap stays as unsure as it was."""
    loose = "heads.sense.tolerance={gap='0.3 mm', turns=0, remanence=0}"
    there, _ = poles(loose, "heads.sense.measured={pull='3 mN', accuracy=0.01}")
    bench, _ = poles(loose, "heads.sense.measured={pull='3 mN', accuracy=0.01, gap='1 mm'}")
    assert there.band.pull == pytest.approx((0.99, 1.01), abs=2e-3)
    assert bench.band.pull[1] > np.exp(0.2)


def test_a_face_field_makes_the_magnets_as_sure_as_that(poles):
    plain, _ = poles("heads.sense.tolerance={gap='0 mm', turns=0, remanence=0.2}")
    known, _ = poles(
        "heads.sense.tolerance={gap='0 mm', turns=0, remanence=0.2}", "heads.sense.measured={face_field='23 mT', accuracy=0.02}"
    )
    assert np.log(plain.band.factor[1]) == pytest.approx(np.hypot(WIRE, 0.2))
    assert np.log(known.band.factor[1]) == pytest.approx(np.hypot(WIRE, 0.02))
    assert known.band.note.startswith("the face field narrows the force factor from -30/+43 % to -26/+35 %")


def test_a_reading_far_from_anything_expected_is_doubted(poles):
    sense, drive = poles("heads.sense.measured={pull='60 mN'}")
    assert sense.band.note.endswith("the weighed pull is far from anything expected: measure again")
    assert "measure again" not in drive.band.note


def test_remanence_spread_by_tolerance_grade_or_figure():
    sense, _ = load("first_note")[0].heads
    assert spread_of(sense).remanence == pytest.approx(0.1)  # only a remanence is stated
    assert spread_of(load("first_note", [SURE.format("sense")])[0].heads[0]).remanence == 0.0
    graded = "heads.sense.magnets=[{shape='disc', diameter='8 mm', thickness='3 mm', top='10 mm', grade='Y30'}]"
    assert spread_of(load("first_note", [graded])[0].heads[0]).remanence == pytest.approx(0.015 / 0.385, rel=1e-6)


def test_an_end_scales_force_factor_and_pull_and_the_square_of_current(poles, table):
    sense, _ = poles()
    for end in range(2):
        scaled = at_end(sense, end).table
        assert scaled.force_factor(1e-3) == pytest.approx(table.force_factor(1e-3) * sense.band.factor[end])
        assert scaled.pull(1e-3) == pytest.approx(table.pull(1e-3) * sense.band.pull[end])


def test_a_band_over_the_gap_is_that_of_every_gap_without_its_own_error(poles):
    loose = "heads.sense.tolerance={gap='0.3 mm', turns=0, remanence=0}"
    rig = load("first_note", [loose])[0]
    sense, drive = poles(loose)
    band = band_along(rig, (sense, drive), sense, np.array([0.3e-3, 1e-3, 2e-3]))
    np.testing.assert_allclose(band[:, :, 0], np.exp([[-WIRE] * 3, [WIRE] * 3]))
    np.testing.assert_allclose(band[:, :, 1], np.exp([[-2 * WIRE] * 3, [2 * WIRE] * 3]))
    weighed = load("first_note", [loose, "heads.sense.measured={pull='3 mN'}"])[0]
    both = tuple(replace(pole, head=head) for pole, head in zip((sense, drive), weighed.heads, strict=True))
    narrower = band_along(weighed, both, both[1], np.array([1e-3]))
    assert 1.0 < narrower[1, 0, 0] < 0.9 * band[1, 1, 0]


def test_a_measured_head_has_no_band_over_the_gap(poles):
    rig = load("first_note")[0]
    bare = replace(poles()[0], table=exponential_table())
    assert band_along(rig, (bare,), bare, np.array([1e-3])) is None


@pytest.fixture
def wall(table, monkeypatch):
    """Known poles of two_strings_one_loop, by string and head, all with the same table, and sure gaps and turns."""

    def found(*overrides):
        sure = [f"heads.{head}.tolerance={{gap='0 mm', turns=0, remanence=0.2}}" for head in ("sense", "drive")]
        rig, _ = load("two_strings_one_loop", [*sure, *overrides])
        strings = [string.name for string in rig.strings]
        bare = [Pole(strings.index(place.string), head, place, table, np.ones(4)) for head in rig.heads for place in head.places]
        monkeypatch.setattr(bands, "find_poles", lambda *_: tuple(bare))
        return {(strings[pole.string], pole.head.name): pole for pole in known_poles(rig, [])}

    return found


def test_a_reading_over_one_of_two_strings_tells_of_what_the_other_shares(wall):
    """Over east a third more than the pull at its place: its wire (0.6) and the magnets (0.4), of which west shares the magnets alone."""
    plain = wall()
    here = plain["east", "sense"]
    pull = here.table.pull(1e-3, here.place.offset) * 4 / 3
    known = wall(f"heads.sense.measured={{string='east', pull='{pull:.9f} N', accuracy=0.05}}")
    total = 0.6**2 + 0.4**2 + 0.05**2
    shares = {("east", "sense"): 0.6**2 + 0.4**2, ("west", "sense"): 0.4**2, ("east", "drive"): 0.6**2, ("west", "drive"): 0.0}
    for pole, share in shares.items():
        moved = known[pole].table.pull(1e-3) / plain[pole].table.pull(1e-3)
        assert np.log(moved) == pytest.approx(share / total * np.log(4 / 3), rel=1e-4, abs=1e-12)
        left = np.sqrt(0.6**2 + 0.4**2 - share**2 / total)
        assert known[pole].band.pull == pytest.approx((np.exp(-left), np.exp(left)), rel=1e-9)
    assert known["east", "drive"].band.note.startswith("what was measured at sense narrows")
    assert known["west", "drive"].band.note == ""


def test_a_reading_that_names_no_string_is_of_the_heads_first(wall):
    named, unnamed = (wall(f"heads.sense.measured={{{string}pull='4 mN'}}") for string in ("string='west', ", ""))
    for pole in named:
        assert unnamed[pole].band == named[pole].band


@pytest.mark.slow
def test_the_shipped_rig_with_its_own_tables():
    """Steel wire, ferrite disc: tens of per cent either way, and one weighed pull takes at least a quarter off K's band."""
    from wirebloom.compile import compile_rig

    plain = compile_rig(*load("first_note")).poles[0]
    pull = plain.table.pull(1e-3) * 1.3
    known = compile_rig(*load("first_note", [f"heads.sense.measured={{pull='{pull} N'}}"])).poles[0]
    print(plain.band, known.band)
    for quantity in ("factor", "pull"):
        low, high = getattr(plain.band, quantity)
        assert 0.4 < low < 0.85
        assert 1.15 < high < 2.5
    assert np.ptp(np.log(known.band.factor)) < 0.75 * np.ptp(np.log(plain.band.factor))
    assert np.ptp(np.log(known.band.pull)) < 0.2
    assert known.table.pull(1e-3) == pytest.approx(pull, rel=0.02)
