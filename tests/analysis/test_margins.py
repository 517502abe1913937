"""Widest gaps: the rig compiled anew a little nearer grows, a little further it fades, by the eigenvalues of the whole matrix."""

import numpy as np
import pytest

from wirebloom.analysis.benches import benches, laid_out
from wirebloom.analysis.linear import linearise
from wirebloom.analysis.margins import factors, gap_margins, margins
from wirebloom.analysis.regapped import regapped, string_held
from wirebloom.analysis.small import small_signal
from wirebloom.analysis.squeal import squeals
from wirebloom.compile import compile_rig
from wirebloom.rig import load


def fastest_string(compiled):
    """Growth of whatever moves a string fastest, by the whole matrix."""
    values = np.linalg.eigvals(linearise(compiled).matrix)
    return values[(values.imag > 2 * np.pi * 30.0) & (values.imag < 2 * np.pi * 3e3)].real.max()


def at(name, margin, share):
    """The scenario with the margin's heads at so many times their widest gaps."""
    changes = [f"heads.{head}.gap={share * gap:.6f} mm" for head, gap in zip(margin.heads, margin.widest_mm, strict=True)]
    return compile_rig(*load(name, changes))


@pytest.mark.parametrize("name", ["first_note", "too_far", "reversed"])
def test_widest_gaps_are_where_it_stops(name):
    compiled = compile_rig(*load(name))
    found = gap_margins(compiled, small_signal(compiled), 0)
    assert [own.heads for own in found] == [("sense",), ("drive",), ("sense", "drive")]
    for own in found:
        assert fastest_string(at(name, own, 0.98)) > 0.0 > fastest_string(at(name, own, 1.01))
        assert own.limited is False
    growing = fastest_string(compiled) > 0.0
    assert all((own.widest_mm[0] > own.gap_mm[0]) == growing for own in found)


def test_together_less_than_alone():
    compiled = compile_rig(*load("first_note"))
    one, other, both = gap_margins(compiled, small_signal(compiled), 0)
    assert both.widest_mm[0] == both.widest_mm[1] < min(one.widest_mm[0], other.widest_mm[0])


def test_more_gain_reaches_further():
    reach = []
    for gain in (500, 1000, 2000):
        compiled = compile_rig(*load("first_note", [f"loops.main.amplifier.gain={gain}"]))
        reach.append(gap_margins(compiled, small_signal(compiled), 0)[-1].widest_mm[0])
    assert reach[0] < reach[1] < reach[2]


def test_a_string_that_no_loop_feeds_has_no_widest_gap():
    compiled = compile_rig(*load("first_note", ["loops=[]"]))
    assert gap_margins(compiled, small_signal(compiled), 0) == []


def test_strings_of_a_shared_loop_one_by_one():
    compiled = compile_rig(*load("two_strings_one_loop"))
    found = margins(compiled).gaps
    assert [own.string for own in found] == ["west"] * 3 + ["east"] * 3
    assert all(own.widest_mm[0] > own.gap_mm[0] for own in found)


@pytest.mark.parametrize(
    ("name", "keys"),
    [
        ("first_note", ("heads.sense.gap", "heads.drive.gap")),
        ("two_stages", ("heads.sense.gap", "heads.drive.gap")),
        ("two_strings_one_loop", ("heads.sense.over.west.gap", "heads.drive.over.west.gap")),
    ],
)
def test_regapped_is_what_compiling_gives(name, keys):
    compiled = compile_rig(*load(name))
    here = regapped(string_held(compiled, laid_out(compiled), 0), {0: 0.7e-3, 1: 1.3e-3})
    (there,) = benches(compile_rig(*load(name, [f"{keys[0]}=0.7 mm", f"{keys[1]}=1.3 mm"])))
    assert here.matrix == pytest.approx(there.matrix, rel=1e-6, abs=1e-3)
    assert here.inductance == pytest.approx(there.inductance, rel=1e-6)
    for one, other in zip(here.strands, there.strands, strict=True):
        assert one.link == pytest.approx(other.link, rel=1e-6, abs=1e-12)
        assert one.shape == pytest.approx(other.shape, rel=1e-6, abs=1e-9)
        assert one.square == pytest.approx(other.square, rel=1e-9)
        assert one.stiffness == pytest.approx(other.stiffness, rel=1e-4, abs=1e-6)
        assert one.place == other.place


def test_factors_are_the_tables():
    (pole, *_) = compile_rig(*load("first_note")).poles
    gaps = np.array([0.4e-3, 1e-3, 3e-3])
    assert factors(pole, gaps) == pytest.approx([pole.table.force_factor(gap, pole.place.offset) for gap in gaps], rel=1e-12)


def test_squeal_margins_are_those_of_the_loops():
    compiled = compile_rig(*load("first_note"))
    (own,), (wanted,) = margins(compiled).squeals, squeals(compiled)
    assert (own.loop, own.growth_rate_per_s, own.gain) == ("main", wanted.growth_per_s, wanted.gain)
    assert (own.crosstalk, own.turned, own.squeal_Hz) == (wanted.crosstalk.factor, wanted.turned.factor, wanted.crosstalk.frequency_Hz)
    assert own.distance_mm == pytest.approx(1e3 * wanted.distance_m)
