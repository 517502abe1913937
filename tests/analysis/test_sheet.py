"""The static sheet against published values and formulas by hand; and in words, what cannot work.

What it would catch: a stress over the wrong section, cents of a ratio and not of its square, a decay cause by 2π or 2, a magnet's spring
with the wrong sign or over the wrong mass, mm for m, a coil's resistance at the wrong temperature, noise of a band for a density.
"""

import numpy as np
import pytest

from consistency.scenario import TEXT, compiled
from wirebloom.analysis.linear import linearise
from wirebloom.analysis.response import motions
from wirebloom.analysis.sheet import static_sheet
from wirebloom.compile import compile_rig
from wirebloom.errors import RigError
from wirebloom.rig import load, loads

HIGH_E = ("strings.one.diameter=0.3048 mm", "strings.one.length=648 mm", "strings.one.pitch=329.628 Hz")
STRING = TEXT[: TEXT.index("[[heads]]")]
START = TEXT[TEXT.index("[start]") :]
HEAD = "[[heads]]" + TEXT[TEXT.index("[[heads]]") : TEXT.index("[[loops]]")].split("[[heads]]")[1]
ONE_HEAD = STRING + HEAD + START
BOLTZMANN = 1.380649e-23  # J/K, exact in the SI of 2019


def sheet_of(text, *overrides):
    return static_sheet(compile_rig(*loads(text, file="bench.toml", overrides=overrides)))


def sheet(*overrides):
    return static_sheet(compiled(*overrides))


def string(*overrides):
    return sheet(*overrides).strings[0]


def test_stress_at_pitch_against_the_standards_table():
    """1432.6 MPa = ρ (2 L f)², 55.1 % of the least of ASTM A228 at 0.012 in, 377 ksi (S9, S10: table seen, stress derived)."""
    own = string(*HIGH_E)
    assert own.stress_Pa == pytest.approx(1432.6e6, rel=1e-3)
    assert own.load == pytest.approx(0.551, rel=2e-3)
    assert own.strength_max_Pa == pytest.approx(417 * 6.894757e6, rel=1e-6)


def test_partials_are_sharp_as_published():
    """600 log₂(1 + B n²) cent (S6): 0.0866, 2.1613 and 8.6132 cent at B = 1e-4, partials 1, 5 and 10, scaled to this B."""
    own = string()
    expected = np.array([0.0866, 2.1613, 8.6132]) * own.inharmonicity / 1e-4
    np.testing.assert_allclose(own.sharp_cent[[0, 4, 9]], expected, rtol=2e-3)


def test_decay_has_its_causes():
    """Air: σ = R/2μ with R = 3.9952e-4 kg/(m s) at 0.3048 mm and 329.63 Hz (D3, Stokes 1851); support: π f/Q. All causes make the whole."""
    own = string(*HIGH_E)
    rate = {cause.name: cause.per_s for cause in own.causes}
    assert rate["air"][0, 0] == pytest.approx(3.9952e-4 / (2.0 * own.linear_density_kg_m), rel=0.01)  # the air's own values: 20 °C
    np.testing.assert_allclose(rate["support"][:, 0], np.pi * own.frequency_Hz[:, 0] / np.array([6000.0, 3000.0]), rtol=1e-12)
    np.testing.assert_allclose(sum(rate.values()), own.decay_per_s, rtol=1e-12)
    np.testing.assert_allclose(own.t60_s, 6.90776 / own.decay_per_s, rtol=1e-6)


def test_measured_decays_take_the_place_of_causes():
    own = string('strings.one.damping.t60=[[2, "5 s"], [4, "3 s"]]')
    rate = {cause.name: cause.per_s for cause in own.causes}
    np.testing.assert_allclose(rate["measured"][0, [0, 1, 3, 4]], [0.0, 6.90776 / 5.0, 6.90776 / 3.0, 0.0], rtol=1e-6)
    assert (rate["air"][0, 0] > 0.0, rate["air"][0, 2]) == (True, 0.0)
    np.testing.assert_allclose(sum(rate.values()), own.decay_per_s, rtol=1e-12)


