"""Magnets with a knee and iron that saturates: the field equations' non-linear part against other routes to the same numbers.

| quantity | route here | other route |
| straight curves | Newton's method | linear solution |
| rod with a knee | finite elements | cells of a general-purpose library (magpylib), each on its curve |
| saturated core | Newton's method | permeability of every element adjusted until it fits its curve |
| coil's field in a saturated core | slope of the curve | flux that a slightly stronger magnet adds (reciprocity) |
| irreversible loss | order of events | energy and monotony |
"""

from dataclasses import replace
from itertools import pairwise

import magpylib
import numpy as np
import pytest
from scipy.optimize import fsolve

from heads import MU0, solved
from wirebloom.physics.axisymmetric import Factors, Tensor, field_load, flux_density, isotropic, stiffness
from wirebloom.physics.demagnetising import demagnetising_curve
from wirebloom.physics.fem import COIL, MAGNET
from wirebloom.physics.field import field_above
from wirebloom.physics.geometry import Block
from wirebloom.physics.laws import KneeLaw, SteelLaw
from wirebloom.rig.magnets import GRADES, Knee, graded
from wirebloom.rig.steels import STEELS

AXIS = np.zeros(1)
COIL_BLOCK = Block(1.8e-3, 5.6e-3, -8.5e-3, -0.5e-3, turns=400)
STRONG = Block(0.0, 6e-3, -18e-3, -12e-3, 1.05, 1.455)
STEEL = STEELS["mild steel"]
CORE = Block(0.0, 1.5e-3, -12e-3, 0.0, 910.0, steel=STEEL)


def alnico(top=0.0, length=16e-3, grade="alnico 5", **changes):
    data = graded(GRADES[grade])
    curve = demagnetising_curve(data.curve, data.recoil_permeability)
    return Block(0.0, 2.4e-3, top - length, top, curve.recoil, curve.remanence, knee=curve, **changes)


def on_axis(*blocks, height=1e-3, source="magnet", **mesh):
    return float(getattr(solved(*blocks, **mesh)[1], source).at(height, AXIS).upwards[0])


def test_a_straight_demagnetising_curve_is_the_linear_solution():
    """Points on a line, so that the non-linear machinery must find what the linear one has."""
    line = tuple((h, 1.2 + 2.0 * MU0 * h) for h in np.linspace(-1.2 / (2.0 * MU0), 0.0, 5))
    straight = Block(0.0, 2.4e-3, -16e-3, 0.0, 2.0, 1.2)
    bent = replace(straight, knee=demagnetising_curve(line, 2.0))
    assert on_axis(bent, COIL_BLOCK) == pytest.approx(on_axis(straight, COIL_BLOCK), rel=1e-6)


def test_a_straight_magnetisation_curve_is_the_linear_solution():
    straight = replace(CORE, permeability=300.0, steel=None)
    bent = replace(straight, steel=tuple((b / (300.0 * MU0), b) for b in (0.0, 1.0, 2.0, 8.0)))
    for source in ("magnet", "coil"):
        values = [on_axis(core, COIL_BLOCK, STRONG, source=source) for core in (bent, straight)]
        assert values[0] == pytest.approx(values[1], rel=1e-4)
    assert solved(bent, COIL_BLOCK, STRONG)[0].bent == (0,)


def test_little_flux_leaves_a_core_linear():
    weak = replace(STRONG, remanence=0.1)
    solution = solved(CORE, COIL_BLOCK, weak)[0]
    assert solution.bent == ()
    assert solution.peak_in_iron() < 1.2
    assert solution.peak_in_linear_iron() == 0.0


def rings_of(block, rings=4, layers=16):
    """A rod cut into rings and layers, thinner towards the ends: sizes (inner, outer, height) and places of their middles."""
    depth = -block.bottom * (1 - np.cos(np.pi * np.arange(layers + 1) / layers)) / 2
    radii = block.outer * np.sqrt(np.arange(rings + 1) / rings)
    cut = [(inner, outer, low, high) for low, high in pairwise(depth) for inner, outer in pairwise(radii)]
    sizes = [(inner, outer, high - low) for inner, outer, low, high in cut]
    return sizes, [(np.sqrt((inner**2 + outer**2) / 2), 0.0, -(low + high) / 2) for inner, outer, low, high in cut]


