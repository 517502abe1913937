"""The sign table against signs and formulas by hand, and against exact growth rates.

Which wrong sign, factor or unit it would catch: a polarity or a winding counted twice or not at all, a phase by the conjugate, c/m for
c/2m, a head's share taken of one head where there are two, sideways mistaken for towards the heads.
"""

import numpy as np
import pytest

from consistency.scenario import TEXT, compiled
from wirebloom.analysis.held import held, reach
from wirebloom.analysis.linear import linearise
from wirebloom.analysis.response import motions
from wirebloom.analysis.signs import signs
from wirebloom.compile import compile_rig
from wirebloom.rig import load, loads

LITTLE = "loops.main.amplifier.gain=20"
EXTRA = TEXT[TEXT.index("[[heads]]") : TEXT.index("[[loops]]")].split("[[heads]]")[1]
BOTH = 'sense = ["sense", "extra"]'


def only(*overrides):
    (found,) = signs(compiled(*overrides)).loops
    return found


def with_extra(position="0.6 L", factor="14 mN/A", turned=False):
    """The bench with a second sense head in series."""
    head = EXTRA.replace('"sense"', '"extra"').replace("0.4 L", position).replace("14 mN/A", factor)
    head = head + "reversed = true\n" if turned else head
    text = TEXT.replace("[[loops]]", "[[heads]]" + head + "[[loops]]").replace('sense = ["sense"]', BOTH)
    return signs(compile_rig(*loads(text, file="bench.toml", overrides=(LITTLE,))))


def growths(rig):
    """Of partials 1 to 8 towards the heads, exactly, 1/s."""
    found = motions(linearise(rig))
    return np.array([next(m.growth_per_s for m in found if (m.polarisation, m.partial) == (0, n)) for n in range(8)])


def test_signs_of_the_places_by_hand():
    """sin(0.4 nπ)·sin(0.286 nπ): normal polarity feeds 1, 2 and 4, reversed 3, 6, 8 and 9; nodes at 5, 10 and nearly at 7 (derived)."""
    for polarity in ("normal", "reversed"):
        own = only(LITTLE, f"loops.main.amplifier.polarity={polarity}")
        assert (own.polarity, own.normal[:3], own.reversed[:4], own.neither[:3]) == (polarity, (1, 2, 4), (3, 6, 8, 9), (5, 7, 10))
        order = np.arange(1, 5)
        by_hand = np.sin(0.4 * order * np.pi) * np.sin(0.286 * order * np.pi)
        np.testing.assert_allclose(own.share[0, :4], by_hand, rtol=0.005)  # an aperture of 6 mm takes a little
        np.testing.assert_allclose(own.part("sense")[:4], np.sin(0.4 * order * np.pi), rtol=0.003)


def test_polarity_turns_what_is_fed_but_not_the_places():
    normal, turned = (only(LITTLE, f"loops.main.amplifier.polarity={polarity}") for polarity in ("normal", "reversed"))
    np.testing.assert_array_equal(normal.share, turned.share)
    assert (normal.fed[:3], normal.damped[:2]) == ((1, 2, 4), (3, 6))
    assert (turned.fed[:2], turned.damped[:3]) == ((3, 6), (1, 2, 4))


@pytest.mark.parametrize("head", ["sense", "drive"])
def test_a_winding_the_other_way_round_turns_every_sign(head):
    own, turned = only(LITTLE), only(LITTLE, f"heads.{head}.reversed=true")
    np.testing.assert_allclose(turned.share, -own.share, rtol=1e-12, atol=1e-15)
    assert turned.reversed == own.normal
    assert next(one.factor_N_per_A for one in turned.heads if one.head == head) < 0.0


