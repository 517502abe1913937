"""Charge induced on iron, by boundary elements, against closed forms, finite elements and conservation.

| quantity | route here | other route |
| answer of a long rod to a charge beside it | panels | Fourier integral over Bessel functions (separation of variables; derived here) |
| polarisation of iron of susceptibility 0.001 | same | magnetisation of the applied field itself, integrated over the volume |
| answer of cores, with a joint, a magnet of permeability 4, a pot | same | scalar-potential finite elements (`heads.fourier`) |
| net charge of every body | same | none, whatever the permeability |
| answer at P to Q | same | answer at Q to P |
| a rod in two touching or overlapping pieces | same | the rod |
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import iv, ivp, kv, kvp

from heads.fourier import Oracle
from wirebloom.physics.boundary import Iron
from wirebloom.physics.geometry import Block
from wirebloom.physics.interfaces import Panels, panels_of
from wirebloom.physics.reaction import reaction_of

CORE = Block(0.0, 2.5e-3, -10e-3, 0.0, 1000.0)
PLATE = Block(0.0, 6e-3, -12.05e-3, -10.05e-3, 1000.0)
POT = (CORE, Block(0.0, 8e-3, -12e-3, -10e-3, 1000.0), Block(7e-3, 8e-3, -10e-3, 0.0, 1000.0))
RECOIL = (replace(CORE, permeability=4.0), Block(0.0, 6e-3, -12e-3, -10e-3, 1000.0))


def places(*points):
    r, z = np.array(points).T
    return r, z


def answer(iron, to, at):
    """Potential (M + 1, P, S) at places of the charge that rings at other places induce."""
    return np.matmul(iron.potential(at), iron.charge(iron.normal_slope(to)))


@pytest.mark.parametrize("permeability", [3.0, 20.0])
@pytest.mark.parametrize("m", [0, 1, 2, 5])
def test_long_rod_beside_a_charge(permeability, m):
    """Would show a wrong sign or factor of the mean slope on a curved surface, and a wrong share (μ − 1)/(μ + 1).

    Inside φ ~ I_m(kr), outside K_m(kr); the answer to I_m(kr) is −(μ − 1) I_m I_m′/(μ I_m′ K_m − I_m K_m′) K_m(kr) at kR.
    """
    radius, at, away = 2e-3, 2.5e-3, 0.5e-3

    def density(k):
        x, mu = k * radius, permeability
        share = -(mu - 1) * iv(m, x) * ivp(m, x) / (mu * ivp(m, x) * kv(m, x) - iv(m, x) * kvp(m, x))
        return share * kv(m, k * at) ** 2 * np.cos(k * away) / np.pi

    expected = quad(density, 1e-3, 4e4, limit=2000)[0]
    iron = Iron(rod(radius, permeability), 6)
    found = answer(iron, places((at, away)), places((at, 0.0)))[m, 0, 0]
    assert found == pytest.approx(expected, rel=4e-3)


def rod(radius, permeability):
    """Mantle of a rod 1 m long, panels closest in the middle."""
    edge = np.concatenate([[0.0], np.geomspace(2e-4, 0.5, 40)])
    edge = np.concatenate([-edge[:0:-1], edge])
    height, half = (edge[1:] + edge[:-1]) / 2, np.diff(edge) / 2
    full = np.ones_like(height)
    middle, way, normal = (np.stack(parts, axis=1) for parts in ((radius * full, height), (0 * full, half), (full, 0 * full)))
    return Panels(middle, way, normal, permeability * full, full, ())


def test_weakly_magnetic_iron_answers_with_the_applied_field():
    """φ at P of the magnetisation χ H in the field of a charge at Q: −χ ∫ H_P·H_Q dV for unit charges."""
    weak = 1e-3
    panels = panels_of([Block(1e-3, 2.5e-3, -3e-3, 0.0, 2.0)])
    iron = Iron(replace(panels, inside=np.full(panels.half.shape[0], 1 + weak)), 0)
    p, q = 0.5e-3, 1.5e-3
    found = answer(iron, places((1e-9, q)), places((1e-9, p)))[0, 0, 0] / (2 * np.pi)
    r, wr = gauss(1e-3, 2.5e-3)
    z, wz = gauss(-3e-3, 0.0)
    r, z = r[:, None], z[None, :]
    product = (r**2 + (z - p) * (z - q)) / ((r**2 + (z - p) ** 2) * (r**2 + (z - q) ** 2)) ** 1.5 / (4 * np.pi) ** 2
    assert found == pytest.approx(-weak * np.sum(2 * np.pi * r * wr[:, None] * wz * product), rel=2e-3)


def gauss(low, high):
    nodes, weights = np.polynomial.legendre.leggauss(40)
    return (low + high) / 2 + nodes * (high - low) / 2, weights * (high - low) / 2


@pytest.mark.parametrize("permeability", [20.0, 1000.0, 1e6])
def test_no_net_charge_on_any_body(permeability):
    blocks = [replace(block, permeability=permeability) for block in (CORE, PLATE)]
    iron = Iron(panels_of(blocks), 1)
    charge = iron.charge(iron.normal_slope(places((1e-9, 1e-3))))[0, :, 0]
    assert len(iron.panels.bodies) == 2
    for body in iron.panels.bodies:
        own = charge.reshape(-1, 4)[body]
        assert abs(own.sum()) < 1e-3 * np.abs(own).sum()


def test_the_answer_tends_to_that_of_a_perfect_conductor():
    """Errors of the mean, blown up by the permeability, would show between 1e4 and 1e7."""
    at = places((1e-9, 1e-3), (1e-3, 0.5e-3), (4e-3, 2e-3))
    hard, harder = (answer(Iron(panels_of([replace(CORE, permeability=mu)]), 2), at, at) for mu in (1e4, 1e7))
    assert np.max(np.abs(harder - hard)) < 1e-3 * np.max(np.abs(hard))


@pytest.mark.parametrize("blocks", [(CORE,), (CORE, PLATE), RECOIL], ids=["core", "joint", "magnet"])
def test_answer_is_symmetric(blocks):
    at = places((1e-3, 0.5e-3), (2.5e-3, 1e-3), (4e-3, 0.3e-3), (10e-3, 3e-3))
    found = answer(Iron(panels_of(blocks), 8), at, at)
    off = np.abs(found - np.swapaxes(found, 1, 2)).max(axis=(1, 2)) / np.abs(found).max(axis=(1, 2))
    assert np.all(off < 1.5e-3), off


def test_pieces_that_touch_or_overlap_are_one():
    at = places((1e-3, 0.5e-3), (3e-3, 1e-3))
    whole = answer(Iron(panels_of([CORE]), 3), at, at)
    pieces = [replace(CORE, inner=1.7e-3), replace(CORE, outer=2e-3, top=-4e-3), replace(CORE, outer=2e-3, bottom=-4e-3)]
    assert answer(Iron(panels_of(pieces), 3), at, at) == pytest.approx(whole, rel=1e-9)


def test_ferrite_and_coils_are_not_iron():
    assert panels_of([Block(0.0, 4e-3, -5e-3, 0.0, 1.1, remanence=0.4), Block(4e-3, 6e-3, -5e-3, 0.0, turns=100)]) is None
    assert panels_of([]) is None


@pytest.mark.parametrize("blocks", [(CORE,), RECOIL, POT, (CORE, PLATE)], ids=["core", "magnet", "pot", "joint"])
def test_finite_elements_of_the_potential(blocks):
    """The elements carry most of the difference: it shrinks with their size."""
    oracle = Oracle(blocks, 1e-3, modes=(0, 2))
    terms = reaction_of(blocks)
    there = [terms.features(oracle.planes[k], oracle.nodes, np.zeros(1), whole=True).potential for k in (1, 3)]
    kept = np.isin(terms.harmonic, oracle.modes)
    found = -there[0][:, kept] @ there[1][:, kept].T
    expected = oracle.answer[1, :, 3, :]
    assert np.max(np.abs(found - expected)) < 4e-3 * np.max(np.abs(expected))
