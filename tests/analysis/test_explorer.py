"""The map of the leading partial: its changes against rigs compiled with them, its answers against the full analysis."""

import numpy as np
import pytest

from random_rigs import Ranges, random_rig
from wirebloom.analysis.envelopes import Envelopes
from wirebloom.analysis.explorer import PARTIALS, SAMPLES, capacitor_of, chosen, explore, filled, fits, with_capacitor, with_place
from wirebloom.analysis.hundreds import Leader, alone, leader
from wirebloom.analysis.saturated import saturated
from wirebloom.analysis.strand import basis_of
from wirebloom.errors import ScenarioError
from wirebloom.take.check_map import NO_ROOM, SILENT

LOUD = Ranges(gain=(3e3, 3e4), reversed_share=0.0)
POINTS = [(number, farad) for number in (3, 5, 8, 13) for farad in (3e-6, 2e-5, 5e-4)]


def flow_of(compiled, basis):
    return Envelopes(basis, 0, np.arange(1, PARTIALS + 1), float(compiled.model.strings.frequency[0, 0, 0]), SAMPLES)


def test_another_capacitor_is_as_if_compiled_with_it():
    rig, other = random_rig(3), random_rig(3, Ranges(), "loops.main.phase.capacitor=20 uF")
    assert capacitor_of(rig.rig, 0) == ("phase", pytest.approx(rig.rig.loops[0].phase.capacitor))
    here, there = with_capacitor(rig, 0, "phase", 20e-6), basis_of(other.model, other.rest)
    np.testing.assert_allclose(here.model.network.rate, there.model.network.rate, rtol=1e-9)
    np.testing.assert_allclose(alone(flow_of(rig, here)).growth, alone(flow_of(other, there)).growth, rtol=1e-6, atol=1e-6)


def test_another_place_is_as_if_compiled_with_it():
    """The rest and the crosstalk are left: growth differs by what these do, and not by what the place does."""
    rig = random_rig(3)
    head = chosen(rig, "drive").pole
    position = 0.31 * rig.modes[0].length
    other = random_rig(3, Ranges(), f"heads.drive.position={1e3 * position:.6f} mm")
    here = with_place(rig, basis_of(rig.model, rig.rest), head, position)
    there = basis_of(other.model, other.rest)
    np.testing.assert_allclose(here.model.poles.weight, there.model.poles.weight, atol=1e-9)
    found, wanted = alone(flow_of(rig, here)).growth, alone(flow_of(other, there)).growth
    np.testing.assert_allclose(found, wanted, rtol=0.05, atol=0.05)


@pytest.mark.long
def test_leaders_are_those_of_the_full_analysis():
    """The leader is among the states that last in at least nine cases of ten, and the likely one in four of five."""
    lasting, likely = [], []
    for number, farad in POINTS:
        rig = random_rig(number, LOUD, f"loops.main.phase.capacitor={1e6 * farad:g} uF")
        found, states = leader(flow_of(rig, basis_of(rig.model, rig.rest))), saturated(rig)
        best = states.likely("one")
        lasting.append(found.partial in ({state.partial for state in states.of("one")} or {SILENT}))
        likely.append(found.partial == (SILENT if best is None else best.partial))
    assert np.mean(lasting) >= 0.9, lasting
    assert np.mean(likely) >= 0.8, likely


def test_nothing_leads_without_gain():
    rig = random_rig(3, Ranges(), "loops.main.amplifier.gain=0.1")
    assert leader(flow_of(rig, basis_of(rig.model, rig.rest))) == Leader(SILENT, False, False)


def test_a_grid_is_asked_only_where_neighbours_differ():
    def ask(i, k):
        asked.append((i, k))
        return Leader(1 if k < 5 else 2, False, False)

    asked: list[tuple[int, int]] = []
    found = filled(ask, (7, 9))
    assert [[one.partial for one in row] for row in found] == [[1] * 5 + [2] * 4] * 7
    assert len(asked) == 4 * 5 + 7  # every second one, and the column between those that differ


def test_heads_do_not_stand_in_one_place():
    rig = random_rig(3)
    moved = chosen(rig, None)
    other = moved.others[0].place.position
    assert moved.pole.head.name == "drive"
    assert not fits(moved, other)
    assert fits(moved, other + 0.02)


def test_a_head_of_another_name_is_refused():
    with pytest.raises(ScenarioError, match="Perhaps you meant 'drive'"):
        explore(random_rig(3), "drve")


@pytest.mark.long
def test_a_map_has_the_rig_in_it():
    rig = random_rig(3, LOUD)
    found = explore(rig)
    assert found.partial.shape == found.several.shape == found.touches.shape == (found.position_m.size, found.capacitor_F.size)
    assert found.position_m[0] <= found.own_position_m <= found.position_m[-1] or found.own_position_m < found.position_m[0]
    assert NO_ROOM in found.partial
    assert found.partial.max() >= 1
    assert (found.head, found.role, found.capacitor) == ("drive", "drive", "loops.main.phase.capacitor")