def test_a_magnets_spring_lowers_the_pitch_as_derived():
    """T6 (derived): −20 N/m at the middle of a 0.012 in E4 string of 648 mm: −4.167 Hz; its other partials give way a little more."""
    found = sheet_of(ONE_HEAD, *HIGH_E, "heads.sense.position=0.5 L", "heads.sense.law.pull=30 mN")
    own, (head,) = found.strings[0], found.heads
    shift = 329.628 * (2.0 ** (own.magnet_cent[0, 0] / 1200.0) - 1.0)
    assert head.magnet_N_per_m[0] == pytest.approx(-20.0, rel=0.1)
    assert shift * -20.0 / head.magnet_N_per_m[0] == pytest.approx(-4.167, rel=0.015)
    assert own.magnet_cent[0, 1] == pytest.approx(0.0, abs=0.02)  # a node there
    np.testing.assert_allclose(own.magnet_cent[1], 0.0, atol=0.05)  # nothing pulls it sideways but the stretch


def test_pitch_over_magnets_is_that_of_the_whole_rigs_eigenvalues():
    """All partials, both polarisations, over round heads that do not sit in the middle: another route, without loops."""
    rig = compile_rig(*load("two_strings_one_loop", ("loops=[]",)))
    found = static_sheet(rig)
    for s, own in enumerate(found.strings):
        there = own.frequency_Hz * 2.0 ** (own.magnet_cent / 1200.0)
        exact = sorted(m.frequency_Hz for m in motions(linearise(rig)) if m.string == s)
        np.testing.assert_allclose(1200.0 * np.log2(np.sort(there.ravel()) / exact), 0.0, atol=2e-3)  # cent: damping is unequal
    assert found.strings[0].magnet_cent[0, 0] < -1.0 < 0.1 < found.strings[0].magnet_cent[1, 0]  # towards: softer; sideways: held


def test_sag_of_a_taut_string_under_a_point_force():
    """F x (L − x)/(T L) (textbook); 15 partials of it miss a few per cent, and the pull grows on the way."""
    found = sheet_of(ONE_HEAD)
    own, (head,) = found.strings[0], found.heads
    by_hand = head.static_pull_N * 0.4 * 0.6 * own.length_m / own.tension_N
    assert head.sag_m == pytest.approx(by_hand, rel=0.05)
    assert own.sag_m == pytest.approx(head.sag_m, rel=0.05)
    assert own.sag_m >= head.sag_m == pytest.approx(head.gap_m - head.rest_gap_m, rel=1e-9)
    assert head.static_pull_N == pytest.approx(3e-3 * np.exp(head.sag_m / 1.5e-3), rel=2e-3)


def test_force_and_voltage_in_a_makers_units():
    """14 mN/A at 1 mm: 14 µN per mA, and as many µV per mm/s (reciprocity), 1.3 % more at the gap at rest."""
    head = sheet().heads[0]
    nearer = np.exp(head.sag_m / 1.5e-3)
    assert head.force_N_per_mA == pytest.approx(14e-6 * nearer, rel=1e-3)
    assert head.emf_V_per_mm_s == head.force_N_per_mA


def test_a_coil_warms_with_the_room():
    """R(60 °C)/R(20 °C) = 1.1572 (C8: NBS Handbook 100, quoted); L/R = 2.6 mH/24 Ω."""
    warm = ("room.temperature=60 degC", "room.tuning_temperature=60 degC")
    cool, hot = (next(own for own in sheet(*change).heads if own.name == "drive") for change in ((), warm))
    assert (cool.resistance_ohm, hot.resistance_ohm) == (24.0, 24.0)
    assert hot.warm_ohm == pytest.approx(1.1572 * 24.0, rel=1e-6)
    assert (cool.time_constant_s, hot.time_constant_s) == pytest.approx((2.6e-3 / 24.0, 2.6e-3 / 24.0 / 1.1572), rel=1e-6)


