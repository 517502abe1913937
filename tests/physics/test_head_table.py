"""The table of a string over a head: one co-energy behind force, flux linkage and load, and what must hold between them.

| exchange | must hold |
| dF/di against d(lambda)/dz | reciprocity, 0.5 % |
| -dW/dgap against M . dB/dz | virtual work, 0.5 % |
| offset against -offset | W, Lambda, L1 even; force restoring |
| magnet turned over | K changes sign, pull does not |
| magnet twice as strong, weak enough not to saturate | K twice, pull four times |
| everything half as large again | K x 1.5, pull x 2.25 |
| table against the time loop's own look-up | same bits |
"""

import time
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from heads import WIRE, prototype_blocks, prototype_head, prototype_table, solved, steel
from wirebloom.kernels.spline import look_up
from wirebloom.physics.exposure import expose
from wirebloom.physics.head_table import head_table
from wirebloom.physics.reaction import reaction_of
from wirebloom.physics.round_head import wire_material
from wirebloom.physics.sweep import force_loads, sweep
from wirebloom.physics.wire import WireGrid, magnetise

GAPS = (0.1e-3, 0.2e-3, 0.33e-3, 0.5e-3, 1.02e-3, 2e-3, 3.01e-3, 6e-3, 10e-3)
GRID = WireGrid(WIRE / 2)
LAW = wire_material(steel())


@cache
def answer():
    return reaction_of(prototype_blocks())


def direct_forces(gap, offset):
    """Force factor and pull as sums over the wire of magnetisation times field gradient, without any table."""
    exposure = expose((solved(*prototype_blocks())[1], answer()), GRID, LAW.transverse, gap + WIRE / 2, np.array([offset]))
    state = magnetise(LAW, exposure.surroundings())
    loads = force_loads(exposure, state.magnetisation, state.per_ampere)
    return tuple(-2 * GRID.cell * np.sum(part) for part in (loads.per_ampere, loads.static))


def within(gap):
    """0.1 mm is close to 0.06 mm, where the wire comes nearer to the iron than its answer is known."""
    return 3e-3 if gap < 0.15e-3 else 2e-3


@pytest.mark.parametrize("offset", [0.0, 1.1e-3])
@pytest.mark.parametrize("gap", GAPS)
def test_force_factor_is_the_slope_of_the_flux_linkage(gap, offset):
    assert prototype_table().force_factor(gap, offset) == pytest.approx(direct_forces(gap, offset)[0], rel=within(gap))


@pytest.mark.parametrize("offset", [0.0, 1.1e-3])
@pytest.mark.parametrize("gap", GAPS)
def test_pull_is_the_slope_of_the_coenergy(gap, offset):
    assert prototype_table().pull(gap, offset) == pytest.approx(direct_forces(gap, offset)[1], rel=within(gap))


def test_reciprocity_above_the_rim_of_the_core():
    # The hardest place: the field's edge, a quarter of a millimetre away.
    assert prototype_table().force_factor(0.3e-3, 2.4e-3) == pytest.approx(direct_forces(0.3e-3, 2.4e-3)[0], rel=5e-3)


def test_signs_and_falls():
    table = prototype_table()
    assert np.all(table.coenergy >= 0)
    assert np.all(np.diff(table.coenergy, axis=0) < 0)
    assert np.all(table.flux > 0)
    assert np.all(np.diff(table.flux, axis=0) < 0)
    assert np.all(table.inductance_change > 0)
    assert np.all(np.diff(table.inductance_change, axis=0) < 0)


def test_even_in_the_offset_and_restoring():
    table = prototype_table()
    for part in (table.coenergy, table.flux, table.inductance_change):
        assert part == pytest.approx(part[:, ::-1], rel=1e-12)
    for gap in (0.5e-3, 1e-3, 3e-3):
        for offset in (0.2e-3, 1e-3, 2e-3, 3e-3):
            assert table.sideways_force(gap, offset) < 0
            assert table.sideways_force(gap, -offset) == pytest.approx(-table.sideways_force(gap, offset), rel=1e-9)
        assert table.sideways_force(gap, 0.0) == pytest.approx(0.0, abs=1e-12)


def test_sideways_force_against_the_difference_of_two_computed_wires():
    field = solved(*prototype_blocks())[1]
    pair = sweep((field, answer()), GRID, LAW, np.array([1e-3 + WIRE / 2]), np.array([1.12e-3, 1.14e-3])).coenergy[0]
    assert prototype_table().sideways_force(1e-3, 1.13e-3) == pytest.approx((pair[1] - pair[0]) / 0.02e-3, rel=5e-3)


