"""Roots of the characteristic equation, followed: against the eigenvalues of the whole matrix, and their names kept.

The two share the magnets' slopes and the network; how strings and electronics meet is worked out twice.
"""

import numpy as np
import pytest

from wirebloom.analysis.benches import benches
from wirebloom.analysis.dense import dense_roots, nearest
from wirebloom.analysis.linear import linearise
from wirebloom.analysis.motional import heard, slopes
from wirebloom.analysis.response import motions
from wirebloom.analysis.small import find, present
from wirebloom.analysis.tracking import follow, in_the_field, natural
from wirebloom.compile import compile_rig
from wirebloom.rig import load

ONE_STRING = ("first_note", "overtones", "too_close", "two_stages", "power_chip")
TWO_STRINGS = ("two_strings_one_loop", "two_strings_two_loops")


def ready(name, *changes):
    return compile_rig(*load(name, changes))


def all_roots(compiled, which="closed"):
    """Roots of all modes, string by string as they are, and their places."""
    found = [find(bench) for bench in benches(compiled) if bench.strands]
    value = np.concatenate([getattr(own, which).last for own in found])
    return value, [place for own in found for strand in own.bench.strands for place in strand.place]


def miss(value, compiled):
    """Furthest that a root stands from its own eigenvalue, none taken twice, relative."""
    wanted = np.linalg.eigvals(linearise(compiled).matrix)
    return float(np.max(np.abs(nearest(value, wanted) - value) / np.abs(value)))


@pytest.mark.parametrize("name", [*ONE_STRING, *TWO_STRINGS])
def test_every_mode_is_an_eigenvalue_of_the_whole(name):
    compiled = ready(name)
    assert miss(all_roots(compiled)[0], compiled) < 1e-10


@pytest.mark.parametrize("name", ["first_note", "overtones", "power_chip", "two_strings_one_loop"])
def test_reversed_is_the_rig_with_its_sense_leads_swapped(name):
    """Compiled and linearised anew; crosstalk turns with it."""
    assert miss(all_roots(ready(name), "other")[0], ready(name, "heads.sense.reversed=true")) < 1e-9


def test_reversed_is_an_amplifier_of_the_other_polarity():
    assert miss(all_roots(ready("first_note"), "other")[0], ready("first_note", "loops.main.amplifier.polarity=reversed")) < 1e-8


def test_all_roots_add_up_to_the_trace():
    """Σ of all eigenvalues is the matrix' trace: none is missing and none is there twice."""
    compiled = ready("overtones", "heads.sense.core={ diameter = '5 mm', length = '10 mm', steel = 'mild steel' }")
    (bench,) = benches(compiled)
    own = find(bench).closed
    matrix = linearise(compiled).matrix
    assert 2.0 * own.last.real.sum() + own.electrical.sum().real == pytest.approx(np.trace(matrix), rel=1e-10)
    assert 2.0 * (own.last**2).sum().real + (own.electrical**2).sum().real == pytest.approx(np.trace(matrix @ matrix), rel=1e-9)


@pytest.mark.parametrize("name", ONE_STRING)
def test_names_are_those_of_the_largest_share(name):
    """Where one mode makes up nine tenths of an eigenvector there is no doubt what it is called."""
    compiled = ready(name)
    value, place = all_roots(compiled)
    for motion in motions(linearise(compiled)):
        if motion.partial is not None and motion.share > 0.9 and motion.frequency_Hz > 0.0:
            own = value[place.index((motion.string, motion.polarisation, motion.partial))]
            assert own.imag / (2 * np.pi) == pytest.approx(motion.frequency_Hz, rel=1e-9)
            assert own.real == pytest.approx(motion.growth_per_s, abs=1e-5)


