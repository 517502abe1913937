"""Wound strings as words: what a wrap weighs and how much magnetic metal it brings, against its turns counted one by one."""

from math import pi

import pytest

from wirebloom.rig import String
from wirebloom.rig.magnetism import MU_0, MUSIC_WIRE, magnetism_of
from wirebloom.rig.materials import MATERIALS
from wirebloom.rig.section import string_section

CORE, OUTER = 0.4e-3, 0.8e-3


def string(material, **more):
    core = CORE if MATERIALS[material].wound else None
    return String(name="low", material=material, diameter=OUTER, core_diameter=core, length=1.0, pitch=50.0, **more)


def metal_of_the_turns():
    """Section of the wrap's metal by its turns: each π(d + w) long and w apart, of section πw²/4."""
    w = (OUTER - CORE) / 2.0
    return pi * (CORE + w) * (pi * w**2 / 4.0) / w


@pytest.mark.parametrize(("material", "wrap"), [("wound steel", 7850.0), ("wound bronze", 8800.0)])
def test_weight_is_core_and_turns(material, wrap):
    """Densities: steel 7850 kg/m³ (EN 10270-1), tin bronze CuSn6 8800 kg/m³ (EN 12166)."""
    found = string_section(string(material), MATERIALS[material])
    assert found.density == pytest.approx(7850.0 * pi * CORE**2 / 4.0 + wrap * metal_of_the_turns(), rel=1e-12)
    assert found.area == pytest.approx(pi * CORE**2 / 4.0)


def test_a_steel_wrap_brings_magnetic_metal():
    """π/4 of the ring, three times the core's section: 2.36 times the core (derived)."""
    found = magnetism_of(string("wound steel"))
    assert found.wrap_share == pytest.approx(metal_of_the_turns() / (pi * CORE**2 / 4.0), rel=1e-12)
    assert found.wrap_share == pytest.approx(2.356, abs=1e-3)
    assert 2.0 <= found.wrap_susceptibility <= 10.0


@pytest.mark.parametrize("material", ["wound bronze", "music wire"])
def test_a_bronze_wrap_and_none_bring_nothing(material):
    """Only the core answers, like the same wire bare."""
    assert magnetism_of(string(material)) == MUSIC_WIRE


def test_a_measured_core_keeps_its_wrap():
    found = magnetism_of(string("wound steel", magnetism={"susceptibility": 80.0, "saturation": "1.9 T"}))
    assert (found.susceptibility, found.reversible) == (80.0, MUSIC_WIRE.reversible)
    assert found.saturation == pytest.approx(1.9 / MU_0)
    assert found.wrap_share > 2.0


def test_a_string_of_bronze_all_through_is_not_magnetic():
    assert magnetism_of(string("bronze")) is None