def test_an_offset_table_is_the_same_function_elsewhere():
    centred, moved = prototype_table(), prototype_table(0.6e-3)
    assert moved.offset[16] == pytest.approx(0.5e-3)
    assert moved.coefficient.shape == centred.coefficient.shape
    for offset in (-0.5e-3, 0.6e-3, 2.2e-3):
        assert moved.force_factor(1e-3, offset) == pytest.approx(centred.force_factor(1e-3, offset), rel=1e-4)
        assert moved.sideways_force(1e-3, offset) == pytest.approx(centred.sideways_force(1e-3, offset), rel=1e-3)


def test_magnet_turned_over():
    magnet = {"shape": "disc", "diameter": 8e-3, "thickness": 3e-3, "remanence": 0.38, "recoil_permeability": 1.0, "direction": "down"}
    turned, table = head_table(prototype_head(magnets=[magnet]), WIRE, steel()), prototype_table()
    assert turned.force_factor(1e-3) == pytest.approx(-table.force_factor(1e-3), rel=1e-9)
    assert turned.pull(1e-3) == pytest.approx(table.pull(1e-3), rel=1e-9)
    assert turned.dipole == pytest.approx(table.dipole)
    assert turned.face_field == pytest.approx(-table.face_field)


def test_strength_of_a_weak_magnet():
    def wire(remanence):
        core, coil, magnet = prototype_blocks()
        field = solved(core, coil, replace(magnet, remanence=remanence))[1]
        return sweep((field, answer()), GRID, LAW, np.array([1e-3 + WIRE / 2]), np.zeros(1))

    weak, double = wire(0.002), wire(0.004)
    assert double.flux == pytest.approx(2 * weak.flux, rel=1e-3)
    assert double.coenergy == pytest.approx(4 * weak.coenergy, rel=1e-3)
    assert double.inductance == pytest.approx(weak.inductance, rel=1e-3)


def test_everything_half_as_large_again():
    # Same fields, 3.375 times the steel: W grows as s^3, Lambda as s^2 (1 A makes 1/s of the field), L1 as s.
    parts = {
        "core": {"diameter": 7.5e-3, "length": 15e-3, "permeability": 1000.0},
        "coil": {"turns": 420, "wire": "0.15 mm", "inner_diameter": 8.4e-3, "outer_diameter": 16.8e-3, "top": 0.75e-3, "bottom": 12.75e-3},
        "magnets": [{"shape": "disc", "diameter": 12e-3, "thickness": 4.5e-3, "remanence": 0.38, "recoil_permeability": 1.0}],
    }
    large, table = head_table(prototype_head(**parts), 1.5 * WIRE, steel()), prototype_table()
    assert large.force_factor(1.5e-3) == pytest.approx(1.5 * table.force_factor(1e-3), rel=3e-3)
    assert large.pull(1.5e-3) == pytest.approx(2.25 * table.pull(1e-3), rel=3e-3)
    assert large.inductance == pytest.approx(1.5 * table.inductance, rel=1e-3)
    assert large.dipole == pytest.approx(2.25 * table.dipole, rel=1e-3)


def test_without_magnets_only_the_square_of_the_current_pulls():
    coil = prototype_head().coil.model_copy(update={"resistance": 25.0, "inductance": 2.7e-3})
    table = head_table(prototype_head(magnets=[], coil=coil), WIRE, steel())
    assert table.pull(1e-3) == 0.0
    assert table.force_factor(1e-3) == 0.0
    assert np.all(np.diff(table.inductance_change, axis=0) < 0)
    assert table.load.sum(axis=2) * (table.load_x[1] - table.load_x[0]) == pytest.approx(1.0)
    assert (table.resistance, table.inductance) == (25.0, 2.7e-3)  # measured values win


def test_core_of_a_wound_string():
    # The same steel, held farther away by the wrap: as a plain string with a wider gap.
    wound, plain = head_table(prototype_head(), 1.0e-3, steel(), core_diameter=WIRE), prototype_table()
    assert wound.force_factor(1e-3) == pytest.approx(plain.force_factor(1e-3 + (1.0e-3 - WIRE) / 2), rel=1e-3)


def test_loads_are_densities_of_one_and_widen_with_the_gap():
    table = prototype_table()
    spacing = table.load_x[1] - table.load_x[0]
    assert table.load.sum(axis=2) * spacing == pytest.approx(1.0, rel=1e-9)
    assert table.load == pytest.approx(table.load[:, :, ::-1], rel=1e-9)
    near, far = np.searchsorted(table.gap, [1e-3, 3e-3])
    for load in table.load:
        widths = [np.sum(np.abs(row) * np.abs(table.load_x)) / np.sum(np.abs(row)) for row in (load[near], load[far])]
        assert widths[0] < widths[1]  # the farther, the wider the piece of string that the head looks at


