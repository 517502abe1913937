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

import numpy as np
import pytest

from heads import MU0, WIRE, Steel, prototype_blocks, prototype_head, prototype_table, solved
from wirebloom.kernels.spline import look_up
from wirebloom.physics.head_table import head_table
from wirebloom.physics.sweep import components, sweep
from wirebloom.physics.wire import WireGrid, WireMaterial, magnetise

GAPS = (0.1e-3, 0.2e-3, 0.33e-3, 0.5e-3, 1.02e-3, 2e-3, 3.01e-3, 6e-3, 10e-3)
GRID = WireGrid(WIRE / 2)
LAW = WireMaterial(Steel.susceptibility, Steel.saturation)


def direct_forces(gap, offset):
    """Force factor and pull as sums of magnetisation times field gradient, without any table."""
    field = solved(*prototype_blocks())[1]
    height, y = gap + WIRE / 2, np.array([offset])
    m, c = (components(field, source, GRID, height, y) for source in ("magnet", "coil"))
    dm, dc = (components(field, source, GRID, height, y, slope=1) for source in ("magnet", "coil"))
    state = magnetise(GRID, LAW, m.along / MU0, c.along / MU0)
    across = LAW.transverse / MU0
    pull = state.magnetisation * dm.along + across * (m.upwards * dm.upwards + m.sideways * dm.sideways)
    factor = state.per_ampere * dm.along + state.magnetisation * dc.along
    factor = factor + across * (m.upwards * dc.upwards + c.upwards * dm.upwards + m.sideways * dc.sideways + c.sideways * dm.sideways)
    return -GRID.cell_volume * np.sum(factor), -GRID.cell_volume * np.sum(pull)


@pytest.mark.parametrize("offset", [0.0, 1.1e-3])
@pytest.mark.parametrize("gap", GAPS)
def test_force_factor_is_the_slope_of_the_flux_linkage(gap, offset):
    assert prototype_table().force_factor(gap, offset) == pytest.approx(direct_forces(gap, offset)[0], rel=2e-3)


@pytest.mark.parametrize("offset", [0.0, 1.1e-3])
@pytest.mark.parametrize("gap", GAPS)
def test_pull_is_the_slope_of_the_coenergy(gap, offset):
    assert prototype_table().pull(gap, offset) == pytest.approx(direct_forces(gap, offset)[1], rel=2e-3)


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
    pair = sweep(field, GRID, LAW, np.array([1e-3 + WIRE / 2]), np.array([1.12e-3, 1.14e-3])).coenergy[0]
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
    turned, table = head_table(prototype_head(magnets=[magnet]), WIRE, Steel()), prototype_table()
    assert turned.force_factor(1e-3) == pytest.approx(-table.force_factor(1e-3), rel=1e-9)
    assert turned.pull(1e-3) == pytest.approx(table.pull(1e-3), rel=1e-9)
    assert turned.dipole == pytest.approx(table.dipole)
    assert turned.face_field == pytest.approx(-table.face_field)


def test_strength_of_a_weak_magnet():
    def wire(remanence):
        core, coil, magnet = prototype_blocks()
        field = solved(core, coil, replace(magnet, remanence=remanence))[1]
        return sweep(field, GRID, LAW, np.array([1e-3 + WIRE / 2]), np.zeros(1))

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
    large, table = head_table(prototype_head(**parts), 1.5 * WIRE, Steel()), prototype_table()
    assert large.force_factor(1.5e-3) == pytest.approx(1.5 * table.force_factor(1e-3), rel=3e-3)
    assert large.pull(1.5e-3) == pytest.approx(2.25 * table.pull(1e-3), rel=3e-3)
    assert large.inductance == pytest.approx(1.5 * table.inductance, rel=1e-3)
    assert large.dipole == pytest.approx(2.25 * table.dipole, rel=1e-3)


def test_without_magnets_only_the_square_of_the_current_pulls():
    coil = prototype_head().coil.model_copy(update={"resistance": 25.0, "inductance": 2.7e-3})
    table = head_table(prototype_head(magnets=[], coil=coil), WIRE, Steel())
    assert table.pull(1e-3) == 0.0
    assert table.force_factor(1e-3) == 0.0
    assert np.all(np.diff(table.inductance_change, axis=0) < 0)
    assert table.load.sum(axis=1) * (table.load_x[1] - table.load_x[0]) == pytest.approx(1.0)
    assert (table.resistance, table.inductance) == (25.0, 2.7e-3)  # measured values win


def test_core_of_a_wound_string():
    # The same steel, held farther away by the wrap: as a plain string with a wider gap.
    wound, plain = head_table(prototype_head(), 1.0e-3, Steel(), core_diameter=WIRE), prototype_table()
    assert wound.force_factor(1e-3) == pytest.approx(plain.force_factor(1e-3 + (1.0e-3 - WIRE) / 2), rel=1e-3)


def test_no_table_for_bronze():
    with pytest.raises(ValueError, match="material must be magnetic; instead received a susceptibility of 0"):
        head_table(prototype_head(), WIRE, Steel(susceptibility=0.0))


def test_load_is_a_density_of_one():
    table = prototype_table()
    spacing = table.load_x[1] - table.load_x[0]
    assert table.load.sum(axis=1) * spacing == pytest.approx(1.0, rel=1e-9)
    near, far = np.searchsorted(table.gap, [1e-3, 3e-3])
    assert table.load == pytest.approx(table.load[:, ::-1], rel=1e-9)
    widths = [np.sum(np.abs(row) * np.abs(table.load_x)) / np.sum(np.abs(row)) for row in (table.load[near], table.load[far])]
    assert widths[0] < widths[1]  # the farther, the wider the piece of string that the head looks at


def test_load_of_the_axial_part_is_charge_times_field():
    """A wire that is hardly magnetic across feels -A M' B_z, integrated by parts from the virtual work of any shape."""
    field = solved(*prototype_blocks())[1]
    height, wave = 2e-3 + WIRE / 2, 2 * np.pi / 6e-3
    half = sweep(field, GRID, LAW, np.array([height]), np.zeros(1))
    weighted = np.sum(half.load[0] * np.cos(wave * GRID.both_sides)) * GRID.cell
    m, c = (components(field, source, GRID, height, np.zeros(1)) for source in ("magnet", "coil"))
    state = magnetise(GRID, LAW, m.along / MU0, c.along / MU0)
    x, area = GRID.centres, GRID.cell_volume / (2 * GRID.cell)
    charge = -np.gradient(np.stack([state.magnetisation[0], state.per_ampere[0]]), x, axis=1)
    axial = 2 * area * np.sum((charge[1] * m.upwards[0] + charge[0] * c.upwards[0]) * np.cos(wave * x)) * GRID.cell
    assert weighted == pytest.approx(axial, rel=0.25)  # the rest is the part across the wire
    assert np.sign(weighted) == np.sign(axial) == -1.0


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


def test_numbers_of_the_coil():
    table = prototype_table()
    assert table.resistance == pytest.approx(420 * np.pi * 8.4e-3 / (58.5e6 * np.pi * 0.05e-3**2), rel=1e-6)
    assert table.copper_mass == pytest.approx(8890 * table.wire_length * np.pi * 0.05e-3**2, rel=1e-6)
    assert table.face_field == pytest.approx(25.1e-3, rel=0.01)
    assert table.core_field < 1.0


def test_a_new_table_within_ten_seconds_of_one_core():
    start = time.process_time()
    head_table(prototype_head(), 0.3e-3, Steel())
    assert time.process_time() - start < 10.0