def test_a_drive_circuit_has_its_corner():
    """R/(2πL) of 24.5 Ω, the output's half an ohm in it, and 2.6 mH."""
    (own,) = sheet().loops
    assert own.drive_corner_Hz == pytest.approx(24.5 / (2.0 * np.pi * 2.6e-3), rel=1e-9)
    assert (own.sense_ohm, own.sense_H) == pytest.approx((200.0, 20e-3), rel=1e-9)


def test_a_winding_is_told_and_an_impossible_one_refused():
    """420 turns of 8.4 mm mean diameter; 0.10 mm wire, 58.5 MS/m (IEC 60317, C2: 2.1765 Ω/m)."""
    head = static_sheet(compile_rig(*load("first_note"))).heads[0]
    length = 420 * np.pi * 8.4e-3
    assert (head.winding.turns, head.winding.wire_length_m) == (420, pytest.approx(length, rel=1e-9))
    assert head.resistance_ohm == pytest.approx(2.1765 * length, rel=1e-3)
    assert 0.0 < head.winding.copper_share < head.winding.filling < 1.0
    with pytest.raises(RigError, match="turns must be at most"):
        load("first_note", ("heads.sense.coil.turns=3000",))


def test_least_motion_that_a_loop_can_hear():
    """√(4kTR + e²)/(ω K φ): Nyquist 1928 (from memory) of 200 Ω at 293.15 K, 18 nV/√Hz; partial 5 has a node there."""
    found = sheet()
    (own,), head = found.hearing, found.heads[0]
    volts = np.sqrt(4.0 * BOLTZMANN * 293.15 * 200.0 + (18e-9) ** 2)
    np.testing.assert_allclose(own.noise_V_per_rtHz[:4], volts, rtol=1e-3)
    order = np.arange(1, 5)
    metres = volts / (2.0 * np.pi * own.frequency_Hz[:4] * 14e-3 * np.exp(head.sag_m / 1.5e-3) * np.abs(np.sin(0.4 * order * np.pi)))
    np.testing.assert_allclose(own.least_m_per_rtHz[:4], metres, rtol=0.01)
    assert own.least_m_per_rtHz[4] == np.inf


def test_a_louder_sense_coil_hears_less():
    quiet, loud = (sheet(f"heads.sense.resistance={ohm} ohm").hearing[0].noise_V_per_rtHz[0] for ohm in (200, 50_000))
    assert loud == pytest.approx(np.sqrt(quiet**2 + 4.0 * BOLTZMANN * 293.15 * 49_800), rel=0.01)  # 10 MΩ beside it take half a per cent


def test_a_rig_that_can_work_gets_no_words():
    assert sheet().words == ()
    assert sheet().grows_per_s < 0.0


@pytest.mark.parametrize(
    ("text", "changes", "said"),
    [
        (STRING + START, (), "There is no loop"),
        (STRING + START, (), "No head stands under string one"),
        (TEXT, ("heads.sense.law.pull=60 N", "heads.sense.gap=0.1 mm"), "pull string one onto the face of sense"),
        (TEXT, ("heads.sense.law.pull=50 mN", "heads.sense.law.decay_length=0.4 mm"), "once it is pressed onto a face it stays"),
        (TEXT, ("loops.main.amplifier.input_offset=50 mV",), "holds a stage of loop main at the end of its swing"),
        (TEXT, ('couplings=[{heads=["sense", "drive"], mutual="2 mH"}]',), "squeal or flip to a limit by themselves"),
    ],
)
def test_what_cannot_work_is_said_in_words(text, changes, said):
    assert any(said in words for words in sheet_of(text, *changes).words)


def test_a_string_on_a_face_has_no_shift_of_pitch():
    own = sheet_of(TEXT, "heads.sense.law.pull=60 N", "heads.sense.gap=0.1 mm").strings[0]
    assert own.equilibrium == "latched"
    assert np.isnan(own.magnet_cent).all()


def test_a_string_without_heads_keeps_its_pitch():
    np.testing.assert_array_equal(sheet_of(STRING + START).strings[0].magnet_cent, 0.0)


def test_what_no_magnet_pulls_is_refused_in_words():
    with pytest.raises(RigError, match="bronze is not magnetic, so the field has nothing to pull at"):
        compiled("strings.one.material=bronze")