@pytest.mark.parametrize("capacitor", ["10 uF", "1000 uF"])
def test_a_fundamental_pulled_far_off_is_still_the_fundamental(capacitor):
    """Gain 1e5 through hardly any bandwidth, heads at 0.4 mm: the fundamental stands more than a semitone too low."""
    changes = (
        "loops.main.amplifier.gain=1e5",
        "loops.main.amplifier.level_resistor=0 ohm",
        f"loops.main.output.capacitor={capacitor}",
        "heads.sense.gap=0.4 mm",
        "heads.drive.gap=0.4 mm",
    )
    compiled = ready("first_note", *changes)
    value, place = all_roots(compiled)
    order = np.argsort([n for s, p, n in place if p == 0])
    pitch = value.imag[[k for k, (s, p, n) in enumerate(place) if p == 0]][order]
    assert miss(value, compiled) < 1e-9
    assert np.all(np.diff(pitch) > 0.0)
    assert abs(pitch[0] / natural(benches(compiled)[0].strands[0]).imag.min() - 1.0) > 2 ** (1 / 12) - 1


@pytest.mark.parametrize("apart", ["0 cent", "0.02 cent", "3 cent"])
def test_strings_in_unison_have_two_roots(apart):
    """Both strings of one loop at one pitch: their modes become sum and difference, and neither is lost."""
    changes = [f"strings.{name}.pitch=196 Hz" for name in ("west", "east")]
    scenario = [*changes, "strings.east.length=640 mm", "strings.west.length=640 mm", f"strings.east.sideways.detune={apart}"]
    compiled = ready("two_strings_one_loop", *scenario)
    value, _ = all_roots(compiled)
    assert miss(value, compiled) < 1e-8


def test_ways_of_many_steps_and_of_few_end_alike():
    (bench,) = benches(ready("overtones"))
    start, loops = np.concatenate([in_the_field(strand) for strand in bench.strands]), present(bench)

    def knob(factor):
        return heard(bench, factor, loops)

    value = follow(bench, start, knob, (0.0, 1.0)).last
    slow = start
    for g in np.linspace(0.1, 1.0, 10):
        slow = follow(bench, slow, knob, (g - 0.1, g)).last
    assert value == pytest.approx(slow, rel=1e-11)


def test_slopes_are_those_of_finite_differences():
    """ds/dg of every mode against two roots of the large matrix, a thousandth of the knob apart."""
    (bench,) = benches(ready("first_note"))
    loops = present(bench)
    own = follow(bench, np.concatenate([in_the_field(strand) for strand in bench.strands]), lambda g: heard(bench, g, loops), (0.0, 0.5))
    ends = [nearest(own.last, dense_roots(bench, heard(bench, np.array([g]), loops))) for g in (0.499, 0.501)]
    assert (ends[1] - ends[0]) / 2e-3 == pytest.approx(own.turn[-1], rel=1e-3, abs=1e-4)


def test_the_characteristic_slope_is_a_sum_over_all_roots():
    """d ln f/ds = Σ 1/(s − root), anywhere in the plane, open and reversed too."""
    (bench,) = benches(ready("two_stages"))
    s = np.array([-30.0 + 1500.0j, 100.0 + 4000.0j, 2000.0 + 10.0j])
    for factor in (-1.0, 0.0, 1.0):
        setting = heard(bench, np.array([factor]), present(bench))
        wanted = (1.0 / (s[:, None] - dense_roots(bench, setting))).sum(axis=1)
        assert slopes(bench, s, setting).by_s == pytest.approx(wanted, rel=1e-8)


@pytest.mark.parametrize("share", [0.0, 1.0])
@pytest.mark.parametrize("name", ["overtones", "too_close", "two_stages"])
def test_opened_loops_and_electronics_too(name, share):
    """A start on a pole, where the strings' and the coils' parts of a slope cancel, leaves a root wherever rounding leads it."""
    (bench,) = benches(ready(name))
    own, wanted = find(bench).closed, dense_roots(bench, heard(bench, np.array([share]), present(bench)))
    modes, still = (own.last, own.electrical) if share else (own.value[0], own.still)
    still = still[np.abs(still) > 1.0]
    assert np.abs(modes[:, None] - wanted).min(axis=1).max() < 1e-7
    assert np.max(np.abs(still[:, None] - wanted).min(axis=1) / np.abs(still)) < 1e-9
