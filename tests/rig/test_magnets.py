"""Magnets, cores and plates as scenarios write them: what stands for what, and which sentence refuses what cannot be."""

from itertools import pairwise

import pytest

from wirebloom.errors import RigError, ScenarioError
from wirebloom.rig import Magnet, Plate
from wirebloom.rig.magnets import GRADES, UNGRADED_SPREAD, Knee, energy_limits
from wirebloom.rig.steels import STEELS, permeability_of

OLD = 'magnets = [{ shape = "disc", diameter = "8 mm", thickness = "3 mm", remanence = "0.38 T" }]'
DISC = 'shape = "disc", diameter = "8 mm", thickness = "3 mm"'
GRADED = ", ".join(f"'{name}'" for name in list(GRADES)[:-1]) + f" or '{list(GRADES)[-1]}'"


def magnets(*entries):
    """The scenario's magnet replaced by some, each said by what differs from a disc of 8 x 3 mm."""
    return ((OLD, f"magnets = [{', '.join(f'{{ {DISC}, {entry} }}' for entry in entries)}]"),)


def built(read, *entries):
    return read(replace=magnets(*entries))[0].heads[0]


def test_remanence_alone_is_what_it_was(read):
    data = read()[0].heads[0].magnets[0].data
    assert (data.remanence, data.recoil_permeability, data.curve, data.spread) == (0.38, 1.05, None, UNGRADED_SPREAD)


@pytest.mark.parametrize("grade", GRADES)
def test_grade_stands_for_remanence(read, grade):
    data, listed = built(read, f'grade = "{grade}"').magnets[0].data, GRADES[grade]
    assert listed.remanence[0] <= data.remanence <= listed.remanence[1]
    (low, high), (least, most) = listed.remanence, listed.coercivity
    if listed.family == "alnico":  # past its knee coercivity counts, and how it was magnetised
        assert max((most - least) / (most + least), (high - low) / (high + low)) < data.spread
    else:
        assert (data.remanence * (1 - data.spread), data.remanence * (1 + data.spread)) == pytest.approx((low, high))
    assert data.recoil_permeability == listed.recoil_permeability
    assert (data.curve is not None) == (listed.family == "alnico")


def test_remanence_goes_before_a_grade(read):
    """The curve of a stronger specimen is stretched along B: coercivity as it was, energy product in proportion."""
    listed = built(read, 'grade = "alnico 5"').magnets[0].data.curve
    own = built(read, 'grade = "alnico 5", remanence = "1.02 T"').magnets[0].data
    assert own.remanence == 1.02
    assert own.curve == pytest.approx((1.02, listed.coercivity, listed.energy_product * 1.02 / listed.remanence))
    assert built(read, 'grade = "N42", remanence = "1.31 T"').magnets[0].data.remanence == 1.31


def test_figures_of_a_data_sheet(read):
    figures = 'remanence = "1.1 T", coercivity = "48 kA/m", energy_product = "34 kJ/m3", recoil_permeability = 4'
    assert built(read, figures).magnets[0].data.curve == Knee(1.1, pytest.approx(48e3), pytest.approx(34e3))


def test_curve_goes_before_everything(read):
    curve = 'curve = [["-50 kA/m", "0 T"], ["-40 kA/m", "1 T"], ["0 A/m", "1.2 T"]], grade = "alnico 8", remanence = "0.5 T"'
    data = built(read, curve).magnets[0].data
    assert data.remanence == 1.2
    assert data.curve[1] == (-40e3, 1.0)
    assert data.recoil_permeability == pytest.approx(0.2 / 40e3 / 1.25664e-6, rel=1e-4)  # its flattest piece


def test_stack_of_discs(read):
    head = built(read, 'count = 3, grade = "Y30"')
    assert head.magnets[0].height == pytest.approx(9e-3)
    assert head.magnets[0].top == head.core.length


def test_plate_lies_behind_everything(read):
    text = magnets('count = 2, grade = "Y30"')[0][1] + '\nplates = [{ diameter = "14 mm", thickness = "2 mm", steel = "mild steel" }]'
    head = read(replace=((OLD, text),))[0].heads[0]
    assert head.plates[0].top == pytest.approx(16e-3)
    assert head.plates[0].linear_permeability == pytest.approx(permeability_of(STEELS["mild steel"]))
    assert head.outer_radius == pytest.approx(7e-3)
    assert Plate(diameter=14e-3, thickness=1e-3, top=16e-3).linear_permeability == 1000.0


def test_core_of_steel(read):
    core = read("heads.sense.core.steel=sheet steel")[0].heads[0].core
    assert core.points == STEELS["sheet steel"]
    own = read("heads.sense.core.steel=sheet steel", "heads.sense.core.curve=[['0 A/m', '0 T'], ['1 kA/m', '1 T'], ['9 kA/m', '1.6 T']]")
    assert own[0].heads[0].core.points == ((0.0, 0.0), (1e3, 1.0), (9e3, 1.6))


