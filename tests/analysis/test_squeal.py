"""When electronics sound without their strings: thresholds by hand, by other routes through the program, and in runs.

Barkhausen's condition (loop gain 1 at phase 0; textbook, from memory): a wrong sign of the crosstalk, a factor 2 in the mutual inductance,
a frequency in rad/s, an eddy or a stray capacitance in the wrong row all move a threshold.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.polynomial import Polynomial

from consistency.scenario import compiled
from wirebloom.analysis.linear import linear_model, linearise
from wirebloom.analysis.squeal import (
    Change,
    begins,
    changed,
    electronics,
    fastest,
    held_electronics,
    most_crosstalk,
    nearest,
    part,
    squeals,
    with_squeals,
)
from wirebloom.circuit.nodal import network_of
from wirebloom.circuit.parts import GROUND, Capacitor, Netlist, Resistor, Source, Stage
from wirebloom.compile import compile_rig
from wirebloom.compile.electronics import lay_out_stages
from wirebloom.rig import load
from wirebloom.run import simulate
from wirebloom.take.measures import measure

GAIN, BANDWIDTH = 1000.0, 2.0 * np.pi * 3e6 / 1000.0  # of the bench's amplifier: 1, rad/s
DRIVE_OHM, DRIVE, SENSE_OHM, SENSE = 24.5, 2.6e-3, 200.0, 20e-3  # Ω with the output's 0.5, H, Ω, H
BARE = (
    "loops.main.amplifier.input_capacitance=1 pF",
    "loops.main.amplifier.coil_capacitance=0 F",
    "loops.main.amplifier.input_resistance=1e12 ohm",
)
BY_HAND = (DRIVE + DRIVE_OHM / BANDWIDTH) / GAIN  # H, of a sense coil without a load
HERTZ_BY_HAND = np.sqrt(DRIVE_OHM * BANDWIDTH / DRIVE) / (2.0 * np.pi)


def mutual(henry):
    return f"couplings=[{{heads=['sense', 'drive'], mutual='{henry:.9e} H'}}]"


def only(*overrides):
    (found,) = squeals(compiled(*overrides))
    return found


def test_crosstalk_by_hand():
    """G M s/((1 + s/ω_b)(R + s L)) = 1: s² L/ω_b + s (L + R/ω_b − G M) + R = 0 grows from G M = L + R/ω_b on, at √(R ω_b/L) (DER)."""
    found = only(mutual(1e-6), *BARE).crosstalk
    assert found.factor * 1e-6 == pytest.approx(BY_HAND, rel=1e-4)
    assert found.frequency_Hz == pytest.approx(HERTZ_BY_HAND, rel=1e-4)


def test_gain_by_hand():
    """The same with G free and the product of gain and bandwidth W kept: G M = L + R G/W (DER)."""
    henry = 8e-6
    found = only(mutual(henry), *BARE).gain
    assert found == pytest.approx(DRIVE / (henry - DRIVE_OHM / (GAIN * BANDWIDTH)), rel=1e-3)


def loop_polynomial(henry, farad, leak):
    """All of the loop: (R + sL)(1 + (R_s + sL_s)Y)(1 + s/ω_b) − sM (G + sMY(1 + s/ω_b)), Y = sC + 1/R_in at the sense node (DER)."""
    s = Polynomial([0.0, 1.0])
    node, lag = farad * s + 1.0 / leak, 1.0 + s / BANDWIDTH
    coils = (DRIVE_OHM + DRIVE * s) * (1.0 + (SENSE_OHM + SENSE * s) * node) * lag
    return coils - henry * s * (GAIN + henry * s * node * lag)


@pytest.mark.parametrize("henry", [2e-6, 6e-6, -1e-7, -4e-7])
def test_eigenvalues_are_the_loops_roots(henry):
    roots = loop_polynomial(henry, 130e-12, 10e6).roots()
    values = np.linalg.eigvals(electronics(compiled(mutual(henry))).matrix)
    for root in roots:
        assert np.min(np.abs(values - root)) < 1e-6 * abs(root)


def test_negative_crosstalk_squeals_through_the_sense_coils_resonance():
    """1/(2π √(20 mH · 130 pF)) = 98.7 kHz; threshold by bisection of the polynomial's roots (DER)."""
    found = only(mutual(-1e-8))
    low, high = 1e-8, 1e-5
    for _ in range(60):
        middle = np.sqrt(low * high)
        growing = loop_polynomial(-middle, 130e-12, 10e6).roots().real.max() > 0.0
        low, high = (low, middle) if growing else (middle, high)
    assert found.crosstalk.factor * 1e-8 == pytest.approx(high, rel=1e-4)
    assert found.crosstalk.frequency_Hz == pytest.approx(1.0 / (2.0 * np.pi * np.sqrt(SENSE * 130e-12)), rel=0.05)


def test_a_resistor_across_the_sense_coil_tames_its_resonance():
    assert only(mutual(-1e-8), "loops.main.amplifier.input_resistance=10 kohm").crosstalk is None


