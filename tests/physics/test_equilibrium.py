"""Static equilibrium. What is checked, and against what:

| situation                          | must agree with                                                   |
|------------------------------------|-------------------------------------------------------------------|
| one pole, pull a/(gap − u)²        | closed form: pull-in at a third of the gap, a = 4 k gap³/27       |
| one pole, any strength             | roots of the cubic; minima of the energy on a fine grid           |
| two poles on one string            | minima of the energy on a grid, faces as walls                    |
| a head that pushes the string away sideways | closed form of a pitchfork; minima on a grid             |
| pull beside the axis               | C F for a weak magnet; mirror image                               |
| order of poles, units              | unchanged                                                         |
"""

import numpy as np
import pytest

from wirebloom.errors import RigError
from wirebloom.physics.equilibrium import critical_strength, static_equilibrium

K = 900.0  # N/m
GAP = 1e-3  # m
PULL_IN = 4 * K * GAP**3 / 27


def spring(stiffness=K):
    return np.full((2, 1, 1), 1 / stiffness)


def inverse_square(a, standoff=0.0, gap=GAP):
    """Pull a/(gap + standoff − u)²; a standoff keeps it finite on the face."""
    return lambda u: np.stack([a / (gap + standoff - u[:, 0]) ** 2, 0 * u[:, 1]], axis=1)


# Pull-in of a sprung plate at a third of the gap: Senturia, Microsystem Design, 2001, chapter 6 (from memory); the same inverse square law.
def test_brink_lies_at_a_third_of_the_gap():
    assert critical_strength(spring(), inverse_square(PULL_IN), np.array([0.9 * GAP])) == pytest.approx(1.0, abs=1e-6)
    near = static_equilibrium(spring(), inverse_square(PULL_IN * (1 - 1e-8)), np.array([0.9 * GAP]))
    assert near.displacement[0, 0] == pytest.approx(GAP / 3, rel=2e-4)
    assert near.softness == pytest.approx(1.0, abs=3e-4)


@pytest.mark.parametrize("share", [1e-6, 0.1, 0.5, 0.9, 0.999])
def test_clear_rest_is_the_smallest_root(share):
    a = share * PULL_IN
    roots = np.roots([K, -2 * K * GAP, K * GAP**2, -a])
    rest = static_equilibrium(spring(), inverse_square(a), np.array([0.9 * GAP]))
    assert rest.displacement[0, 0] == pytest.approx(roots.real.min(), rel=1e-9)
    assert rest.softness == pytest.approx(2 * a / (GAP - rest.displacement[0, 0]) ** 3 / K, rel=1e-6)
    assert rest.force[0, 0] == pytest.approx(K * rest.displacement[0, 0], rel=1e-9)


@pytest.mark.parametrize("share", [1.0001, 1.2, 5.0])
def test_beyond_the_brink_the_face_pushes_back(share):
    rest = static_equilibrium(spring(), inverse_square(share * PULL_IN), np.array([0.9 * GAP]))
    assert (rest.kind, rest.caught) == ("latched", (0,))
    assert rest.displacement[0, 0] == pytest.approx(0.9 * GAP, rel=1e-12)
    assert rest.reaction[0] == pytest.approx(share * PULL_IN / (0.1 * GAP) ** 2 - K * 0.9 * GAP, rel=1e-9)


@pytest.mark.parametrize("standoff", [0.05, 0.3, 0.6, 2.0])
@pytest.mark.parametrize("share", [0.05, 0.3, 0.7, 0.95, 1.1, 3.0, 10.0])
def test_kind_by_the_energy_landscape(share, standoff):
    a, c = share * PULL_IN, standoff * GAP
    u = np.linspace(0, GAP, 200_001)
    minima, held = _minima(0.5 * K * u**2 - a / (GAP + c - u))
    rest = static_equilibrium(spring(), inverse_square(a, c), np.array([GAP]))
    assert rest.kind == ("latched" if not minima.size else "bistable" if held else "free")
    assert (critical_strength(spring(), inverse_square(a, c), np.array([GAP]), highest=2.0) < 1.0) == (rest.kind == "latched")
    if minima.size:
        assert rest.displacement[0, 0] == pytest.approx(u[minima[0]], abs=2 * GAP / 200_000)


def _minima(energy):
    inner = np.flatnonzero((energy[1:-1] < energy[:-2]) & (energy[1:-1] <= energy[2:])) + 1
    return inner, energy[-1] < energy[-2]


