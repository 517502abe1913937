"""Field of a head: finite elements against closed forms of magnetostatics.

| quantity | route here | other route |
| field of a bare magnet, off axis | finite elements, continued upwards | closed form of magpylib (general-purpose library) |
| field of an air coil, off axis | same | magpylib's current loops, summed over the winding |
| gradient of both | same | difference quotient of the above |
| far field | same | point dipole |
| inductance | linked flux | field energy; observed order of convergence with an iron core |
"""

import magpylib
import numpy as np
import pytest

from heads import prototype_blocks, solved
from wirebloom.physics.geometry import Block

RADII = np.linspace(2e-5, 10e-3, 201)
HEIGHTS = (0.3e-3, 0.5e-3, 1e-3, 2e-3, 5e-3, 10e-3)
MAGNET = Block(0.0, 2.5e-3, -5e-3, 0.0, remanence=0.4)
COIL = Block(2.8e-3, 5.6e-3, -8.5e-3, -0.5e-3, turns=420)


def rms_ratio(found, wanted):
    return np.sqrt(np.mean((found - wanted) ** 2) / np.mean(wanted**2))


def outwards_and_upwards(source, height):
    at = np.stack([RADII, 0 * RADII, 0 * RADII + height], axis=-1)
    b = source.getB(at)
    b = b if b.ndim == 2 else b.sum(axis=0)
    return b[:, 0], b[:, 2]


def bare_magnet():
    return magpylib.magnet.Cylinder(polarization=(0, 0, MAGNET.remanence), dimension=(2 * MAGNET.outer, 5e-3), position=(0, 0, -2.5e-3))


def air_coil():
    nodes, weights = np.polynomial.legendre.leggauss(12)
    r = (COIL.inner + COIL.outer) / 2 + nodes * (COIL.outer - COIL.inner) / 2
    z = (COIL.bottom + COIL.top) / 2 + nodes * (COIL.top - COIL.bottom) / 2
    loops = [
        magpylib.current.Circle(current=COIL.turns * wr * wz / 4, diameter=2 * a, position=(0, 0, b))
        for a, wr in zip(r, weights, strict=True)
        for b, wz in zip(z, weights, strict=True)
    ]
    return magpylib.Collection(*loops)


@pytest.mark.parametrize("height", HEIGHTS)
def test_bare_magnet_off_axis(height):
    there = solved(MAGNET)[1].magnet.at(height, RADII)
    outwards, upwards = outwards_and_upwards(bare_magnet(), height)
    assert rms_ratio(there.outwards, outwards) < 1.5e-3
    assert rms_ratio(there.upwards, upwards) < 1.5e-3


@pytest.mark.parametrize("height", HEIGHTS)
def test_air_coil_off_axis(height):
    there = solved(COIL)[1].coil.at(height, RADII)
    outwards, upwards = outwards_and_upwards(air_coil(), height)
    assert rms_ratio(there.outwards, outwards) < 1e-3
    assert rms_ratio(there.upwards, upwards) < 1e-3


@pytest.mark.parametrize("height", HEIGHTS)
def test_gradient_of_a_bare_magnet(height):
    there = solved(MAGNET)[1].magnet.at(height, RADII, slope=1)
    above, below = (outwards_and_upwards(bare_magnet(), height + step) for step in (1e-6, -1e-6))
    assert rms_ratio(there.outwards, (above[0] - below[0]) / 2e-6) < 5e-3
    assert rms_ratio(there.upwards, (above[1] - below[1]) / 2e-6) < 5e-3


def test_a_ring_magnet_reverses_above_its_hole():
    ring = Block(2e-3, 5e-3, -3e-3, 0.0, remanence=1.2)
    source = magpylib.magnet.CylinderSegment(polarization=(0, 0, 1.2), dimension=(2e-3, 5e-3, 3e-3, 0, 360), position=(0, 0, -1.5e-3))
    there = solved(ring)[1].magnet.at(1e-3, RADII)
    outwards, upwards = outwards_and_upwards(source, 1e-3)
    assert there.upwards[0] < 0 < there.upwards[70]
    assert np.max(np.abs(there.upwards - upwards)) < 2e-3 * np.max(np.abs(upwards))
    assert np.max(np.abs(there.outwards - outwards)) < 2e-3 * np.max(np.abs(outwards))