def polarised(size, place, parts=8):
    """A ring polarised along the axis and one polarised outwards (of straight sectors), 1 T each."""
    along = magpylib.magnet.CylinderSegment(polarization=(0, 0, 1.0), dimension=(*size, 0, 360), position=(0, 0, place[2]))
    sectors = []
    for angle in 360 / parts * np.arange(parts):
        outwards = (np.cos(np.radians(angle)), np.sin(np.radians(angle)), 0.0)
        edges = (angle - 180 / parts, angle + 180 / parts)
        sectors.append(magpylib.magnet.CylinderSegment(polarization=outwards, dimension=(*size, *edges), position=(0, 0, place[2])))
    return along, magpylib.Collection(*sectors)


@pytest.mark.slow
@pytest.mark.parametrize("grade", ["alnico 5", "alnico 8"])
def test_rod_with_a_knee_against_cells(grade):
    """Each ring's polarisation in the field of all (magpylib, closed forms): along the axis J = R(h) - mu0 (mu_rec - 1) h by the
    curve, across it mu0 (mu_rec - 1) H. Found: 0.6 % at most; 10 % without the polarisation across, which flares at the ends."""
    block = alnico(length=9e-3, grade=grade)
    curve, stiff = block.knee, MU0 * (block.permeability - 1)
    sizes, places = rings_of(block)
    sources = [polarised(size, place) for size, place in zip(sizes, places, strict=True)]
    sources = [along for along, _ in sources] + [outwards for _, outwards in sources]
    field = np.stack([source.getH(np.array(places)) for source in sources], axis=1)

    def excess(polarisation):
        against, across = -field[:, :, 2] @ polarisation, field[:, :, 0] @ polarisation
        left = np.interp(against, curve.against, curve.left)
        return np.concatenate([left - stiff * against, stiff * across]) - polarisation

    polarisation = fsolve(excess, np.repeat([0.6 * curve.remanence, 0.0], len(sizes)))
    assert np.max(np.abs(excess(polarisation))) < 1e-6
    for height in (0.5e-3, 1e-3, 3e-3):
        above = sum(part * source.getB((0, 0, height))[2] for part, source in zip(polarisation, sources, strict=True))
        assert on_axis(block, height=height) == pytest.approx(above, rel=0.015)


@pytest.mark.slow
def test_saturated_core_by_adjusting_permeabilities():
    """The old way, no slopes: in every quadrature point H/B by the curve at the last round's H, nearly all the way, 24 times."""
    solution, found = solved(CORE, COIL_BLOCK, STRONG)
    basis, iron = solution.basis, (solution.owner == 0)[:, None] & np.ones(solution.basis.dx.shape, dtype=bool)
    flux = np.linspace(1e-4, 4.0, 40_000)
    strength = SteelLaw(STEEL).reluctivities(flux)[0] * flux
    reluctivity = solution.reluctivity[:, None] * np.ones_like(basis.dx)
    load = field_load(basis, np.zeros_like(solution.current), solution.reluctivity * solution.remanence)
    for _ in range(24):
        potential = Factors(basis, stiffness(basis, isotropic(reluctivity))).solve(load)
        field = np.hypot(*flux_density(basis, potential)) * reluctivity
        reluctivity = np.where(iron, reluctivity * (field / np.interp(field, strength, flux) / reluctivity) ** 0.95, reluctivity)
    adjusted = field_above(replace(solution, potential=np.stack([potential, potential], axis=1)))
    for height in (0.2e-3, 1e-3, 3e-3):
        wanted = adjusted.magnet.at(height, AXIS).upwards[0]
        assert found.magnet.at(height, AXIS).upwards[0] == pytest.approx(wanted, rel=3e-3)  # which still creeps