def test_turned_is_the_other_sign():
    one, other = only(mutual(3e-7)), only(mutual(-3e-7))
    for turned, straight in ((one.turned, other.crosstalk), (other.turned, one.crosstalk)):
        assert (turned.factor, turned.frequency_Hz) == pytest.approx((straight.factor, straight.frequency_Hz), rel=1e-6)


@pytest.mark.parametrize("reversed_head", ["sense", "drive"])
def test_one_coil_reversed_with_the_amplifier_reversed_too_changes_nothing(reversed_head):
    """Both signs of the crosstalk's way: leads swapped at a coil and at the amplifier."""
    swapped = only(mutual(3e-7), f"heads.{reversed_head}.reversed=true", "loops.main.amplifier.polarity=reversed")
    assert swapped.crosstalk.factor == pytest.approx(only(mutual(3e-7)).crosstalk.factor, rel=1e-5)


def phase_shift_oscillator(model, gain, ohm, farad):
    """Three sections of a capacitor in line and a resistor to ground around an inverting amplifier, in place of a rig's electronics."""
    nodes = ["out", "first", "second", "third"]
    ladder = [Capacitor(f"C{k}", nodes[k], nodes[k + 1], farad, 1) for k in range(3)]
    ladder += [Resistor(f"R{k}", nodes[k + 1], GROUND, ohm, 1) for k in range(3)]
    rails = [Source("plus", "plus", GROUND, 9.0, 1), Source("minus", "minus", GROUND, -9.0, 1)]
    stage = Stage("amplifier", "out", GROUND, "third", GROUND, "plus", "minus", 0, gain, 1e10, 1e9, 18.0)
    network, stages = network_of(Netlist((*ladder, *rails, stage), (), ("main",)))
    return model._replace(network=network, stages=lay_out_stages(stages, model.step))


def test_phase_shift_oscillator():
    """Gain 29 and f = 1/(2π √6 R C) for three equal sections (textbook, from memory; 10 kΩ and 10 nF: 649.7 Hz)."""
    bench = compiled()
    model = phase_shift_oscillator(bench.model, 10.0, 10e3, 10e-9)
    own = held_electronics(linear_model(model, bench.rest, strings=False), model)
    found = begins(lambda f: fastest(changed(own, 0, Change(gain=f))), 100.0)
    assert 10.0 * found.factor == pytest.approx(29.0, rel=1e-3)
    assert found.frequency_Hz == pytest.approx(1.0 / (2.0 * np.pi * np.sqrt(6.0) * 1e-4), rel=1e-3)


def test_a_change_is_what_compiling_the_changed_rig_gives():
    """Mutual inductance −3 times, stray capacitance twice, gain three times: all in one, with solid cores."""
    steel = "heads.sense.core={ diameter = '5 mm', length = '10 mm', steel = 'mild steel' }"

    def rig(henry, farad, gain):
        coupling = f"couplings=[{{heads=['sense', 'drive'], mutual='{henry:g} H', capacitance='{farad:g} F'}}]"
        return electronics(compile_rig(*load("first_note", [coupling, f"loops.main.amplifier.gain={gain:g}", steel])))

    there = changed(rig(1e-5, 5e-13, 3e4), 0, Change(mutual=-3.0, stray=2.0, gain=3.0))
    here = rig(-3e-5, 1e-12, 9e4).matrix
    one, other = (np.sort_complex(np.linalg.eigvals(matrix)) for matrix in (there, here))
    assert one == pytest.approx(other, rel=1e-4, abs=1e-3)


def test_distance_is_where_the_moved_heads_begin():
    """Compiled anew with the drive head elsewhere: two per cent wider it keeps still, two per cent nearer it squeals."""
    (found,) = squeals(compile_rig(*load("first_note")))
    for share, still in ((1.02, True), (0.98, False)):
        place = 256e-3 - share * found.distance_m  # the sense head stands at 0.4 of 640 mm
        (moved,) = squeals(compile_rig(*load("first_note", [f"heads.drive.position={1e3 * place:.4f} mm"])))
        assert moved.squeals is not still


def test_no_distance_where_crosstalk_is_stated():
    assert only(mutual(1e-6)).distance_m is None


def test_nearest_heads():
    bench = compile_rig(*load("first_note"))
    assert nearest(bench.poles, ["sense"], ["drive"]) == pytest.approx(0.114 * 0.64)
    assert nearest(bench.poles, ["sense"], ["sense"]) == 0.0
    assert nearest(bench.poles, ["sense"], []) is None