def test_recoil_permeability_weakens_a_magnet():
    # A sphere would give 3/(mu + 2); a flat disc demagnetises itself more, a long rod less.
    bare = solved(MAGNET)[1].magnet.at(1e-3, np.zeros(1)).upwards[0]
    recoiling = solved(Block(0.0, 2.5e-3, -5e-3, 0.0, permeability=1.1, remanence=0.4))[1].magnet.at(1e-3, np.zeros(1)).upwards[0]
    assert 3 / 3.1 - 0.03 < recoiling / bare < 1.0


def test_iron_without_permeability_is_air():
    core = Block(0.0, 2.5e-3, -10e-3, 0.0, permeability=1.0)
    assert solved(core, COIL)[0].inductance() == pytest.approx(solved(COIL)[0].inductance(), rel=1e-4)
    assert solved(core, COIL)[0].dipole() == pytest.approx(solved(COIL)[0].dipole(), rel=1e-9)


def test_inductance_is_twice_the_energy():
    solution = solved(*prototype_blocks())[0]
    assert 2 * solution.field_energy() == pytest.approx(solution.inductance(), rel=1e-3)


def test_coil_and_magnet_see_each_other_alike():
    # Lorentz reciprocity: the magnet's flux through the winding equals the volume integral of its magnetisation
    # times the coil's field per ampere (textbook).
    solution = solved(*prototype_blocks())[0]
    basis, radius = solution.basis, solution.radius
    a = np.asarray(basis.interpolate(solution.potential[:, 1]))
    linked = 2 * np.pi * np.sum(a * solution.current[:, None] * radius * basis.dx)
    moment = solution.remanence[:, None] * solution.reluctivity[:, None] * solution.flux_density(0)[1]
    assert linked == pytest.approx(2 * np.pi * np.sum(moment * radius * basis.dx), rel=1e-9)
    assert linked > 0.0


def test_far_field_is_that_of_the_dipole():
    small = (Block(0.0, 0.25e-3, -1e-3, 0.0, permeability=1000.0), Block(0.3e-3, 0.6e-3, -0.9e-3, -0.1e-3, turns=100))
    solution, field = solved(*small)
    m, height = solution.dipole(), 12e-3 + 0.5e-3
    air = 100 * np.pi * (0.6**2 + 0.6 * 0.3 + 0.3**2) / 3 * 1e-6
    assert m > 1.5 * air  # the core multiplies the moment
    r = np.array([0.0, 5e-3, 15e-3])
    there = field.coil.at(12e-3, r)
    distance = np.hypot(r, height)
    assert there.upwards == pytest.approx(1e-7 * m * (3 * height**2 / distance**2 - 1) / distance**3, rel=0.01)
    assert there.outwards[1:] == pytest.approx((1e-7 * m * 3 * height * r / distance**5)[1:], rel=0.01)


def test_convergence_with_an_iron_corner():
    # Energy at a re-entrant corner of 270 degrees converges with order 2 * 2/3 whatever the element (Strang & Fix 1973,
    # "An Analysis of the Finite Element Method", ch. 8; from memory).
    meshes = ((1e-4, 1.6e-3), (5e-5, 8e-4), (2.5e-5, 4e-4))
    coarse, middle, fine = (solved(*prototype_blocks(), finest=f, coarsest=c)[0].inductance() for f, c in meshes)
    order = np.log2((middle - coarse) / (fine - middle))
    assert 1.0 < order < 1.8, f"observed order {order:.2f}"
    assert abs(solved(*prototype_blocks())[0].inductance() - fine) < 1e-4 * fine


def test_inductance_without_iron_hardly_depends_on_the_mesh():
    coarse, fine = (solved(COIL, finest=f, coarsest=c)[0].inductance() for f, c in ((2e-4, 3.2e-3), (2.5e-5, 4e-4)))
    assert coarse == pytest.approx(fine, rel=1e-5)


def test_field_goes_on_along_its_tangent_into_the_face():
    coil = solved(*prototype_blocks())[1].coil
    r = np.array([1e-3, 2e-3])
    inside, between, at = (coil.at(z, r).upwards for z in (-1e-5, 1e-5, 3e-5))
    assert inside - between == pytest.approx(between - at, rel=1e-9)
    assert np.all(np.isfinite(coil.at(-1e-4, r).outwards))