def test_field_strength_along_a_saturated_core_is_continuous():
    """Along its side H inside, by the curve, is B/mu0 just outside (textbook), where it carries much more than the linear 1.2 T."""
    solution = solved(CORE, COIL_BLOCK, STRONG)[0]
    height = solution.basis.global_coordinates()[1]
    middle = (height > -8e-3) & (height < -4e-3)
    b_r, b_z = solution.flux_density(MAGNET)
    within = middle & (solution.radius > 1.45e-3) & (solution.radius < 1.5e-3)
    beside = middle & (solution.radius > 1.5e-3) & (solution.radius < 1.55e-3)
    inside = np.mean(SteelLaw(STEEL)(b_r[within], b_z[within]).axial)
    assert np.mean(b_z[within]) > 1.8
    assert inside == pytest.approx(np.mean(b_z[beside]) / MU0, rel=0.02)


def test_linear_iron_would_carry_what_no_steel_can():
    linear = replace(CORE, steel=None)
    assert solved(linear, COIL_BLOCK, STRONG)[0].peak_in_iron() > 3.0
    assert solved(CORE, COIL_BLOCK, STRONG)[0].peak_in_iron() < 2.3
    for source in ("magnet", "coil"):
        assert on_axis(CORE, COIL_BLOCK, STRONG, source=source) < 0.85 * on_axis(linear, COIL_BLOCK, STRONG, source=source)


def test_coil_in_a_saturated_core_is_reciprocal():
    """d(flux linked with the coil)/dB_r = ∫ B_coil/(mu0 mu_rec) dV over the magnet, if the coil meets the curve's slope.

    Catches chord for slope, and a slope taken the same along B and across it.
    """
    step = 0.01
    linked = []
    for change in (step, -step):
        solution = solved(CORE, COIL_BLOCK, replace(STRONG, remanence=STRONG.remanence + change))[0]
        a = np.asarray(solution.basis.interpolate(solution.potential[:, MAGNET]))
        linked.append(2 * np.pi * np.sum(a * solution.current[:, None] * solution.radius * solution.basis.dx))
    solution = solved(CORE, COIL_BLOCK, STRONG)[0]
    magnet = (solution.owner == 2)[:, None]
    coil = solution.flux_density(COIL)[1]
    moment = 2 * np.pi * np.sum(np.where(magnet, coil, 0.0) * solution.radius * solution.basis.dx) / (MU0 * STRONG.permeability)
    assert (linked[0] - linked[1]) / (2 * step) == pytest.approx(moment, rel=0.02)


def test_inductance_is_twice_the_energy_in_a_saturated_core():
    solution = solved(CORE, COIL_BLOCK, STRONG)[0]
    assert 2 * solution.field_energy() == pytest.approx(solution.inductance(), rel=1e-6)
    assert solution.inductance() < 0.6 * solved(replace(CORE, steel=None), COIL_BLOCK, STRONG)[0].inductance()


def test_slope_is_that_of_the_field_strength():
    """dH/dB in every direction, by differences, on both laws."""
    rng = np.random.default_rng(3)
    b = rng.uniform(-2.2, 2.2, (2, 400))
    data = graded(GRADES["alnico 5"])
    curve = demagnetising_curve(data.curve, data.recoil_permeability)
    for law in (SteelLaw(STEEL), KneeLaw(curve, -1.0, np.full(400, 0.9))):
        slope = law(*b).slope
        for direction, (radial, axial) in enumerate(((slope.radial, slope.mixed), (slope.mixed, slope.axial))):
            step = np.zeros((2, 1))
            step[direction] = 1e-7
            more, less = law(*(b + step)), law(*(b - step))
            assert (more.radial - less.radial) / 2e-7 == pytest.approx(radial, rel=1e-3, abs=1.0)
            difference = (more.axial - less.axial) / 2e-7
            kinks = np.abs(difference - axial) > 1e-3 * np.abs(axial) + 1.0
            assert np.mean(kinks) < 0.01


