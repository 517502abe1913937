"""Rest over gap. What is checked, and against what:

| situation                                   | must agree with                                                      |
|---------------------------------------------|----------------------------------------------------------------------|
| pull a/(gap + s)² against a spring          | pull-in at two thirds of the way, a = 4 k D³/27, D = gap + s         |
| pressed on the face                         | stays while the pull there, a/s², exceeds k · gap                    |
| heads of double strength, or two at a place | the same formulas with 2 a                                           |
| a head that stays where it is               | what it catches does not count for the one that moves                |
| co-energy W(gap) e^(−y²/2b²)                | its second derivatives                                               |

Pull-in of a sprung plate at a third of the way: Senturia, Microsystem Design, 2001, chapter 6 (from memory).
"""

import numpy as np
import pytest

from wirebloom.physics.equilibrium_map import equilibrium_map, greatest_sticking_gap
from wirebloom.physics.head_table import assemble, gap_axis
from wirebloom.physics.stand import Stand, pull_gradient, side_stiffness

K = 900.0  # N/m
A = 4.5e-7  # N m²
S = 0.5e-3  # m: the pull stays finite on the face
LATCHES = (27 * A / (4 * K)) ** (1 / 3) - S  # 1 mm
STICKS = A / (K * S**2)  # 2 mm
WIDE = 2e-3  # m
GAPS = np.geomspace(0.2e-3, 6e-3, 20)
FACE, FLANGE = (2.5e-3, 5e-3), (0.0, 0.5e-3)


def table(a=A, wide=None):
    """Head whose pull is a/(gap + S)², times e^(−y²/2 wide²)."""
    offset = np.linspace(-4e-3, 4e-3, 33)
    gap = gap_axis()[:, None]
    coenergy = a / (gap + S) * (np.ones_like(offset) if wide is None else np.exp(-(offset**2) / (2 * wide**2)))
    nothing = np.zeros_like(coenergy)
    load = np.linspace(-1e-3, 1e-3, 11), np.full((3, gap.size, 11), 1 / 11 / 2e-4)
    none = dict.fromkeys(("face_field", "core_field", "copper_mass", "wire_length"))
    return assemble(offset, np.stack([coenergy, nothing, nothing]), load, resistance=10.0, inductance=1e-3, dipole=0.0, **none)


def stand(tables=None, gap=1.5e-3, offset=0.0, moving=(0,), compliance=None):
    tables = tables or [table()]
    poles = len(tables)
    compliance = np.full((2, poles, poles), 1 / K) if compliance is None else compliance
    steps = np.tile(FACE, (poles, 1)), np.tile(FLANGE, (poles, 1))
    return Stand(compliance, tuple(tables), np.full(poles, gap), np.full(poles, offset), *steps, 0, moving)


@pytest.fixture(scope="module")
def found():
    return equilibrium_map(stand(), GAPS)


def test_borders_are_where_the_formulas_have_them(found):
    assert found.latches_to == pytest.approx(LATCHES, rel=3e-3)
    assert found.sticks_to == pytest.approx(STICKS, rel=3e-3)
    for gap, kind in zip(found.gap, found.kind, strict=True):
        assert kind == ("latched" if gap < LATCHES * 0.997 else "bistable" if gap < STICKS * 0.997 else "free")


def test_rest_is_the_root_of_the_cubic(found):
    for gap, rest, pull in zip(found.gap, found.rest_gap, found.pull, strict=True):
        if gap > 1.01 * LATCHES:
            roots = np.roots([K, 2 * K * S - K * gap, K * S**2 - 2 * K * gap * S, A - K * gap * S**2])  # k (g − x)(x + s)² = a
            assert rest == pytest.approx(roots.real[np.abs(roots.imag) < 1e-9].max(), rel=1e-4)
            assert pull == pytest.approx(K * (gap - rest), rel=1e-4)
        elif gap < 0.99 * LATCHES:
            assert rest == 0.0


def test_the_clear_branch_begins_where_the_spring_gives_way(found):
    brink = list(found.kind).index("bistable")
    assert found.gap[brink] == found.latches_to
    assert found.rest_gap[brink] == pytest.approx(2 * (LATCHES + S) / 3 - S, rel=0.05)  # a root of a root: slow to reach
    assert found.softness[brink] == pytest.approx(1.0, abs=0.06)


