"""A string's partials. What is checked, and against what:

| what                               | must agree with                                              |
|------------------------------------|--------------------------------------------------------------|
| all partials                       | an independent eigenproblem (beam elements under tension)    |
| stated pitch, stated tension       | each other                                                   |
| the gate's own statics             | tension, weight and pitch of the modes                       |
| wound string                       | the weight of its wires, turn by turn                        |
| warmth                             | −36 cents for 10 K (derived)                                 |
| length, diameter, tension          | scaling laws                                                 |
| measured decay times               | themselves at the measured partials, the model elsewhere     |
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import eigh

from wirebloom.errors import RigError
from wirebloom.physics.damping import decay_time, with_measured
from wirebloom.physics.levels import cents
from wirebloom.physics.string import StringModes, partial_count, string_modes
from wirebloom.rig import statics
from wirebloom.rig.materials import MATERIALS
from wirebloom.rig.models import Room
from wirebloom.rig.section import string_section, wound_density
from wirebloom.rig.strings import Damping, DecayTime, Sideways, String

MUSIC = MATERIALS["music wire"]
WOUND = MATERIALS["wound steel"]


def string(**values) -> String:
    return String(**{"name": "a", "material": "music wire", "diameter": 0.38e-3, "length": 0.65, "pitch": 196.0} | values)


def modes(**values) -> StringModes:
    made = string(**values)
    return string_modes(made, MATERIALS[made.material], Room())


def test_partials_by_beam_elements():
    found = modes(diameter=1.0e-3, length=0.3)
    elements = 60
    h = found.length / elements
    bend = found.stiffness / h**3 * _symmetrical(h, 12, 6, -12, 6, 4, -6, 2, 12, -6, 4)
    pull = found.tension / (30 * h) * _symmetrical(h, 36, 3, -36, 3, 4, -3, -1, 36, -3, 4)
    weigh = found.density * h / 420 * _symmetrical(h, 156, 22, 54, -13, 4, 13, -3, 156, -22, 4)
    size = 2 * elements + 2
    stiff, mass = np.zeros((size, size)), np.zeros((size, size))
    for e in range(elements):
        at = slice(2 * e, 2 * e + 4)
        stiff[at, at] += bend + pull
        mass[at, at] += weigh
    free = np.delete(np.arange(size), [0, size - 2])  # both ends pinned
    squares = eigh(stiff[np.ix_(free, free)], mass[np.ix_(free, free)], eigvals_only=True)[:8]
    assert found.frequency[0, :8] == pytest.approx(np.sqrt(squares) / (2 * np.pi), rel=1e-5)


def _symmetrical(h, *upper):
    """Element matrix from its upper triangle; rows are deflection and slope at both ends, slopes scaled by h."""
    matrix = np.zeros((4, 4))
    matrix[np.triu_indices(4)] = upper
    scale = np.array([1, h, 1, h])
    return (matrix + np.triu(matrix, 1).T) * np.outer(scale, scale)


def test_stated_pitch_is_met_with_stiffness():
    assert modes().frequency[0, 0] == pytest.approx(196.0, rel=1e-12)


def test_stated_tension_gives_back_the_pitch():
    by_pitch = modes()
    by_tension = modes(pitch=None, tension=by_pitch.tension)
    assert by_tension.frequency == pytest.approx(by_pitch.frequency, rel=1e-12)


@pytest.mark.parametrize("core", [None, 0.4e-3])
def test_statics_of_the_gate_agree(core):
    made = string(diameter=0.9e-3, core_diameter=core, material="wound steel" if core else "music wire", pitch=98.0)
    found = modes(**made.model_dump(include={"diameter", "core_diameter", "material", "pitch"}))
    assert statics.linear_density(made) == pytest.approx(found.density, rel=1e-12)
    assert statics.tension(made) == pytest.approx(found.tension, rel=1e-12)
    assert statics.bending_stiffness(made) == pytest.approx(found.stiffness, rel=1e-12)


def test_partials_are_kept_up_to_the_stated_frequency():
    found = modes(partials_to=5000.0)
    assert found.frequency[0, -1] <= 5000.0 < modes(partials_to=10_000.0).frequency[0, found.wavenumber.size]
    assert found.frequency.shape == found.decay.shape == (2, found.wavenumber.size)
    assert modes(partials_to=200.0, pitch=1000.0).wavenumber.size == 1


@pytest.mark.parametrize("n", [1, 7, 51])
@pytest.mark.parametrize("stiffness", [0.0, 1e-3])
def test_a_partial_exactly_at_the_limit_counts(n, stiffness):
    found = modes(partials_to=20_000.0)
    highest = n * 100.0 * np.sqrt(1 + stiffness * np.pi**2 / found.tension * n**2)
    density = found.tension / 200.0**2  # f₀ = 100 Hz on 1 m
    assert partial_count(highest, found.tension, 1.0, density, stiffness) == n
    assert partial_count(highest * (1 - 1e-6), found.tension, 1.0, density, stiffness) == max(1, n - 1)


def test_sideways_polarisation_is_detuned_and_damped_by_its_own_values():
    found = modes(sideways=Sideways(detune=-3.0, support_q=500.0))
    assert cents(found.frequency[1] / found.frequency[0]) == pytest.approx(-3.0)
    extra = np.pi * found.frequency[1] / 500.0
    lossless = modes(damping=Damping(support_q=None), sideways=Sideways(detune=-3.0, support_q=None))
    assert found.decay[1] - lossless.decay[1] == pytest.approx(extra, rel=1e-9)


# One layer of round wire laid turn against turn: π²w²/4 of metal times mean circumference over a rise of w (derived).
def test_weight_of_a_wrap_turn_by_turn():
    core, wrap = 0.4e-3, 0.25e-3
    turns_per_metre = 1 / wrap
    wire = turns_per_metre * np.pi * (core + wrap) * np.pi * wrap**2 / 4
    plain = np.pi * core**2 / 4
    expected = 7850.0 * (plain + wire)
    section = string_section(string(material="wound steel", diameter=core + 2 * wrap, core_diameter=core), WOUND)
    assert section.density == pytest.approx(expected, rel=1e-12)
    assert wound_density(core, core, 7850.0, 5000.0) == pytest.approx(7850.0 * plain, rel=1e-12)


def test_a_wrap_neither_bends_nor_stretches():
    wound = string_section(string(material="wound steel", diameter=0.9e-3, core_diameter=0.4e-3), WOUND)
    bare = string_section(string(diameter=0.4e-3), MUSIC)
    assert (wound.stiffness, wound.axial, wound.area) == pytest.approx((bare.stiffness, bare.axial, bare.area))


# 10 K in a stiff frame: T falls by E A α ΔT, in cents 600 log₂(1 − E α ΔT/stress) (derived). With E 206 GPa and α 12e-6/K that is −36 cents
# at a stress of 600 MPa, and the more the slacker the string.
@pytest.mark.parametrize(("stress", "shift"), [(600e6, -36.4), (300e6, -74.4), (1200e6, -18.0)])
def test_warm_room_flattens_the_string(stress, shift):
    made = string(pitch=None, tension=stress * np.pi * 0.38e-3**2 / 4)
    cold, warm = (string_modes(made, MUSIC, Room(temperature=t)).frequency[0, 0] for t in (293.15, 303.15))
    assert cents(warm / cold) == pytest.approx(600 * np.log2(1 - 206e9 * 12e-6 * 10 / stress), rel=2e-3)
    assert cents(warm / cold) == pytest.approx(shift, abs=0.2)


def test_string_that_would_hang_loose_is_refused():
    with pytest.raises(RigError, match=r"room\.temperature must be low enough"):
        string_modes(string(pitch=10.0), MUSIC, Room(temperature=323.15))
    with pytest.raises(RigError, match=r"strings\.a\.pitch must be high enough"):
        modes(diameter=3e-3, length=0.05, pitch=100.0)


# f ∝ √T/(L d) without stiffness; B ∝ d⁴/(T L²).
def test_scaling():
    soft = replace(MUSIC, youngs_modulus=1.0)
    base = string_modes(string(pitch=None, tension=50.0), soft, Room())
    longer = string_modes(string(pitch=None, tension=50.0, length=1.3), soft, Room())
    tighter = string_modes(string(pitch=None, tension=200.0, diameter=0.76e-3), soft, Room())
    assert base.frequency[0, 0] / longer.frequency[0, 0] == pytest.approx(2.0, rel=1e-9)
    assert tighter.frequency[0, 0] == pytest.approx(base.frequency[0, 0], rel=1e-9)
    assert tighter.inharmonicity / base.inharmonicity == pytest.approx(4.0, rel=1e-9)
    assert base.inharmonicity / longer.inharmonicity == pytest.approx(4.0, rel=1e-9)


def test_bridge_force_of_a_partial_is_the_slope_times_tension_and_the_bending():
    found = modes()
    k = found.wavenumber
    x = np.array([0.0, 1e-6])
    slope = np.diff(np.sin(k[:, None] * x), axis=1)[:, 0] / 1e-6
    third = -(k**3)  # d³/dx³ of sin kx at the end
    assert found.bridge == pytest.approx(found.tension * slope - found.stiffness * third, rel=1e-6)


def test_measured_decay_times_replace_the_model():
    plain = modes()
    told = modes(damping=Damping(t60=(DecayTime(2, 9.0), DecayTime(4, 5.0), DecayTime(10, 3.0))))
    assert decay_time(told.decay[0, [1, 3, 9]]) == pytest.approx([9.0, 5.0, 3.0], rel=1e-12)
    assert told.decay[:, [0, 10, 20]] == pytest.approx(plain.decay[:, [0, 10, 20]], rel=1e-12)
    assert told.decay[1] / told.decay[0] == pytest.approx(plain.decay[1] / plain.decay[0], rel=1e-12)
    f = plain.frequency[0]
    share = np.log(f[2] / f[1]) / np.log(f[3] / f[1])
    assert decay_time(told.decay[0, 2]) == pytest.approx(9.0 * (5.0 / 9.0) ** share, rel=1e-12)


def test_measured_partials_beyond_the_kept_ones_do_not_matter():
    plain = modes(partials_to=1000.0)
    assert with_measured(plain.decay, plain.frequency, [(400, 1.0)]) is plain.decay


def test_measured_decay_with_every_loss_switched_off():
    silent = Damping(air=False, viscoelastic=False, thermoelastic=False, support_q=None, t60=(DecayTime(1, 10.0), DecayTime(3, 10.0)))
    told = modes(damping=silent, sideways=Sideways(support_q=None))
    assert decay_time(told.decay[:, :3]) == pytest.approx(10.0)
    assert np.all(told.decay[:, 3:] == 0.0)
    assert np.isinf(decay_time(told.decay[0, 5]))
