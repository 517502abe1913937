"""Magnetics against published closed forms and tables. "Seen" = read in the source named; "memory" = recalled, to be looked up.

Lengths of textbook examples in metres are scaled down by a hundred: fields per ampere grow, inductances shrink in proportion.
"""

import numpy as np
import pytest
from scipy.special import ellipe, ellipk

from heads import MU0, solved
from wirebloom.physics.geometry import Block
from wirebloom.physics.steel import WireMaterial
from wirebloom.physics.wire import WireGrid
from wirebloom.rig.materials import MATERIALS

AXIS = np.zeros(1)


def thin_loop(radius, depth, turns=1):
    """A winding of 0.1 x 0.1 mm section as a loop below the face plane."""
    return Block(radius - 5e-5, radius + 5e-5, -depth - 5e-5, -depth + 5e-5, turns=turns)


@pytest.mark.parametrize(("height", "field"), [(1.0, 2.2214414691e-4), (2.0, 5.6198517848e-5), (3.0, 1.9869176532e-5)])
def test_m1_loop_on_its_axis(height, field):
    """Loop of 1 m at 1000 A, B in T (hyperphysics, seen in the tests of magpylib); here 5 mm, so 200 times the field at 1/1000 A."""
    there = solved(thin_loop(5e-3, 1e-3))[1].coil.at(5e-3 * height - 1e-3, AXIS).upwards[0]
    assert there == pytest.approx(field * 200 / 1000, rel=5e-3)


@pytest.mark.parametrize(
    ("remanence", "diameter", "inner", "length", "height", "field"),
    [
        (1.32, 5e-3, 0.0, 5e-3, 1e-3, 0.364113),
        (1.32, 5e-3, 0.0, 5e-3, 2e-3, 0.209251),
        (1.25, 4.8e-3, 0.0, 17e-3, 2e-3, 0.219957),
        (0.385, 10e-3, 0.0, 5e-3, 1e-3, 0.110130),
        (1.2, 10e-3, 4e-3, 3e-3, 1e-3, -0.0111808),  # over a ring's hole the field points down
    ],
)
def test_m2_magnet_on_its_axis(*, remanence, diameter, inner, length, height, field):
    """B = (B_r/2)[(L + z)/sqrt(R^2 + (L + z)^2) - z/sqrt(R^2 + z^2)], textbook; values confirmed with magpylib."""
    magnet = Block(inner / 2, diameter / 2, -length, 0.0, remanence=remanence)
    assert solved(magnet)[1].magnet.at(height, AXIS).upwards[0] == pytest.approx(field, rel=5e-3)


@pytest.mark.parametrize(("remanence", "diameter", "length", "field"), [(1.32, 5e-3, 5e-3, 0.590322), (1.25, 4.8e-3, 17e-3, 0.618863)])
def test_m2_magnet_on_its_face(*, remanence, diameter, length, field):
    """The same at z = 0, in the finite elements themselves: on the axis B = 2 A/r. (Above the face the field holds from 0.08 mm on.)"""
    radius, potential = solved(Block(0.0, diameter / 2, -length, 0.0, remanence=remanence))[0].face_potential()
    assert 2 * potential[1, 1] / radius[1] == pytest.approx(field, rel=5e-3)


@pytest.mark.parametrize(("ratio", "nagaoka"), [(0.5, 0.818136), (1.0, 0.688423), (2.0, 0.525510), (5.0, 0.319825)])
def test_m4_solenoid(ratio, nagaoka):
    """Nagaoka's coefficient by diameter over length (1909, NBS circular 74; memory; elliptic form seen in a library of special functions).

    A winding of 20 um is thin enough for the current sheet to 0.4 %.
    """
    diameter, turns = 10e-3, 100
    length = diameter / ratio
    coil = Block(diameter / 2 - 1e-5, diameter / 2 + 1e-5, -length, 0.0, turns=turns)
    sheet = MU0 * np.pi * (diameter / 2) ** 2 * turns**2 / length * nagaoka
    assert solved(coil)[0].inductance() == pytest.approx(sheet, rel=5e-3)


@pytest.mark.parametrize(
    ("slenderness", "magnetometric", "fluxmetric"), [(0.5, 0.474490, 0.422097), (1.0, 0.311577, 0.232211), (2.0, 0.181864, 0.093506)]
)
def test_m5_demagnetising_factors_of_a_cylinder(slenderness, magnetometric, fluxmetric):
    """Chen, Brug & Goldfarb 1991, IEEE Trans. Magn. 27:3601, chi = 0 (abstract seen; 0.3116, 0.2322 memory; rest recomputed)."""
    length = 5e-3 * slenderness
    solution = solved(Block(0.0, 2.5e-3, -length, 0.0, remanence=1.0))[0]
    inside = solution.remanence > 0
    weight = (solution.radius * solution.basis.dx)[inside]
    b = solution.flux_density(1)[1][inside]
    assert 1 - np.sum(b * weight) / np.sum(weight) == pytest.approx(magnetometric, rel=5e-3)
    height = solution.basis.global_coordinates()[1][inside]
    middle = np.abs(height + length / 2) < 0.05 * length
    assert 1 - np.sum((b * weight)[middle]) / np.sum(weight[middle]) == pytest.approx(fluxmetric, rel=0.01)


