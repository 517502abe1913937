"""Rings of magnetic charge against what defines them, and against a handbook's series.

| quantity | route here | other route |
| Q of half-integer degree | recurrences | hypergeometric series, Abramowitz and Stegun 8.1.3 (NIST DLMF 14.3.7); from memory |
| potential of a ring | toroidal functions | the integral of cos mψ/(4π R) around the ring, by quadrature |
| its field | derivative of the closed form | difference quotient |
| on the axis | same | charge over 4π distance |
"""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import gamma, hyp2f1

from wirebloom.physics.rings import ring_field, ring_potential, toroidal

HARMONICS = 24


def series(order, chi):
    nu = order - 0.5
    front = np.sqrt(np.pi) * gamma(nu + 1) / gamma(nu + 1.5) / (2 * chi) ** (nu + 1)
    return front * hyp2f1((nu + 2) / 2, (nu + 1) / 2, nu + 1.5, chi**-2.0)


def at(*values):
    return tuple(np.array([v]) for v in values)


@pytest.mark.parametrize("excess", [0.04, 0.1, 0.11, 0.3, 0.49, 0.51, 2.0, 3.9, 4.1, 50.0, 150.0, 1e4])
@pytest.mark.parametrize("highest", [1, 8, HARMONICS])
def test_toroidal_functions(excess, highest):
    """Each way of the recurrences, on both sides of where one takes over from another."""
    found = toroidal(np.array([excess]), highest)[:, 0]
    assert found == pytest.approx([series(m, 1 + excess) for m in range(highest + 1)], rel=1e-8)


@pytest.mark.parametrize("place", [(2.0, 0.1), (2.01, 0.0), (2.0, 1e-3), (0.3, 0.5), (5.0, -3.0)])
@pytest.mark.parametrize("m", [0, 1, 2, 7, 16])
def test_potential_of_a_ring(place, m):
    (r, z), (a, height) = place, (2.1, 0.02)

    def density(angle):
        return np.cos(m * angle) / (4 * np.pi * np.sqrt((r - a) ** 2 + (z - height) ** 2 + 4 * r * a * np.sin(angle / 2) ** 2))

    expected = 2 * quad(density, 0, np.pi, points=[0.01, 0.1], limit=500, epsabs=1e-13)[0]
    assert ring_potential(at(r, z), at(a, height), HARMONICS)[m, 0] == pytest.approx(expected, rel=1e-7, abs=1e-12)


def test_on_the_axis_only_the_mean_counts():
    potential = ring_potential(at(1e-12, 4.0), at(3.0, 0.0), 3)[:, 0]
    assert potential[0] == pytest.approx(2 * np.pi / (4 * np.pi * 5.0))
    assert np.all(potential[1:] < 1e-10)


@pytest.mark.parametrize("place", [(2.0, 0.1), (2.05, 0.02), (0.3, 0.5), (7.0, -3.0)])
def test_field_of_a_ring(place):
    (r, z), ring, step = place, at(2.1, 0.02), 1e-5
    field = ring_field(at(r, z), ring, HARMONICS)

    def slope(dr, dz):
        ahead, behind = (ring_potential(at(r + s * dr, z + s * dz), ring, HARMONICS) for s in (1, -1))
        return (ahead - behind) / (2 * step)

    assert field.outwards == pytest.approx(slope(step, 0), rel=1e-5, abs=1e-12)
    assert field.upwards == pytest.approx(slope(0, step), rel=1e-5, abs=1e-12)