def two_poles(a, standoff, gap):
    compliance = np.array([[1.0, 0.6], [0.6, 1.4]]) / K

    def pull(u):
        return np.stack([np.array(a) / (gap + standoff - u[:, 0]) ** 2, -5.0 * u[:, 1]], axis=1)

    return np.stack([compliance, compliance]), pull


TWO_GAPS = np.array([0.8e-3, 1.1e-3])


SHARES = [(0.02, 0.02), (0.02, 0.5), (0.5, 0.02), (0.2, 0.3), (0.4, 0.45), (0.02, 1.0), (1.0, 0.02), (2.0, 2.0), (0.6, 0.1), (0.05, 0.14)]


@pytest.mark.parametrize("shares", SHARES)
def test_two_poles_by_the_energy_landscape(shares):
    standoff = 0.15e-3
    a = np.array(shares) * 4 * K * TWO_GAPS**3 / 27
    compliance, pull = two_poles(a, standoff, TWO_GAPS)
    rest = static_equilibrium(compliance, pull, TWO_GAPS)
    clear, caught, spacing = _grid_minima(compliance[0], a, standoff)
    expected = "latched" if not clear else "bistable" if caught else "free"
    assert rest.kind == expected
    if clear:
        assert rest.displacement[:, 0] == pytest.approx(clear[0], abs=2 * spacing)
        assert set(rest.caught) == caught
    else:
        assert rest.displacement[list(rest.caught), 0] == pytest.approx(TWO_GAPS[list(rest.caught)])
        assert np.all(rest.reaction[list(rest.caught)] > 0)
        assert set(rest.caught) <= caught


def _grid_minima(compliance, a, standoff):
    """Clear minima, nearest to the straight string first, and the poles held in any other minimum; faces are the grid's upper edges."""
    axes = [np.linspace(-0.2e-3, gap, 901) for gap in TWO_GAPS]
    u, v = np.meshgrid(*axes, indexing="ij")
    stiff = np.linalg.inv(compliance)
    energy = 0.5 * (stiff[0, 0] * u**2 + 2 * stiff[0, 1] * u * v + stiff[1, 1] * v**2)
    energy -= a[0] / (TWO_GAPS[0] + standoff - u) + a[1] / (TWO_GAPS[1] + standoff - v)
    padded = np.pad(energy, 1, constant_values=np.inf)
    lowest = np.ones_like(energy, dtype=bool)
    for du in (-1, 0, 1):
        for dv in (-1, 0, 1):
            if du or dv:
                lowest &= energy <= padded[1 + du : 902 + du, 1 + dv : 902 + dv]
    places = np.argwhere(lowest)
    clear = sorted((axes[0][i], axes[1][j]) for i, j in places if i < 900 and j < 900)
    caught = {pole for place in places for pole in range(2) if place[pole] == 900}
    return clear, caught, (TWO_GAPS.max() + 0.2e-3) / 900


# A head that drives the string away from its axis with sideways force κy − βy³: beyond κ = k it rests at y² = (κ − k)/β.
def sideways_push(kappa, beta=1e9, pull=0.05):
    return lambda u: np.stack([np.full(len(u), pull) + 0 * u[:, 0], kappa * u[:, 1] - beta * u[:, 1] ** 3], axis=1)


@pytest.mark.parametrize("kappa", [0.5 * K, 0.99 * K, 1.05 * K, 1.5 * K])
def test_string_leaves_an_axis_that_pushes_it_away(kappa):
    rest = static_equilibrium(spring(), sideways_push(kappa), np.array([GAP]))
    aside = np.sqrt(max(0.0, (kappa - K) / 1e9))
    assert rest.kind == "free"
    assert abs(rest.displacement[0, 1]) == pytest.approx(aside, rel=1e-6, abs=1e-12)
    assert rest.displacement[0, 0] == pytest.approx(0.05 / K, rel=1e-9)
    assert rest.softness < 1.0


def test_axis_stops_being_stable_where_the_push_equals_the_string():
    assert critical_strength(spring(), sideways_push(K / 1.7), np.array([GAP])) == pytest.approx(1.7, abs=1e-5)