def test_half_a_tesla_tells_the_permeability():
    """0.50055 T at 437.7 A/m of the printed table: mu = 910."""
    assert permeability_of(STEELS["mild steel"]) == pytest.approx(0.50055 / (437.7 * 1.256637e-6), rel=2e-3)


@pytest.mark.parametrize("steel", STEELS)
def test_steels_rise_and_saturate(steel):
    points = STEELS[steel]
    slopes = [(b1 - b0) / (1.256637e-6 * (h1 - h0)) for (h0, b0), (h1, b1) in pairwise(points)]
    assert min(slopes) > 0.99
    assert max(slopes) > 300
    assert 1.9 < points[-1][1] - 1.256637e-6 * points[-1][0] < 2.15  # polarisation; iron 2.158 T (memory)


def test_limits_of_an_energy_product():
    """A straight line gives B_r H_c/4 (textbook), a perfect knee B_r H_c if the recoil line is flat."""
    least, most = energy_limits(1.0, 10e3, 1.0)
    assert least == 2500.0
    assert most == pytest.approx(10e3 * (1.0 - 1.256637e-6 * 10e3))


REFUSED = {
    'grade = "alnico5"': f"grade must be the name of a grade ({GRADED}); instead received alnico5. Perhaps you meant 'alnico 5'.",
    'direction = "up"': "remanence must be given, such as 0.38 T (or a grade, or a curve); instead received nothing.",
    'grade = "Y30", direction = "north"': "direction must be 'up' or 'down'; instead received north.",
    'grade = "Y30", direction = ""': "direction must be 'up' or 'down'; instead received an empty text.",
    'grade = "Y30", count = 0': "count must be a whole number between 1 and 20; instead received 0.",
    'grade = "Y30", magnetised = "later"': "magnetised must be 'apart' or 'in place'; instead received later.",
    'remanence = "1.2 T", recoil_permeability = 0.9': "recoil_permeability must be between 1 and 10; instead received 0.9.",
    'remanence = "1.2 T", coercivity = "50 kA/m"': "energy_product must be given together with coercivity; instead received nothing.",
    'remanence = "1.2 T", coercivity = "50 kA/m", energy_product = "40 kJ/m3"': "recoil_permeability must be given together with "
    "coercivity and energy_product; instead received nothing.",
    'remanence = "1.2 T", coercivity = "50 kA/m", energy_product = "90 kJ/m3", recoil_permeability = 4': "energy_product must be "
    "between 15 kJ/m3 and 47.434 kJ/m3 for this remanence, coercivity and recoil permeability; instead received 90 kJ/m3.",
    'remanence = "0.4 T", coercivity = "300 kA/m", energy_product = "30 kJ/m3", recoil_permeability = 1.1': "coercivity must be less "
    "than 289.37 kA/m, where the recoil line from the remanence ends (recoil_permeability 1.1); instead received 300 kA/m.",
    'curve = [["-50 kA/m", "0 T"], ["0 A/m", "1.2 T"]]': "curve must be a list of at least 3 points [H, B] from [-HcB, 0 T] up to "
    "[0 A/m, Br]; instead received a list of 2 from [-50 kA/m, 0 T] to [0 A/m, 1.2 T].",
    'curve = [["-50 kA/m", "0 T"], ["-40 kA/m", "1.1 T"], ["-30 kA/m", "1 T"], ["0 A/m", "1.2 T"]]': "curve must be rising in H and "
    "in B from point to point; instead received [-40 kA/m, 1.1 T] followed by [-30 kA/m, 1 T].",
    'curve = [["-50 kA/m", "0 T"], ["-40 kA/m", "1.1 T"], ["0 A/m", "1.11 T"]]': "curve must be nowhere flatter than air (relative "
    "permeability 1); instead received a piece with 0.199.",
    'recoil_permeability = 5, curve = [["-50 kA/m", "0 T"], ["-40 kA/m", "1 T"], ["0 A/m", "1.2 T"]]': "curve must be nowhere flatter "
    "than its recoil_permeability 5; instead received a piece with 3.98.",
    'curve = [["-50 kA/m", "0 T"], ["40", "1 T"], ["0 A/m", "1.2 T"]]': "curve[1][0] must be a field strength with its unit "
    "(kA/m or A/m); instead received 40.",
}


@pytest.mark.parametrize(("entry", "expected"), REFUSED.items())
def test_magnet_that_cannot_be(read, entry, expected):
    with pytest.raises(ScenarioError) as caught:
        built(read, entry)
    assert str(caught.value) == f"test.toml: heads[0].magnets[0].{expected}"