@pytest.mark.parametrize(("slenderness", "fluxmetric"), [(10, 0.0049265), (50, 1.9988e-4)])
def test_m5_of_the_wires_kernel(slenderness, fluxmetric):
    """The same table for slender rods: field that uniform magnetisation makes in the middle of the wire."""
    grid = WireGrid(0.19e-3, half_length=0.19e-3 * slenderness, cells=10 * slenderness)
    k = np.arange(2 * grid.cells)
    middle = grid.influence((k - (grid.cells - 0.5)) * grid.cell)
    assert -np.sum(middle) == pytest.approx(fluxmetric, rel=0.02)


@pytest.mark.parametrize(("permeability", "across"), [(50, 1.921569), (100, 1.960396), (300, 1.986711), (1000, 1.996004)])
def test_m6_across_a_wire(permeability, across):
    """2(mu - 1)/(mu + 1): demagnetising factor 1/2, exact in two dimensions (textbook)."""
    assert WireMaterial(permeability - 1, 1e6).transverse == pytest.approx(across, rel=1e-6)


@pytest.mark.parametrize(("height", "force", "image"), [(5e-3, 3.6e-6, 3.60324e-6), (1e-3, 4.5e-4, 4.60358e-4)])
def test_m7_wire_beside_a_line_current(height, force, image):
    """Force per length on a wire of a = 0.15 mm beside 10 A against the exact image (derived): 0.09 % low at 5 mm, 2.3 % at 1 mm."""
    across = WireMaterial(1e12, 1e30).transverse
    slope = -2 * (MU0 * 10.0 / (2 * np.pi)) ** 2 / height**3  # of B^2
    gradient_force = -across * np.pi * 0.15e-3**2 / (2 * MU0) * slope
    assert gradient_force == pytest.approx(force, rel=1e-6)
    assert image == pytest.approx(MU0 * 100 / (2 * np.pi) * 0.15e-3**2 / (height * (height**2 - 0.15e-3**2)), rel=1e-5)
    assert image / gradient_force - 1 == pytest.approx((0.15e-3 / height) ** 2, rel=0.05)


def test_m8_reciprocity_of_loop_and_dipole():
    """A dipole of 1 mA m^2 3 mm above a loop of 5 mm: -2.09732e-5 N/A either way (derived; third-law example of magpylib, seen)."""
    field = solved(thin_loop(5e-3, 1e-3))[1].coil
    force = 1e-3 * field.at(2e-3, AXIS, slope=1).upwards[0]
    above, below = (1e-3 * field.at(2e-3 + step, AXIS).upwards[0] for step in (1e-6, -1e-6))  # flux linked with the loop
    assert force == pytest.approx(-2.09732e-5, rel=5e-3)
    assert (above - below) / 2e-6 == pytest.approx(force, rel=1e-5)


def test_m10_saturation_of_music_wire():
    """Pearlite of 0.8 % carbon: 12.25 % by volume of cementite, 1.235 T (Staeblein & Schroeter 1928, seen), in iron, 2.158 T (memory).

    The mixture rule gives 2.045 T; 3 % as the catalogue allows.
    """
    mixture = 0.1225 * 1.235 + 0.8775 * 2.158
    assert mixture == pytest.approx(2.045, rel=1e-3)
    assert mixture / MU0 == pytest.approx(1.627e6, rel=1e-3)
    assert MU0 * MATERIALS["music wire"].magnetism.saturation == pytest.approx(mixture, rel=0.03)


def test_ring_of_charge_against_loops_of_current():
    """Flux through a coaxial circle by Maxwell's mutual inductance (elliptic integrals, DLMF 19.34, seen) against the field's sum."""
    a, b, h = 6e-3, 3e-3, 5e-3
    k2 = 4 * a * b / ((a + b) ** 2 + h**2)
    mutual = MU0 * np.sqrt(a * b) * ((2 / np.sqrt(k2) - np.sqrt(k2)) * ellipk(k2) - 2 / np.sqrt(k2) * ellipe(k2))
    r = (np.arange(400) + 0.5) / 400 * b
    flux = 2 * np.pi * np.sum(solved(thin_loop(a, 1e-3))[1].coil.at(h - 1e-3, r).upwards * r) * b / 400
    assert mutual == pytest.approx(2.51356378e-8 / 20, rel=1e-6)
    assert flux == pytest.approx(mutual, rel=1e-3)
