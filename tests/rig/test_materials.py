"""String materials against published tables, and what the gate derives from them."""

import math

import pytest

from wirebloom.rig import MATERIALS, String
from wirebloom.rig.statics import bending_stiffness, breaking_pitch, linear_density, pitch, stress, tension

INCH = 0.0254


# ASTM A228, ksi (wire table at interwiregroup.com, seen; for 0.036 in that copy has 255 where the standard has 355).
@pytest.mark.parametrize(
    ("inch", "least", "most"),
    [(0.009, 393, 434), (0.010, 387, 428), (0.012, 377, 417), (0.016, 362, 400), (0.020, 350, 387), (0.036, 321, 355)],
)
def test_strength_of_music_wire(inch, least, most):
    """Catches a unit slip (ksi is 6.895 MPa) and a radius for a diameter."""
    found = MATERIALS["music wire"].strength(inch * INCH)
    assert [value / 6.894757e6 for value in found] == pytest.approx([least, most], rel=1e-9)


@pytest.mark.parametrize("inch", [0.005, 0.014, 0.022, 0.050, 0.090])
def test_strength_between_sizes(inch):
    """Handbook fit of the least strength, 201 ksi · d^−0.145 with d in inches (Shigley, from memory): within 4 %."""
    assert MATERIALS["music wire"].strength(inch * INCH)[0] / 6.894757e6 == pytest.approx(201.0 / inch**0.145, rel=0.04)


def test_strength_ends_with_its_table():
    wire = MATERIALS["music wire"]
    assert wire.strength(0.05e-3) == wire.strength(0.004 * INCH)
    assert wire.strength(3e-3) < wire.strength(1e-3)


def test_every_material_says_where_it_is_strong():
    for material in MATERIALS.values():
        assert all(least < most for _, least, most in material.strengths)
        assert [row[0] for row in material.strengths] == sorted(row[0] for row in material.strengths)
    assert [name for name, material in MATERIALS.items() if not material.magnetic] == ["bronze"]


def _string(diameter, length, **tuning):
    return String(name="one", material="music wire", diameter=diameter, length=length, **tuning)


# Tension tables of a public luthier's notebook, density 7850 kg/m³ (seen): plain steel, 0.648 m.
@pytest.mark.parametrize(("inch", "hertz", "newton"), [(0.009, 329.628, 58.799), (0.012, 329.628, 104.531), (0.017, 195.998, 74.171)])
def test_tension_at_pitch(inch, hertz, newton):
    """Their tension leaves stiffness out, ours is lower by its share (E I k², under 0.03 %)."""
    string = _string(inch * INCH, 0.648, pitch=hertz)
    stiff = bending_stiffness(string) * (math.pi / 0.648) ** 2
    assert stiff < 3e-4 * newton
    assert tension(string) + stiff == pytest.approx(newton, rel=3e-5)


def test_stress_at_pitch_does_not_depend_on_diameter():
    """ρ (2 L f)² = 1432.6 MPa for E4 on 0.648 m (derived), less the stiffness."""
    for inch in (0.009, 0.012):
        assert stress(_string(inch * INCH, 0.648, pitch=329.628)) == pytest.approx(1432.6e6, rel=2e-4)


def test_pitch_and_tension_are_two_ways_to_say_the_same():
    tuned = _string(0.38e-3, 0.64, pitch=196.0)
    assert pitch(_string(0.38e-3, 0.64, tension=tension(tuned))) == pytest.approx(196.0, rel=1e-12)


def test_breaking_pitch_is_where_the_stress_is_the_strength():
    string = _string(0.38e-3, 0.64, pitch=breaking_pitch(_string(0.38e-3, 0.64, pitch=196.0)))
    assert stress(string) == pytest.approx(MATERIALS["music wire"].strength(0.38e-3)[1], rel=1e-4)


def test_weight_of_a_wound_string_by_counting_turns():
    """Core 0.4 mm, wrap wire 0.2 mm laid close: 5000 turns a metre, each π · 0.6 mm long (derived)."""
    string = String(name="low", material="wound steel", diameter=0.8e-3, core_diameter=0.4e-3, length=1.0, pitch=50.0)
    core = math.pi / 4.0 * 0.4e-3**2 * 7850.0
    wrap = 5000.0 * math.pi * 0.6e-3 * math.pi / 4.0 * 0.2e-3**2 * 7850.0
    assert linear_density(string) == pytest.approx(core + wrap, rel=1e-12)