def test_what_is_lost_stays_lost():
    """Magnetised apart, a rod comes back weaker under a core than one magnetised there, and never above its remanence."""
    core = Block(0.0, 2.4e-3, -10e-3, 0.0, 1000.0)
    below = alnico(top=-10e-3)
    apart, in_place = (solved(core, COIL_BLOCK, replace(below, apart=choice))[0].working_points()[0] for choice in (True, False))
    bare = solved(alnico())[0].working_points()[0]
    assert apart.left == pytest.approx(bare.left, rel=2e-3)  # the core only helps: it recoils along its line
    assert apart.left < in_place.left < 1.0
    assert apart.flux_density > bare.flux_density
    assert apart.permeance > bare.permeance


def test_a_rod_alone_is_the_same_apart_and_in_place():
    values = [on_axis(replace(alnico(), apart=choice), COIL_BLOCK) for choice in (True, False)]
    assert values[0] == pytest.approx(values[1], rel=1e-9)


def test_an_opposing_magnet_takes_away_more():
    alone, opposed = alnico(top=-10e-3), replace(STRONG, remanence=-1.3, bottom=-34e-3, top=-28e-3)
    weakened = solved(alone, opposed)[0].working_points()[0]
    assert weakened.left < 0.9 * solved(alone)[0].working_points()[0].left


def test_direction_of_a_rod_turns_its_field_over():
    up = alnico()
    assert on_axis(replace(up, remanence=-up.remanence)) == pytest.approx(-on_axis(up), rel=1e-9)


def test_recoil_is_what_the_coil_meets_in_a_magnet():
    """A rod as pole: its small-signal permeability is that of the recoil line, whatever it has lost."""
    pole, linear = alnico(), Block(0.0, 2.4e-3, -16e-3, 0.0, 3.6)
    winding = replace(COIL_BLOCK, inner=2.6e-3)
    assert on_axis(pole, winding, source="coil") == pytest.approx(on_axis(linear, winding, source="coil"), rel=1e-9)


@pytest.mark.parametrize("blocks", [(alnico(), replace(COIL_BLOCK, inner=2.6e-3)), (CORE, COIL_BLOCK, STRONG)], ids=["rod", "saturated"])
def test_mesh_hardly_matters(blocks):
    """Field within 0.5 %, its gradient within 1.5 % of those on twice as fine a mesh, 0.2 mm to 5 mm above the face."""
    usual, fine = solved(*blocks)[1].magnet, solved(*blocks, finest=2e-5, coarsest=3e-4)[1].magnet
    for height in (0.2e-3, 0.5e-3, 1e-3, 2e-3, 5e-3):
        assert usual.at(height, AXIS).upwards[0] == pytest.approx(fine.at(height, AXIS).upwards[0], rel=5e-3)
        assert usual.at(height, AXIS, slope=1).upwards[0] == pytest.approx(fine.at(height, AXIS, slope=1).upwards[0], rel=15e-3)


def test_tensor_of_a_plain_material():
    tensor = isotropic(np.array([2.0, 3.0]))
    assert isinstance(tensor, Tensor)
    assert not tensor.mixed.any()


def test_a_curve_by_points_goes_through_them():
    points = ((-50e3, 0.0), (-45e3, 0.7), (-30e3, 1.1), (0.0, 1.25))
    curve = demagnetising_curve(points, 3.0)
    for field, flux in points:
        assert curve.flux_density(np.array([-field]))[0] == pytest.approx(flux, abs=3e-3)
    assert np.all(np.diff(curve.left) <= 0.0)


def test_a_sharper_product_makes_a_sharper_knee():
    soft, sharp = (demagnetising_curve(Knee(1.2, 50e3, product), 3.0) for product in (25e3, 40e3))
    at = np.array([35e3])
    assert sharp.flux_density(at)[0] > soft.flux_density(at)[0]