def test_each_part_of_the_force_loads_the_string_in_its_own_way():
    """At 1 mm and a wave of 43 mm (partial 30 of the pier's strings): static, per ampere, per square ampere ever wider."""
    table = prototype_table()
    row = np.searchsorted(table.gap, 1e-3)
    seen = table.load[:, row] @ np.cos(2 * np.pi / 42.7e-3 * table.load_x) * (table.load_x[1] - table.load_x[0])
    assert 1.0 > seen[0] > seen[1] + 0.005 > seen[2] + 0.01
    assert seen[2] > 0.95


def test_load_of_the_axial_part_is_charge_times_field():
    """A wire that is not magnetic across feels -A M' B_z: by parts from the virtual work of any shape."""
    height, wave = 2e-3 + WIRE / 2, 2 * np.pi / 12e-3
    field = solved(*prototype_blocks())[1]
    exposure = expose((field, reaction_of(())), GRID, 0.0, height, np.zeros(1))
    state = magnetise(LAW, exposure.surroundings())
    loads = force_loads(exposure, state.magnetisation, state.per_ampere)
    up, up_per_ampere = (source.at(height, GRID.ends).upwards for source in (field.magnet, field.coil))

    def charges(m):
        """At the ends of the cells, A/m; half of what sits at x = 0."""
        return np.concatenate([[-m[0, 0]], -np.diff(m[0]), [m[0, -1]]])

    charge, change = charges(state.magnetisation), charges(state.per_ampere)
    for load, expected in (
        (loads.static, charge * up),
        (loads.per_ampere, change * up + charge * up_per_ampere),
        (loads.per_square, change * up_per_ampere),
    ):
        seen = load[0] @ np.cos(wave * GRID.centres) * GRID.cell
        assert seen == pytest.approx(exposure.section * expected @ np.cos(wave * GRID.ends), rel=0.01)


def test_the_time_loop_reads_the_same_function():
    table = prototype_table()
    axes = np.array([table.gap_start, 1 / table.gap_step, table.offset_start, 1 / table.offset_step])
    out = np.empty(12)
    for gap, offset in ((0.42e-3, 0.1e-3), (1e-3, -1.3e-3), (5.5e-3, 3.9e-3)):
        look_up(table.coefficient, axes, gap, offset, out)
        assert -out[4] == pytest.approx(table.pull(gap, offset), rel=1e-12)
        assert -out[5] == pytest.approx(table.force_factor(gap, offset), rel=1e-12)
        assert out[8] == pytest.approx(table.sideways_force(gap, offset), rel=1e-9, abs=1e-15)
    look_up(table.coefficient, axes, table.gap[40], table.offset[7], out)
    assert out[:3] == pytest.approx([table.coenergy[40, 7], table.flux[40, 7], table.inductance_change[40, 7]], rel=1e-9)


def test_constant_beyond_its_ends():
    table = prototype_table()
    assert table.force_factor(-0.2e-3) == 0.0
    assert table.pull(13e-3) == 0.0
    assert table.sideways_force(1e-3, 4.3e-3) == 0.0


def test_a_measured_field_stands_for_the_remanence():
    """Of magnets with a straight line all fields go with B_r: calibrated by 30 mT 2 mm above the face, or of that remanence outright."""
    at_two = float(solved(*prototype_blocks())[1].magnet.at(2e-3, np.zeros(1)).upwards[0])
    disc = prototype_head().magnets[0].model_copy(update={"remanence": 0.38 * 0.03 / at_two})
    calibrated = head_table(prototype_head(measured={"face_field": 0.03, "height": 2e-3}), WIRE, steel())
    outright = head_table(prototype_head().model_copy(update={"magnets": (disc,)}), WIRE, steel())
    for gap in (0.5e-3, 1e-3, 3e-3):
        assert calibrated.pull(gap) == pytest.approx(outright.pull(gap), rel=1e-3)
        assert calibrated.force_factor(gap) == pytest.approx(outright.force_factor(gap), rel=1e-3)
    assert calibrated.face_field == pytest.approx(outright.face_field, rel=1e-3)


def test_numbers_of_the_coil():
    table = prototype_table()
    assert table.resistance == pytest.approx(420 * np.pi * 8.4e-3 / (58.5e6 * np.pi * 0.05e-3**2), rel=1e-6)
    assert table.copper_mass == pytest.approx(8890 * table.wire_length * np.pi * 0.05e-3**2, rel=1e-6)
    assert table.face_field == pytest.approx(25.1e-3, rel=0.01)
    assert table.core_field < 1.0


def test_a_new_table_within_ten_seconds_of_one_core():
    start = time.process_time()
    head_table(prototype_head(), 0.3e-3, steel())
    assert time.process_time() - start < 10.0
