"""Field inside and beside a head against closed forms and another library's; its flux lines against its own field.

Reference: magpylib (general-purpose closed forms for cylinder magnets and current loops), as installed.
"""

import magpylib as magpy
import numpy as np
import pytest

from wirebloom.physics.fem import COIL, MAGNET, solve_head
from wirebloom.physics.field_map import field_map
from wirebloom.physics.geometry import Block

MAGNETISED = Block(0.0, 4e-3, -8e-3, 0.0, permeability=1.0, remanence=0.4)
WOUND = Block(5e-3, 7e-3, -6e-3, -2e-3, turns=300)
PLACES = (np.array([0.3e-3, 2e-3, 3.2e-3, 9e-3]), np.array([-12e-3, -5e-3, 1e-3, 4e-3]))


@pytest.fixture(scope="module")
def solution():
    return solve_head([MAGNETISED, WOUND])


def points():
    radius, height = PLACES
    return np.stack([np.broadcast_to(radius, (4, 4)), np.zeros((4, 4)), np.broadcast_to(height[:, None], (4, 4))], axis=-1)


def compare(found, source, column, tolerance):
    field = source.getB(points())
    size = np.linalg.norm(field, axis=-1).max()
    np.testing.assert_allclose(found.axial[..., column], field[..., 2], atol=tolerance * size)
    np.testing.assert_allclose(found.radial[..., column], field[..., 0], atol=tolerance * size)


def test_magnet_inside_and_out(solution):
    magnet = magpy.magnet.Cylinder(polarization=(0, 0, 0.4), dimension=(8e-3, 8e-3), position=(0, 0, -4e-3))
    compare(field_map(solution, *PLACES), magnet, MAGNET, 3e-3)


def test_coil(solution):
    loops = [
        magpy.current.Circle(current=300 / 400, diameter=2 * r, position=(0, 0, z))
        for r in 5e-3 + 2e-3 * (np.arange(20) + 0.5) / 20
        for z in -6e-3 + 4e-3 * (np.arange(20) + 0.5) / 20
    ]
    compare(field_map(solution, *PLACES), magpy.Collection(loops), COIL, 3e-3)


def test_flux_is_the_axial_field_summed_over_the_disc(solution):
    radius = (np.arange(4000) + 0.5) * 6e-3 / 4000
    found = field_map(solution, radius, np.array([-9e-3, 2e-3]))
    through = np.cumsum(2 * np.pi * radius[:, None] * found.axial[1] * (radius[1] - radius[0]), axis=0)
    np.testing.assert_allclose(through[-1], found.flux[1, -1], rtol=2e-3)


def test_on_the_unknowns_it_is_the_solution(solution):
    """So no line of the mesh is taken for another."""
    place = solution.basis.doflocs
    some = np.flatnonzero((place[0] > 1e-4) & (place[0] < 8e-3) & (np.abs(place[1]) < 9e-3))[::97]
    for k in some:
        found = field_map(solution, place[0, k : k + 1], place[1, k : k + 1])
        np.testing.assert_allclose(found.flux[0, 0], 2 * np.pi * place[0, k] * solution.potential[k], rtol=1e-7, atol=1e-16)
