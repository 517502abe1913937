"""What a coil gives off and what its head holds.

| what                     | against                                                              |
|--------------------------|----------------------------------------------------------------------|
| ranges of a shipped head | by hand from its scenario                                            |
| seat                     | disc on a thick body: shape factor 2 D (Incropera, from memory)      |
| heat held by metals      | Dulong and Petit: 3 R a mole (2 % to 6 % at room temperature)        |
"""

from math import pi

import pytest

from wirebloom.physics.cooling import COPPER, METAL, WOOD, seat_radius, warm_body
from wirebloom.physics.heat import FILM
from wirebloom.rig import load

GAS = 8.314  # J/(mol K)


def head(*changes):
    return load("first_note", [f"heads.sense.{change}" for change in changes])[0].heads[0]


def test_a_shipped_head_by_hand():
    """420 turns of 0.10 mm between 5.6 and 11.2 mm, 8 mm high; core 5 × 10 mm, ferrite disc 8 × 3 mm behind it."""
    body = warm_body(head())
    surface = pi * 11.2e-3 * 8e-3 + pi / 2 * (11.2e-3**2 - 5.6e-3**2)
    assert body.conductance == pytest.approx((12.0 * surface, 25.0 * surface + 2 * 8e-3 * 0.17))
    copper = 420 * pi * 8.4e-3 * pi / 4 * 0.1e-3**2  # m³
    metal = pi / 4 * (5e-3**2 * 10e-3 + 8e-3**2 * 3e-3)
    former = pi / 4 * (11.2e-3**2 - 5e-3**2) * 8e-3 - copper
    assert body.capacity == pytest.approx((8890.0 * copper * 385.0, 8890.0 * copper * 385.0 + 3.5e6 * metal + 1.6e6 * former), rel=1e-9)
    assert body.capacity == pytest.approx((0.298, 2.38), rel=5e-3)


@pytest.mark.parametrize(
    ("changes", "radius"),
    [
        ([], 4e-3),
        (['magnets=[]'], 2.5e-3),
        (['magnets=[]', 'core={diameter = "5 mm", length = "8 mm"}'], 5.6e-3),
        (['plates=[{diameter = "14 mm", thickness = "2 mm"}]'], 7e-3),
    ],
    ids=["magnet", "core", "coil", "plate"],
)  # fmt: skip
def test_it_sits_on_its_lowest_part(changes, radius):
    assert seat_radius(head(*changes)) == pytest.approx(radius)
    more = warm_body(head(*changes)).conductance
    assert more[1] - more[0] * FILM[1] / FILM[0] == pytest.approx(4.0 * WOOD * radius)


def test_a_plate_and_a_stack_hold_heat_and_turns_do():
    plain = warm_body(head()).capacity
    plate = warm_body(head('plates=[{diameter = "14 mm", inner_diameter = "6 mm", thickness = "2 mm"}]')).capacity
    assert plate[1] - plain[1] == pytest.approx(3.5e6 * pi / 4 * (14e-3**2 - 6e-3**2) * 2e-3)
    assert warm_body(head("magnets.0.count=3")).capacity[1] - plain[1] == pytest.approx(3.5e6 * pi / 4 * 8e-3**2 * 6e-3)
    assert warm_body(head("coil.turns=210")).capacity[0] == pytest.approx(plain[0] / 2)


def test_metals_hold_what_dulong_and_petit_found():
    assert pytest.approx(3 * GAS / 63.546e-3, rel=0.02) == COPPER
    assert pytest.approx(3 * GAS / 55.845e-3 * 7870.0, rel=0.06) == METAL  # iron


def test_a_measured_resistance_is_no_more_copper():
    assert warm_body(head("coil.resistance=30 ohm")) == warm_body(head())
