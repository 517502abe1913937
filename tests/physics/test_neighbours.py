"""What heads near each other and small motions do to the figures that `compile.doubts` prints, worked out on another road.

The whole wire (no mirror image) in the field of two heads at once. Iron's answer left out: it concerns one head at a time.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from heads import MU0, prototype_blocks, prototype_head, solved
from wirebloom.compile import doubts
from wirebloom.physics.exposure import expose
from wirebloom.physics.fem import solve_head
from wirebloom.physics.field import field_above
from wirebloom.physics.geometry import blocks_of
from wirebloom.physics.reaction import reaction_of
from wirebloom.physics.steel import WireMaterial
from wirebloom.physics.sweep import force_loads
from wirebloom.physics.wire import Surroundings, WireGrid, magnetise

MATERIAL = WireMaterial(100.0, 2.04 / MU0, 70.0)
GRID = WireGrid(0.19e-3)
HEIGHT, CELL, REACH = 1.19e-3, 2e-4, 25e-3  # m
STRONG = {"shape": "disc", "diameter": 15e-3, "thickness": 5e-3, "remanence": 1.2, "recoil_permeability": 1.05}


@cache
def field_of(strong):
    head = prototype_head(magnets=[STRONG]) if strong else prototype_head()
    return field_above(solve_head(blocks_of(head)), 0.12)


@dataclass(frozen=True)
class Pair:
    """Two like heads under one wire; the first at x = 0."""

    strong: bool
    apart: float | None

    def parts(self, axial, centre, height):
        """Field along and across the wire, T."""
        ends = np.arange(self.cells + 1) * CELL - REACH
        along = -np.diff(axial.at(height, np.abs(ends - centre)).potential) / CELL
        return along, axial.at(height, np.abs(ends[:-1] + CELL / 2 - centre)).upwards

    @property
    def cells(self):
        return round((2 * REACH + (self.apart or 0.0)) / CELL)

    def linkage(self, height):
        """Of the first head's coil with the wire at this height over it and at rest over the other, Wb/A · A."""
        field, section = field_of(self.strong), np.pi * GRID.radius**2
        (along, upwards), coil = self.parts(field.magnet, 0.0, height), self.parts(field.coil, 0.0, height)
        if self.apart is not None:
            other = self.parts(field.magnet, self.apart, HEIGHT)
            along, upwards = along + other[0], upwards + other[1]
        k = np.arange(self.cells)
        around = Surroundings(along[None] / MU0, coil[0][None] / MU0, GRID.influence((k[:, None] - k) * CELL))
        state = magnetise(MATERIAL, around)
        axial = np.sum(state.magnetisation[0] * coil[0])
        return section * CELL * (axial + MATERIAL.transverse / MU0 * np.sum(upwards * coil[1]))

    def factor(self):
        return (self.linkage(HEIGHT - 2e-5) - self.linkage(HEIGHT + 2e-5)) / 4e-5


@pytest.mark.parametrize(("strong", "told"), [(False, doubts.FERRITE), (True, doubts.STRONG)])
def test_what_a_like_neighbour_does(strong, told):
    alone = Pair(strong, None).factor()
    for apart, share in list(zip(doubts.DISTANCES, told, strict=True))[1::2]:
        assert abs(Pair(strong, apart).factor() / alone - 1.0) == pytest.approx(share, abs=0.004)


@pytest.mark.parametrize(("reversible", "share"), [(100.0, 1.0), (70.0, 0.90), (30.0, 0.73)])
def test_small_motions_stiffen_the_string_less_than_the_bias_curve_says(reversible, share):
    """dF/dz with the change of magnetisation by χ_rev, over that along the bias curve (1 where both are one, to 1e-4)."""
    head = solved(*prototype_blocks())[1], reaction_of(prototype_blocks())
    material, step = WireMaterial(100.0, 2.04 / MU0, reversible), 1e-5
    low, here, high = (expose(head, GRID, float(material.transverse), HEIGHT + dz, np.zeros(1)) for dz in (-step, 0.0, step))
    state = magnetise(material, here.surroundings())
    bias = [magnetise(material, one.surroundings()).magnetisation for one in (low, high)]
    small = [state.magnetisation + answer(material, here, one, state) for one in (low, high)]
    growth = [
        np.diff([force_loads(one, m, state.reversible).static.sum() for one, m in zip((low, high), pair, strict=True)])[0]
        for pair in (bias, small)
    ]
    assert growth[1] / growth[0] == pytest.approx(share, abs=1e-4 if share == 1.0 else 0.01)


def answer(material, here, there, state):
    """Change of the magnetisation (1, n), A/m, by the reversible susceptibility when the wire moves a little."""
    around, moved = here.surroundings(), there.surroundings()
    change = moved.applied - around.applied + moved.own_field(state.magnetisation) - around.own_field(state.magnetisation)
    slope = material.reversible_slope(state.field)
    tangent = np.eye(slope.shape[-1]) - around.coupling * slope[:, None, :]
    return slope * np.linalg.solve(tangent, change[..., None])[..., 0]
