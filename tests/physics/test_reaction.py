"""Terms of the iron's answer against images in a plane, against the panels they come from, and among themselves.

| quantity | route here | other route |
| field on a charge over a wide plate | terms | image charge −(μ − 1)/(μ + 1) q at the depth h (J. D. Jackson, section 4.4; derived) |
| field beside it, from a pair of charges | same | images of both |
| answer at another height and offset | same | charge induced on the panels, harmonics summed for both charges of the pair |
| fields and slopes | splines' derivatives | difference quotients |
| the fewest terms at a height | same | all terms |
| potential | same | Laplace's equation |
| more panels, more harmonics | same | fewer |
"""

from functools import cache
from math import pi

import numpy as np
import pytest

from heads import prototype_blocks
from wirebloom.physics.boundary import Iron
from wirebloom.physics.geometry import Block
from wirebloom.physics.interfaces import panels_of
from wirebloom.physics.reaction import Reaction, reaction_of

X, Y = np.array([0.2e-3, 1.0e-3, 2.5e-3, 3.1e-3, 7e-3]), np.array([0.0, 0.3e-3, -1.7e-3, 2.2e-3, 1e-3])


@cache
def prototype() -> Reaction:
    return reaction_of(prototype_blocks())


@cache
def plate(permeability: float, harmonics: int, weakest: float) -> Reaction:
    return reaction_of([Block(0.0, 80e-3, -80e-3, 0.0, permeability)], harmonics=harmonics, weakest=weakest)


@pytest.mark.parametrize("permeability", [2.0, 5.0, 1000.0])
@pytest.mark.parametrize("height", [0.3e-3, 0.5e-3, 1e-3, 2e-3])
def test_charge_over_a_wide_plate(height, permeability):
    """A pair on the axis is one charge 2 q: it is drawn to its image, 2 h away, and harder the nearer it is."""
    terms = plate(permeability, 1, 1e-7).features(height, np.zeros(1), np.zeros(1))
    image = 2 * (permeability - 1) / (permeability + 1)
    field = -np.sum(terms.upwards * -terms.potential)
    assert -field == pytest.approx(-image / (4 * pi * (2 * height) ** 2), rel=4e-3)
    stiffening = np.sum(terms.upwards_slope * terms.potential + terms.upwards * terms.potential_slope)
    assert stiffening == pytest.approx(-image / (4 * pi * 4) * 2 / height**3, rel=4e-3)


def test_pair_of_charges_over_a_wide_plate():
    """Fields at P from the images of both charges: across the string and up. Would show a wrong sign or weight of odd harmonics."""
    x, y, height = 0.6e-3, 0.9e-3, 1e-3
    terms = plate(1000.0, 16, 1e-3)
    source = terms.features(height, np.array([x]), np.array([y]), whole=True).potential[0]
    found = terms.features(1.3e-3, X[:4], Y[:4], whole=True)
    expected = np.zeros((2, 4))
    for side in (1, -1):
        way = np.stack([X[:4] - side * x, Y[:4] - y, np.full(4, 2.3e-3)])
        expected += -999 / 1001 * way[1:] / (4 * pi * np.sum(way**2, axis=0) ** 1.5)
    size = np.max(np.abs(expected))
    assert -(found.sideways @ source) == pytest.approx(expected[0], abs=4e-3 * size)
    assert -(found.upwards @ source) == pytest.approx(expected[1], abs=4e-3 * size)


@pytest.mark.parametrize("heights", [(0.25e-3, 0.25e-3), (0.4e-3, 1.1e-3), (2.3e-3, 0.3e-3), (3e-3, 9e-3)])
def test_terms_carry_the_answer_of_the_panels(heights):
    """At places between the lines of the table, at two heights; the charge and its mirror image summed one by one."""
    iron = Iron(panels_of(prototype_blocks()), 16)
    at, of = (np.hypot(X, Y), np.full(5, heights[0])), (np.hypot(X, Y), np.full(5, heights[1]))
    answer = np.matmul(iron.potential(at), iron.charge(iron.normal_slope(of)))
    angle, m = np.arctan2(Y, X), np.arange(17)[:, None, None]
    around = np.cos(m * (angle[:, None] - angle)) + np.cos(m * (angle[:, None] - (pi - angle)))
    expected = np.sum(np.where(m == 0, 1, 2) / (2 * pi) * around * answer, axis=0)
    to, source = (prototype().features(height, X, Y, whole=True).potential for height in heights)
    assert np.max(np.abs(-to @ source.T - expected)) < 4e-3 * np.max(np.abs(expected))


