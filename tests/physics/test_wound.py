"""A wound string over a head: its core, and a wrap that is magnetic or not.

| what                     | against                                                     | slip that would show                            |
|--------------------------|-------------------------------------------------------------|-------------------------------------------------|
| steel wrap, weak magnets | a bare core of susceptibility χ + (A_w/A) χ_w               | share of the ring for that of the core          |
| steel wrap, any magnets  | between the bare core and a solid wire of the whole section | wrap counted as solid, or not at all            |
| bronze wrap              | the bare core, as far from the face                         | gap to the core for gap to the string's surface |
| energy of the wrap       | slope of the co-energy by finite steps                      | ∫H dM of the core alone                         |
"""

from dataclasses import replace

import numpy as np
import pytest

from heads import MU0, prototype_blocks, prototype_head, solved
from wirebloom.physics.exposure import expose
from wirebloom.physics.head_table import head_table
from wirebloom.physics.reaction import reaction_of
from wirebloom.physics.round_head import wire_material
from wirebloom.physics.sweep import force_loads
from wirebloom.physics.wire import WireGrid, axial_coenergy, magnetise
from wirebloom.rig import String
from wirebloom.rig.magnetism import magnetism_of

CORE, OUTER = 0.4e-3, 0.8e-3
HEIGHT = 1e-3 + OUTER / 2  # of the axis over the face, m


def law_of(material):
    core = CORE if material.startswith("wound") else None
    return wire_material(magnetism_of(String(name="low", material=material, diameter=OUTER, core_diameter=core, length=1.0, pitch=50.0)))


def over_head(material, diameter, height=HEIGHT, across=None):
    """Exposure, its surroundings and the state of a wire with a core of a diameter over the prototype."""
    head = solved(*prototype_blocks())[1], reaction_of(prototype_blocks())
    exposure = expose(head, WireGrid(diameter / 2), float(material.transverse) if across is None else across, height, np.zeros(1))
    around = exposure.surroundings()
    return exposure, around, magnetise(material, around)


def forces(material, diameter):
    """Pull (N) and force factor (N/A)."""
    exposure, _, state = over_head(material, diameter)
    found = force_loads(exposure, state.magnetisation, state.reversible)
    return -2 * exposure.grid.cell * np.array([found.static.sum(), found.per_ampere.sum()])


def test_a_steel_wrap_in_weak_fields_is_more_susceptibility():
    """Far from saturation moments add: χ A + χ_w A_w, along the wire; across it the sections add."""
    wound = replace(law_of("wound steel"), saturation=1e4 / MU0)
    share = wound.wrap_share
    more = 5.0 * share
    bare = replace(wound, susceptibility=100.0 + more, reversible=70.0 + more, wrap_share=0.0)
    (_, around, state), (_, _, wanted) = (over_head(law, CORE, across=0.0) for law in (wound, bare))
    assert np.abs(around.applied).max() < 1e-5 * float(wound.saturation)
    for name in ("magnetisation", "per_ampere", "reversible"):
        size = np.abs(getattr(wanted, name)).max()
        np.testing.assert_allclose(getattr(state, name), getattr(wanted, name), rtol=0, atol=1e-6 * size, err_msg=name)
    chi = 100.0 / (1.0 + 50.0)  # a cylinder across the field: demagnetising factor 1/2 (textbook)
    assert wound.transverse == pytest.approx(chi * (1.0 + share), rel=1e-12)


def test_a_wound_string_lies_between_its_core_and_a_solid_wire():
    core, wound, solid = (forces(law_of(name), d) for name, d in (("music wire", CORE), ("wound steel", CORE), ("music wire", OUTER)))
    assert np.all(core < wound)
    assert np.all(wound < solid)


def test_a_bronze_wrap_only_keeps_the_core_away():
    """Its core is 0.2 mm behind the surface: force factor and pull of the bare core at a gap that much wider."""
    steel = magnetism_of(String(name="low", material="wound bronze", diameter=OUTER, core_diameter=CORE, length=1.0, pitch=50.0))
    table = head_table(prototype_head(), OUTER, steel, core_diameter=CORE)
    pull, factor = forces(law_of("wound bronze"), CORE)
    assert table.pull(1e-3) == pytest.approx(pull, rel=1e-2)
    assert table.force_factor(1e-3) == pytest.approx(factor, rel=1e-2)
    assert np.array_equal(forces(law_of("wound bronze"), CORE), forces(law_of("music wire"), CORE))


def test_the_wrap_pays_for_its_magnetisation():
    """−∂W/∂z of the co-energy is the pull, also where the wrap begins to saturate: ∫H dM counts both metals."""
    law = replace(law_of("wound steel"), saturation=0.5 / MU0)
    step = 2e-5
    ends = [over_head(law, CORE, HEIGHT + dz) for dz in (-step, step)]
    energy = [axial_coenergy(e.grid, law, around, state) + 0.5 * e.product(e.magnet, e.magnet) for e, around, state in ends]
    assert -float(energy[1][0] - energy[0][0]) / (2 * step) == pytest.approx(forces(law, CORE)[0], rel=5e-3)