def test_several_magnets_need_their_directions(read):
    """One magnet may be left to point up; of two nobody knows whether they help or fight each other."""
    with pytest.raises(ScenarioError) as caught:
        built(read, 'grade = "Y30", direction = "up"', 'grade = "Y30", top = "13 mm"')
    assert str(caught.value) == (
        "test.toml: heads[0].magnets[1].direction must be given, 'up' or 'down', where a head has several magnets; "
        "instead received nothing."
    )


def test_like_poles_do_not_lie_on_one_another(read):
    with pytest.raises(RigError) as caught:
        built(read, 'grade = "Y30", direction = "up"', 'grade = "Y30", top = "13 mm", direction = "down"')
    assert str(caught.value) == (
        "test.toml: heads[0].magnets[1].direction must be 'up', as that of magnets[0] on which it lies (like poles push apart); "
        "instead received 'down'."
    )
    apart = built(read, 'grade = "Y30", direction = "up"', 'grade = "Y30", top = "14 mm", direction = "down"')
    assert [magnet.direction for magnet in apart.magnets] == ["up", "down"]


CORES = {
    "heads.sense.core.permeability=0.5": "permeability must be between 1 and 100000; instead received 0.5.",
    "heads.sense.core.steel=mild stel": "steel must be the name of a steel ('mild steel', 'sheet steel' or 'free-cutting steel'); instead "
    "received mild stel. Perhaps you meant 'mild steel'.",
    "heads.sense.core.curve=[['0 A/m', '0.1 T'], ['1 kA/m', '1 T'], ['2 kA/m', '1.2 T']]": "curve must be a list of at least 3 points "
    "[H, B] from [0 A/m, 0 T] upwards; instead received a list of 3 from [0 A/m, 100 mT] to [2 kA/m, 1.2 T].",
    "heads.sense.core.curve=[['0 A/m', '0 T'], ['2 kA/m', '1 T'], ['1 kA/m', '1.2 T']]": "curve must be rising in H and in B from point "
    "to point; instead received [2 kA/m, 1 T] followed by [1 kA/m, 1.2 T].",
    "heads.sense.core.curve=[['0 A/m', '0 T'], ['2 kA/m', '1.7 T'], ['200 kA/m', '1.8 T']]": "curve must be nowhere flatter than air "
    "(relative permeability 1); instead received a piece with 0.402.",
}


@pytest.mark.parametrize(("override", "expected"), CORES.items())
def test_core_that_cannot_be(read, override, expected):
    with pytest.raises(ScenarioError) as caught:
        read(override)
    assert str(caught.value) == f"test.toml: heads[0].core.{expected}"


PARTS = {
    "plates=[{diameter='14 mm', thickness='2 mm', top='9 mm'}]": "plates[0] must be clear of core; instead received parts that share "
    "2.5 mm by 1 mm.",
    "plates=[{diameter='14 mm', inner_diameter='6 mm', thickness='2 mm', top='8 mm'}]": "plates[0] must be clear of coil; instead "
    "received parts that share 2.6 mm by 500 um.",
    "magnets.0.count=2": "plates[0] must be clear of magnets[0]; instead received parts that share 4 mm by 1 mm.",
    "coil.wire=0.5 mm": "coil.turns must be at most 70, which is all that fits of 534 um enamelled wire into 2.8 mm by 8 mm; instead "
    "received 420.",
}


@pytest.mark.parametrize(("override", "expected"), PARTS.items())
def test_parts_that_do_not_fit(read, override, expected):
    placed = "heads.sense.plates=[{diameter='14 mm', thickness='1 mm', top='15 mm'}]"
    with pytest.raises(RigError) as caught:
        read(placed, f"heads.sense.{override}")
    assert str(caught.value) == f"test.toml: heads[0].{expected}"


def test_wire_thicker_than_its_window(read):
    with pytest.raises(RigError) as caught:
        read("heads.sense.coil.wire=0.5 mm", "heads.sense.coil.outer_diameter=6.2 mm", "heads.sense.flange_diameter=6.2 mm")
    assert str(caught.value) == (
        "test.toml: heads[0].coil.wire must be thin enough for the window of 300 um by 8 mm; instead received 0.5 mm, which with its "
        "enamel is 534 um thick."
    )


def test_a_hole_wider_than_its_plate(read):
    with pytest.raises(ScenarioError) as caught:
        read("heads.sense.plates=[{diameter='14 mm', inner_diameter='15 mm', thickness='2 mm'}]")
    assert str(caught.value) == "test.toml: heads[0].plates[0].inner_diameter must be less than diameter (14 mm); instead received 15 mm."


def test_a_magnet_built_in_python_needs_a_strength_too():
    with pytest.raises(ValueError, match="must be given, such as"):
        Magnet(shape="disc", diameter=8e-3, thickness=3e-3, top=0.0)
