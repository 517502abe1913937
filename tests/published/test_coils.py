"""Inductance of coils by finite elements against published formulas and tables."""

import numpy as np
import pytest
from scipy.special import ellipe, ellipk

from heads import MU0, solved
from wirebloom.physics.geometry import Block

INCH = 25.4e-3


def coil(mean_radius, length, depth, turns):
    """A winding of rectangular section."""
    return Block(mean_radius - depth / 2, mean_radius + depth / 2, -length, 0.0, turns=turns)


def test_c5_brooks_coil():
    """Square section c, mean radius 1.5 c: L = 1.6994e-6 a N^2 (Grover 1946; memory): 254.91 uH for c = 10 mm, N = 100."""
    assert solved(coil(15e-3, 10e-3, 10e-3, 100))[0].inductance() == pytest.approx(254.91e-6, rel=1e-3)


@pytest.mark.parametrize(
    ("radius", "length", "depth", "turns", "wheeler", "numeric"),
    [
        (INCH, INCH, INCH, 1000, 32.0e-3, 32.17e-3),
        (6e-3, 10e-3, 4e-3, 1000, 6.8305e-3, 6.8089e-3),
        (8e-3, 12e-3, 5e-3, 5000, 0.244630, 0.244650),
    ],
)
def test_c6_wheelers_multilayer_coil(*, radius, length, depth, turns, wheeler, numeric):
    """0.8 a^2 N^2/(6a + 9b + 10c) in inches and microhenry, good to 1 % (seen); `numeric` by summing sections (recomputed)."""
    a, b, c = radius / INCH, length / INCH, depth / INCH
    assert 0.8e-6 * a**2 * turns**2 / (6 * a + 9 * b + 10 * c) == pytest.approx(wheeler, rel=1e-4)
    found = solved(coil(radius, length, depth, turns))[0].inductance()
    assert found == pytest.approx(wheeler, rel=0.01)
    assert found == pytest.approx(numeric, rel=1e-3)


def maxwell(a, b, h):
    """Mutual inductance of coaxial loops, H (Maxwell; DLMF 19.34, seen)."""
    k = np.sqrt(4 * a * b / ((a + b) ** 2 + h**2))
    return MU0 * np.sqrt(a * b) * ((2 / k - k) * ellipk(k**2) - 2 / k * ellipe(k**2))


@pytest.mark.parametrize(("a", "b", "h", "mutual"), [(0.12, 0.06, 0.10, 2.51356378e-8), (0.25, 0.25, 0.01, 1.03666485e-6)])
def test_c7_coaxial_loops(a, b, h, mutual):
    """Published M (second: Rosa & Grover's example, memory) from two thin coils in series, aiding and opposing, at 1/20 size."""
    assert maxwell(a, b, h) == pytest.approx(mutual, rel=3e-6)
    half = 0.01 * h / 20
    rings = [Block(r / 20 - half, r / 20 + half, z / 20 - half, z / 20 + half, turns=1) for r, z in ((a, -h), (b, -2 * h))]
    opposed = Block(*rings[1].edges, turns=-1)
    aiding, opposing = (solved(rings[0], second, finest=min(4e-5, half / 2))[0].inductance() for second in (rings[1], opposed))
    assert 20 * (aiding - opposing) / 4 == pytest.approx(mutual, rel=2e-3)