def test_a_stray_capacitance_is_a_way_back():
    """Without magnetic crosstalk. Half of it at twice the bandwidth: far above the amplifier's corner the loop gain is their product."""
    near = "couplings=[{heads=['sense', 'drive'], mutual='0 H', capacitance='0.1 pF'}]"
    found = only(near, "loops.main.amplifier.output_resistance=5 ohm").crosstalk
    wide = only(near, "loops.main.amplifier.output_resistance=5 ohm", "loops.main.amplifier.gain_bandwidth=6 MHz").crosstalk
    assert found.frequency_Hz == pytest.approx(98.7e3, rel=0.1)
    assert wide.factor == pytest.approx(0.5 * found.factor, rel=0.1)


def test_without_crosstalk_nothing_comes_back():
    found = only()
    assert (found.squeals, found.crosstalk, found.turned, found.distance_m) == (False, None, None, None)


def test_electronics_that_need_no_crosstalk():
    assert begins(lambda f: complex(1.0, 10.0), 10.0).factor == 0.0
    assert begins(lambda f: complex(-1.0, 0.0), 10.0) is None
    assert begins(lambda f: f - 2.0 + 2j * np.pi, 10.0).factor == pytest.approx(2.01, rel=1e-5)


def test_most_crosstalk_is_all_the_flux():
    matrix = np.array([[4e-3, -1e-5], [-1e-5, 1e-3]])
    assert most_crosstalk(matrix, 0) == pytest.approx(0.999 * 2e-3 / 1e-5)
    assert most_crosstalk(np.diag([1.0, 1.0]), 0) == np.inf


def test_into_the_sheet():
    bench = compiled(mutual(1e-6), *BARE)
    sheet = with_squeals(bench.sheet, squeals(bench)).loops[0]
    assert sheet.squeal_factor == pytest.approx(1e6 * BY_HAND, rel=1e-4)
    assert sheet.squeal_growth_per_s < 0.0
    assert (sheet.squeal_distance_m, bench.sheet.loops[0].squeal_factor) == (-1.0, -1.0)


@pytest.mark.parametrize(("share", "squealing"), [(0.9, False), (1.15, True)])
def test_a_run_squeals_where_the_linear_model_says(share, squealing):
    """Begun from noise; just above the threshold what comes is nearly a sine, at the frequency by hand."""
    take = simulate(compiled(mutual(share * BY_HAND), *BARE, "run.duration=0.4 s"))
    found = measure(take)
    assert found.loops[0].squeals is squealing
    if squealing:
        assert found.strings[0].outcome == "squeals"
        assert found.loops[0].squeal_Hz == pytest.approx(HERTZ_BY_HAND, rel=0.1)


@pytest.mark.parametrize(("share", "squealing"), [(0.8, False), (1.25, True)])
def test_a_run_squeals_above_hearing(share, squealing):
    """Through the sense coil's resonance, 98.7 kHz: beyond the samples, not beyond the steps."""
    threshold = 1e-8 * only(mutual(-1e-8)).crosstalk.factor
    found = measure(simulate(compiled(mutual(-share * threshold), "run.duration=0.4 s")))
    assert (found.loops[0].squeals, found.loops[0].squeal_Hz) == (squealing, None)


def test_held_strings_are_held():
    """With the strings free the same model has their motions besides; the electronics' own stay within a per cent."""
    bench = compiled(mutual(1.15 * BY_HAND), *BARE)
    own, whole = electronics(bench).matrix, linearise(bench).matrix
    growing = fastest(own)
    assert np.min(np.abs(np.linalg.eigvals(whole) - growing)) < 1e-2 * abs(growing)


def test_an_amplifier_held_by_its_offset_does_not_squeal():
    bench = compiled(mutual(1.5 * BY_HAND), *BARE)
    stuck = replace(bench, model=bench.model._replace(stages=bench.model.stages._replace(offset=np.array([0.1]))))
    assert fastest(electronics(bench).matrix).real > 0.0
    assert fastest(electronics(stuck).matrix).real <= 0.0


def test_a_loop_on_its_own_bench_is_looked_at_by_itself():
    """Loops that nothing couples: their parts have all roots of the whole between them, each with its own loop's gain."""
    bench = compile_rig(*load("two_strings_two_loops"))
    whole = electronics(bench)
    parts = [part(whole, loop) for loop in range(2)]
    assert [loop for _, loop in parts] == [0, 0]
    for change in (Change(), Change(mutual=-2.0, gain=3.0)):
        both = changed(whole._replace(matrix=changed(whole, 0, change)), 1, change)
        found = np.concatenate([np.linalg.eigvals(changed(own, 0, change)) for own, _ in parts])
        assert np.sort_complex(found) == pytest.approx(np.sort_complex(np.linalg.eigvals(both)), rel=1e-6, abs=1e-6)


def test_factors_at_once_are_factors_one_by_one():
    bench = electronics(compile_rig(*load("first_note")))
    factors = np.array([0.5, 1.0, 7.0])
    for key in ("mutual", "stray", "gain"):
        together = fastest(changed(bench, 0, Change(**{key: factors})))
        assert together == pytest.approx([fastest(changed(bench, 0, Change(**{key: f}))) for f in factors], rel=1e-9)