def test_heads_in_series_add_with_their_force_factors():
    """Σ K φ over Σ K, by hand with 14 and 7 mN/A, both at 1 mm (derived); the strings' sag changes K by a per cent."""
    (own,) = with_extra("0.2 L", "7 mN/A").loops
    order = np.arange(1, 5)
    by_hand = (14.0 * np.sin(0.4 * order * np.pi) + 7.0 * np.sin(0.2 * order * np.pi)) / 21.0
    np.testing.assert_allclose(own.part("sense")[:4], by_hand, atol=2e-3)
    assert [head.role for head in own.heads] == ["sense", "drive", "sense"]


def test_heads_that_undo_each_other_are_told():
    """At 0.4 L and 0.6 L odd partials are alike, even ones opposite: turned round, one head undoes the other for the odd ones."""
    found = with_extra(turned=True)
    (own,) = found.loops
    assert set(range(1, 12, 2)) <= set(own.neither)
    assert any("Heads sense and extra undo each other for partials 1, 3, 7, 9 and 11" in words for words in found.words)
    assert any("Heads sense and extra stand at a node of partials 5 and 10" in words for words in found.words)


def test_push_is_half_of_what_polarity_makes_of_exact_growth():
    """Eigenvalues of the whole rig at either polarity: half their difference is what the loop gives."""
    push = only(LITTLE).push_per_s[0, :8]
    normal, turned = (growths(compiled(LITTLE, f"loops.main.amplifier.polarity={polarity}")) for polarity in ("normal", "reversed"))
    np.testing.assert_allclose(push, (normal - turned) / 2.0, rtol=0.006, atol=2e-4)  # the magnets mix shapes a little


def test_push_counts_the_eddy_currents_of_solid_cores():
    """The same over round heads with cores of 5 mm, which take a tenth of the push at 1.5 kHz."""
    small = (LITTLE, "strings.pier.partials_to=3 kHz")
    normal, turned = (compile_rig(*load("first_note", (*small, f"loops.main.amplifier.polarity={one}"))) for one in ("normal", "reversed"))
    assert normal.model.cores.circuit.size == 2
    push = signs(normal).loops[0].push_per_s[0, :8]
    np.testing.assert_allclose(push, (growths(normal) - growths(turned)) / 2.0, rtol=0.006, atol=2e-4)


def test_push_by_hand():
    """G K_s φ_s K_d φ_d Re 1/((1 + if/f_b)(R + iωL))/(2m), m = μL/2, f_b = 3 MHz/20 (derived, one partial on paper)."""
    rig = compiled(LITTLE)
    (own,), (sense, drive), (string,), (loop,) = signs(rig).loops, rig.sheet.poles, rig.sheet.strings, rig.sheet.loops
    omega = 2.0 * np.pi * string.frequency_Hz[0]
    felt = sense.force_factor_N_per_A * sense.weight * drive.force_factor_N_per_A * drive.weight
    through = 20.0 / (1.0 + 1j * string.frequency_Hz[0] / 150e3) / (loop.drive_resistance_ohm + 1j * omega * drive.inductance_H)
    by_hand = felt * through.real / (2.0 * string.mass_kg)
    np.testing.assert_allclose(own.push_per_s[0, :8], by_hand[:8], rtol=0.003, atol=1e-6)
    np.testing.assert_allclose(own.push_per_s[1], 0.0, atol=1e-20)  # heads under the string's axis do not push it aside


@pytest.mark.parametrize(("polarity", "wired"), [("normal", 0.0), ("reversed", 180.0)])
def test_turn_of_a_drive_coil_with_and_without_a_capacitor(polarity, wired):
    """Lead atan((1/(ωC) − ωL)/R) of a series circuit (textbook, as in check A6), 24.5 Ω, 2.6 mH, 10 µF; lag atan(ωL/R) without."""
    change = (LITTLE, f"loops.main.amplifier.polarity={polarity}")
    plain = only(*change)
    led = only(*change, 'loops.main.phase={kind="series capacitor", capacitor="10 uF"}')
    omega = 2.0 * np.pi * plain.frequency_Hz[:6]
    for own, per_farad in ((plain, 0.0), (led, 1e5)):
        by_hand = np.degrees(np.arctan((per_farad / omega - omega * 2.6e-3) / 24.5))
        away = (own.turn_deg[:6] - wired - by_hand + 180.0) % 360.0 - 180.0
        np.testing.assert_allclose(away, 0.0, atol=0.6)  # the sense coil's load and 150 kHz of bandwidth