@pytest.mark.parametrize("height", [0.25e-3, 0.31e-3, 0.8e-3, 2e-3, 7e-3])
def test_the_fewest_terms_carry_the_same_products(height):
    few, all_of_them = (prototype().features(height, X, Y, whole=whole) for whole in (False, True))
    for one in range(6):
        for other in range(3):
            found, expected = (terms[one] @ terms[other].T for terms in (few, all_of_them))
            scale = np.sqrt(np.outer(*(np.sum(all_of_them[k] ** 2, axis=1) for k in (one, other))))
            assert np.max(np.abs(found - expected) / scale.max()) < 2e-3
    assert few.potential.shape[-1] <= all_of_them.potential.shape[-1]


@pytest.mark.parametrize("height", [0.4e-3, 1.3e-3, 4e-3])
def test_fields_are_slopes_of_the_potential(height):
    step = 1e-6
    features = prototype().features(height, X, Y, whole=True)

    def quotient(dy, dz, name):
        ahead, behind = (getattr(prototype().features(height + s * dz, X, Y + s * dy, whole=True), name) for s in (1, -1))
        return (ahead - behind) / (2 * step)

    for name, expected in {
        "sideways": -quotient(step, 0, "potential"),
        "upwards": -quotient(0, step, "potential"),
        "potential_slope": quotient(0, step, "potential"),
        "sideways_slope": quotient(0, step, "sideways"),
        "upwards_slope": quotient(0, step, "upwards"),
    }.items():
        assert getattr(features, name) == pytest.approx(expected, abs=1e-5 * np.max(np.abs(expected))), name


@pytest.mark.parametrize("height", [0.3e-3, 1e-3])
def test_potential_is_harmonic(height):
    """−∂²f/∂z² is the Laplacian in the plane."""
    step = 2e-5

    def f(dx, dy):
        return prototype().features(height, X + dx, Y + dy, whole=True).potential

    plane = (f(step, 0) + f(-step, 0) + f(0, step) + f(0, -step) - 4 * f(0, 0)) / step**2
    curvature = prototype().features(height, X, Y, whole=True).upwards_slope
    assert np.max(np.abs(plane - curvature)) < 0.01 * np.max(np.abs(curvature))


def test_on_the_axis_and_on_both_sides():
    """sin θ terms are odd in y and have a slope on the axis, cos mθ ones are even."""
    beside, opposite = (prototype().features(1e-3, np.array([1e-3]), np.array([y]), whole=True).potential for y in (1e-3, -1e-3))
    assert opposite == pytest.approx(np.where(prototype().harmonic % 2 == 0, 1, -1) * beside, rel=1e-9)
    axis, near = (prototype().features(1e-3, np.zeros(1), np.array([y]), whole=True) for y in (0.0, 1e-7))
    assert axis.sideways == pytest.approx(near.sideways, abs=1e-3 * np.max(np.abs(near.sideways)))
    assert np.max(np.abs(axis.sideways)) > 0.0


def test_parts_of_the_features():
    x, y = X[:, None], Y[None, :]
    features, along, across = (ask(1e-3, x, y) for ask in (prototype().features, prototype().along, prototype().across))
    assert features.potential.shape[:2] == (5, 5)
    assert features.potential_slope == pytest.approx(along.potential_slope)
    assert features.sideways_slope == pytest.approx(across.sideways_slope)


@pytest.mark.parametrize("blocks", [(), (Block(0.0, 4e-3, -3e-3, 0.0, 1.05, remanence=0.4),)])
def test_nothing_without_iron(blocks):
    features = reaction_of(blocks).features(1e-3, X, Y[:, None])
    assert all(part.shape == (5, 5, 0) for part in features)


@pytest.mark.parametrize("finer", [{"fineness": 1.6}, {"harmonics": 22}, {"weakest": 5e-5}])
def test_converged(finer):
    """Force on a spread charge as a wire has it at the rim, half a millimetre up: in panels, harmonics and terms."""
    other = reaction_of(prototype_blocks(), **finer)
    x = np.linspace(1e-3, 4e-3, 31)
    for y in (0.0, 1.5e-3):
        found, expected = (spread_force(terms, x, y) for terms in (prototype(), other))
        assert found == pytest.approx(expected, rel=2e-3)


def spread_force(terms, x, y):
    density = np.exp(-(((x - 2.4e-3) / 0.4e-3) ** 2))
    features = terms.features(0.5e-3, x, np.array(y))
    return np.sum((density @ features.upwards) * (density @ features.potential))