def test_twice_the_pull_sticks_from_twice_as_far():
    assert greatest_sticking_gap(stand().stronger(2.0), GAPS) == pytest.approx(2 * STICKS, rel=3e-3)
    assert greatest_sticking_gap(stand(), GAPS) == pytest.approx(STICKS, rel=3e-3)


def test_two_heads_at_one_place_that_move_together_are_one_of_double_pull():
    both = equilibrium_map(stand([table(), table()], moving=(0, 1)), GAPS)
    assert both.latches_to == pytest.approx((27 * 2 * A / (4 * K)) ** (1 / 3) - S, rel=3e-3)
    assert both.sticks_to == pytest.approx(2 * STICKS, rel=3e-3)


def test_what_another_head_holds_is_not_the_moving_ones_doing():
    """Far apart on the string: the other head latches it, this one does not feel that."""
    apart = np.array([np.diag([1 / K, 1 / K])] * 2)
    set_near = stand([table(1e-9), table()], gap=0.8e-3, compliance=apart)
    rest = set_near.rest()
    assert (rest.kind, rest.caught) == ("latched", (1,))
    found = equilibrium_map(set_near, GAPS)
    assert set(found.kind) == {"free"}
    assert (found.latches_to, found.sticks_to) == (0.0, 0.0)


def test_borders_beyond_the_map_are_told():
    found = equilibrium_map(stand([table(100 * A)]), GAPS)
    assert found.latches_to == found.sticks_to == np.inf
    assert np.isinf(greatest_sticking_gap(stand([table(100 * A)]), GAPS))


def test_a_string_beside_the_head_has_no_face_to_stick_to():
    """The same pull everywhere: only the face is missing."""
    gaps = np.linspace(1.1 * LATCHES, 0.95 * STICKS, 4)
    assert set(equilibrium_map(stand(), gaps).kind) == {"bistable"}
    assert set(equilibrium_map(stand(offset=7e-3), gaps).kind) == {"free"}


def test_a_gap_at_which_it_finds_no_rest_counts_as_one_that_latches():
    found = equilibrium_map(stand(offset=7e-3), GAPS)
    assert found.latches_to == pytest.approx(LATCHES, rel=3e-3)


def test_magnets_sideways_and_towards():
    head = table(wide=WIDE)
    offset = np.array([0.0, 1e-3, 2e-3, 3e-3])
    gap = 1e-3
    co = A / (gap + S) * np.exp(-(offset**2) / (2 * WIDE**2))
    np.testing.assert_allclose(side_stiffness(head, gap, offset), co * (1 / WIDE**2 - offset**2 / WIDE**4), rtol=0.02, atol=0.02 * 75.0)
    assert side_stiffness(head, gap, offset)[-1] < 0.0
    assert pull_gradient(head, gap, 0.0) == pytest.approx(2 * A / (gap + S) ** 3, rel=2e-3)


def test_forces_are_those_of_the_table_inside_and_outside_it():
    head = table(wide=WIDE)
    place = stand([head], gap=1e-3, offset=1.2e-3)
    for u in ((0.0, 0.0), (0.3e-3, -0.4e-3), (1.05e-3, 0.1e-3), (-2e-3, 2.7e-3), (1.2e-3, 0.0), (0.0, 5e-3)):
        force = place.field()(np.array([u]))[0]
        gap, side = 1e-3 - u[0], 1.2e-3 + u[1]
        np.testing.assert_allclose(force, [head.pull(gap, side), head.sideways_force(gap, side)], rtol=1e-12, atol=1e-18)


def test_the_end_of_a_table_is_no_edge_of_the_field():
    """−∂F/∂gap of a/(gap + S)² at 12 mm, 2a/(gap + S)³, and not the whole pull over the step of a difference."""
    assert pull_gradient(table(), 12e-3, 0.0) == pytest.approx(2 * A / (12e-3 + S) ** 3, rel=2e-2)
    assert stand(gap=12e-3).rest().softness < 2 * 2 * A / (12e-3 + S) ** 3 / K