def bell(strength, height=1.5e-3, width=2e-3, gap=GAP, offset=0.0):
    """Pull of an energy that falls off both ways, W = w exp(−z/height) exp(−(y/width)²)."""

    def pull(u):
        z, y = gap - u[:, 0], offset + u[:, 1]
        energy = strength * np.exp(-z / height - (y / width) ** 2)
        return np.stack([energy / height, -2 * y / width**2 * energy], axis=1)

    return pull


@pytest.mark.parametrize("offset", [0.0, 0.7e-3, 1.5e-3])
def test_rest_beside_the_axis_by_the_energy_landscape(offset):
    w = 3e-4
    rest = static_equilibrium(spring(), bell(w, offset=offset), np.array([GAP]))
    u, y = np.meshgrid(np.linspace(0, GAP, 801), np.linspace(-GAP, GAP, 1601), indexing="ij")
    energy = 0.5 * K * (u**2 + y**2) - w * np.exp(-(GAP - u) / 1.5e-3 - ((offset + y) / 2e-3) ** 2)
    at = np.unravel_index(energy.argmin(), energy.shape)
    assert rest.kind == "free"
    assert rest.displacement[0] == pytest.approx((u[at], y[at]), abs=2e-6)


def test_weak_magnet_moves_the_string_by_compliance_times_force():
    pull = bell(1e-9, offset=0.7e-3)
    rest = static_equilibrium(spring(), pull, np.array([GAP]))
    assert rest.displacement == pytest.approx(pull(np.zeros((1, 2))) / K, rel=1e-5)


def test_mirror_image():
    there = static_equilibrium(spring(), bell(3e-4, offset=0.7e-3), np.array([GAP]))
    here = static_equilibrium(spring(), bell(3e-4, offset=-0.7e-3), np.array([GAP]))
    assert here.displacement * [1, -1] == pytest.approx(there.displacement, rel=1e-9)


def test_order_of_poles_does_not_matter():
    a = np.array([0.1, 0.2]) * 4 * K * TWO_GAPS**3 / 27
    compliance, pull = two_poles(a, 1e-4, TWO_GAPS)
    swapped = compliance[:, ::-1, ::-1]
    _, other = two_poles(a[::-1], 1e-4, TWO_GAPS[::-1])
    there, here = static_equilibrium(compliance, pull, TWO_GAPS), static_equilibrium(swapped, other, TWO_GAPS[::-1])
    assert here.kind == there.kind
    assert here.displacement[::-1] == pytest.approx(there.displacement, rel=1e-9)
    assert [1 - j for j in here.caught[::-1]] == list(there.caught)


# u ∝ length, k ∝ force/length: every length ten times and every force twice as large leaves the proportions.
def test_scale_does_not_matter():
    small = static_equilibrium(spring(), inverse_square(0.9 * PULL_IN), np.array([0.9 * GAP]))
    large = static_equilibrium(spring(K / 5), inverse_square(0.9 * PULL_IN * 200, gap=10 * GAP), np.array([9 * GAP]))
    assert large.displacement == pytest.approx(10 * small.displacement, rel=1e-9)


def test_no_magnet_no_displacement():
    rest = static_equilibrium(spring(), lambda u: 0 * u, np.array([GAP]))
    assert (rest.kind, rest.softness) == ("free", 0.0)
    assert not rest.displacement.any()
    assert critical_strength(spring(), lambda u: 0 * u, np.array([GAP])) == 10.0


# The pull peaks in the plane of the core's face at 1.2 k gap: the core holds the string, a flange 1 mm lower does not.
@pytest.mark.parametrize(("offset", "kind"), [(0.0, "bistable"), (4e-3, "free")])
def test_only_a_face_in_the_plane_of_the_pull_catches(offset, kind):
    def pull(u):
        return np.stack([1.2 * K * GAP / (1 + ((GAP - u[:, 0]) / 0.3e-3) ** 2), 0 * u[:, 1]], axis=1)

    def depth(u):
        return np.where(np.abs(offset + u[:, 1]) < 2.5e-3, 0.0, 1e-3)

    assert static_equilibrium(spring(), pull, np.array([GAP]), depth).kind == kind


def test_pull_without_any_rest_is_refused():
    nowhere = lambda u: np.full(len(u), np.inf)  # noqa: E731
    runaway = lambda u: np.stack([1.0 + 2 * K * u[:, 0], 0 * u[:, 1]], axis=1)  # noqa: E731
    with pytest.raises(RigError, match="no place to stay"):
        static_equilibrium(spring(), runaway, np.array([GAP]), nowhere)