def test_nearly_endless_gain_turns_small_motions_over():
    """Gain 1e6 over 3 MHz lags 89° from 3 Hz on (A7's bandwidth), the drive coil adds 7° at 196 Hz: more than a quarter period."""
    found = signs(compiled("loops.main.amplifier.gain=1e6"))
    (own,) = found.loops
    lags = np.arctan(195.9977 / 3.0) + np.arctan(2.0 * np.pi * 195.9977 * 2.6e-3 / 24.5)
    assert own.turn_deg[0] == pytest.approx(-np.degrees(lags), abs=0.3)
    assert (own.normal[:3], own.fed[:2], own.damped[:3]) == ((1, 2, 4), (3, 6), (1, 2, 4))
    assert any("turn partials 1, 2, 3, 4, 6" in words for words in found.words)
    assert not any("quarter" in words for words in signs(compiled(LITTLE, "strings.one.partials_to=1500 Hz")).words)


def test_the_headline_comes_first_and_follows_the_wiring():
    one, other = "partials 1, 2 and 4", "partials 3, 6, 8, 9, 11 and 12"
    turned = "loops.main.amplifier.polarity=reversed"
    for changes, fed, left in (((), one, other), ((turned,), other, one), ((turned, "heads.sense.reversed=true"), one, other)):
        words = signs(compiled(LITTLE, *changes)).words[0]
        assert f"as wired, its places feed {fed}; with the polarity turned" in words
        assert words.endswith(f"they would feed {left}.")


def test_a_head_at_a_node_is_told():
    words = signs(compiled(LITTLE)).words
    assert any(one.startswith("Head sense stands at a node of partials 5 and 10 of one") for one in words)
    assert any(one.startswith("Head drive stands at a node of partial 7 of one") for one in words)


def test_a_side_without_heads_or_without_field_is_told():
    deaf = signs(compiled("heads.sense.law.factor=0 N/A"))
    assert deaf.words == ("Loop main does not hear string one: no magnet's field reaches it at sense.",)
    assert (deaf.loops[0].normal, deaf.loops[0].reversed) == ((), ())
    second = TEXT[TEXT.index("[[strings]]") : TEXT.index("[[heads]]")].replace('"one"', '"two"')
    text = TEXT.replace("[[heads]]", second + "[[heads]]", 1)
    drive = text.index('name = "drive"')
    apart = compile_rig(*loads(text[:drive] + text[drive:].replace('string = "one"', 'string = "two"', 1), file="bench.toml"))
    assert signs(apart).words == (
        "Loop main does not drive string one: it has no drive head under it.",
        "Loop main does not hear string two: it has no sense head under it.",
    )


def test_reach_sideways_is_the_slope_of_the_flux_off_the_axis():
    """Two strings beside one head's axis: ∂Λ/∂y times the weight, by differences of the head's table."""
    rig = compile_rig(*load("two_strings_one_loop"))
    found, pole, own = held(rig), rig.poles[0], rig.sheet.poles[0]
    side, near = own.offset_m + float(pole.weight @ rig.sheet.strings[0].rest_m[1]), 2e-6
    read = [pole.table._slopes(own.rest_gap_m, side + d, 0, 0)[1] for d in (near, -near)]
    by_hand = (read[0] - read[1]) / (2.0 * near) * pole.weight
    assert abs(by_hand[0]) > 1e-3 * abs(own.force_factor_N_per_A)
    np.testing.assert_allclose(reach(rig, found, 0)[0, 1, :8], by_hand[:8], rtol=1e-3, atol=1e-9)
