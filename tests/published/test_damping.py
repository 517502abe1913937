"""Losses of a string against a measured string and against exact drag."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import kv

from wirebloom.physics.air import Air, air_at
from wirebloom.physics.damping import Strung, air_resistance, decay_rate, decay_time, quality_terms, viscoelastic_loss
from wirebloom.physics.string import inharmonicity, partial_frequencies, string_modes
from wirebloom.rig.materials import MATERIALS
from wirebloom.rig.models import Room
from wirebloom.rig.section import Section
from wirebloom.rig.strings import Damping, Sideways, String

# The isolated steel string of Issanchou et al. 2017, JSV 393:229-251 (losses by its equation 12, after Valette & Cuesta 1993). SEEN.
LENGTH, DIAMETER, DENSITY, TENSION, B = 1.002, 0.43e-3, 1.17e-3, 180.5, 1.78e-5
STIFFNESS = B * TENSION * LENGTH**2 / np.pi**2
AIR = Air(density=1.2, viscosity=1.8e-5)
STEEL = replace(MATERIALS["music wire"], viscoelastic_loss=4.5e-3, thermoelastic_loss=2.03e-4)
STRUNG = Strung(Section(DIAMETER, DENSITY, STIFFNESS, 0.0, 0.0), TENSION, STEEL, AIR)


def frequency(*numbers: int):
    return partial_frequencies(np.array(numbers), TENSION, LENGTH, DENSITY, STIFFNESS)


def losses(*numbers: int):
    return quality_terms(frequency(*numbers), STRUNG, Damping(), None)


# D1. SEEN: the data set's own values (beyond the measured partials it holds this model).
@pytest.mark.parametrize(("n", "hertz", "sigma"), [(37, 7339.6901, 8.1341305), (500, 228779.03, 78590.053)])
def test_decay_of_the_published_model(n, hertz, sigma):
    assert frequency(n)[0] == pytest.approx(hertz, rel=1e-8)
    assert decay_rate(frequency(n), losses(n))[0] == pytest.approx(sigma, rel=1e-8)


# D2. The same model's quality factors at the measured pitch of partial 1 (195.7372 Hz, SEEN).
def test_quality_factors_of_the_first_partial():
    heard = np.array([195.7372])
    terms = quality_terms(heard, STRUNG, Damping(), None)
    assert 1 / terms["air"][0] == pytest.approx(3389.9, rel=1e-4)
    assert 1 / terms["viscoelastic"][0] == pytest.approx(1.25e7, rel=3e-3)
    assert 1 / terms["thermoelastic"][0] == pytest.approx(4926, rel=1e-4)
    assert 1 / sum(terms.values())[0] == pytest.approx(2008, rel=3e-4)
    assert decay_time(decay_rate(heard, terms))[0] == pytest.approx(22.55, rel=5e-4)


# D1e, D2. SEEN: measured T60 of that string, s. Partial 2 (9.30 s) is an outlier of the measurement.
def test_decay_times_of_the_measured_string():
    measured = {1: 20.68, 3: 9.87, 4: 8.05, 5: 7.41, 10: 3.42, 20: 2.20, 36: 0.90}
    ratio = decay_time(decay_rate(frequency(*measured), losses(*measured))) / np.array(list(measured.values()))
    print(f"model/measured T60: {np.round(ratio, 3)}")
    assert np.abs(ratio - 1).max() < 0.25
    assert abs(np.median(ratio) - 1) < 0.05


# D3. Drag of air: SEEN/derived values of the approximation, and the exact two-dimensional Stokes flow (Stokes 1851, from memory; form with
# Bessel functions derived). A decay time quoted for this drag in a textbook is an energy's: half of the amplitude's. R is what is tested.
@pytest.mark.parametrize(
    ("diameter", "hertz", "approximate", "exact", "within"),
    [(0.3048e-3, 329.63, 3.9952e-4, 3.8998e-4, 3e-2), (0.43e-3, 195.7372, 4.2447e-4, 4.1557e-4, 3e-2), (2e-3, 2000.0, None, None, 1e-2)],
)
def test_drag_of_air(diameter, hertz, approximate, exact, within):
    found = air_resistance(np.array(hertz), diameter, AIR)
    stokes = _stokes(diameter / 2, hertz)
    assert found == pytest.approx(stokes, rel=within)
    if approximate is not None:
        assert found == pytest.approx(approximate, rel=5e-5)
        assert stokes == pytest.approx(exact, rel=5e-5)


def _stokes(radius, hertz):
    w = 2j * np.pi * hertz
    z = radius * np.sqrt(w / (AIR.viscosity / AIR.density))
    return (w * AIR.density * np.pi * radius**2 * (1 + 4 * kv(1, z) / (z * kv(0, z)))).real


# D3. Air alone: T60 19.8 s and Q 2969 for 0.3048 mm of steel (7850 kg/m³) at 329.63 Hz (derived from the resistance).
def test_decay_by_air_alone():
    string = String(name="a", material="music wire", diameter=0.3048e-3, length=0.648, pitch=329.63)
    only_air = Damping(viscoelastic=False, thermoelastic=False, support_q=None)
    strung = Strung(Section(0.3048e-3, 7850 * np.pi * 0.3048e-3**2 / 4, 0, 0, 0), 104.5, STEEL, AIR)
    sigma = decay_rate(np.array([329.63]), quality_terms(np.array([329.63]), strung, only_air, None))
    assert decay_time(sigma)[0] == pytest.approx(19.8, rel=3e-3)
    assert np.pi * 329.63 / sigma[0] == pytest.approx(2969, rel=3e-4)
    modes = string_modes(string.model_copy(update={"damping": only_air}), MATERIALS["music wire"], Room())
    assert decay_time(modes.decay[0, 0]) == pytest.approx(19.8, rel=1e-2)  # air of 20 °C instead of round numbers


# Air at 20 °C and standard pressure: 1.204 kg/m³, 18.1 µPa s (handbook values, from memory).
def test_air_of_a_room():
    assert air_at(293.15) == pytest.approx((1.204, 1.813e-5), rel=2e-3)


# D4. A resistive end of conductance G takes σ = 2 f₀ Z_c G, Z_c = √(Tμ) (standard; exact: −f₀ ln((1 − Z_c G)/(1 + Z_c G)), a wave's loss
# per round trip). As a quality factor it is πn/(2 Z_c G): a slip between σ, ω and Q would show as a factor 2 or π.
@pytest.mark.parametrize(("conductance", "sigma", "t60"), [(1e-3, 0.161313, 42.8), (1e-4, 0.0161313, 428.0)])
def test_decay_into_a_resistive_support(conductance, sigma, t60):
    impedance = np.sqrt(104.53 * 5.7278e-4)
    quality = np.pi / (2 * impedance * conductance)
    supported = Damping(air=False, viscoelastic=False, thermoelastic=False, support_q=quality)
    string = String(name="a", material="music wire", diameter=0.3048e-3, length=0.648, pitch=329.628, damping=supported)
    modes = string_modes(string.model_copy(update={"sideways": Sideways(support_q=quality / 2)}), MATERIALS["music wire"], Room())
    exact = -329.628 * np.log((1 - impedance * conductance) / (1 + impedance * conductance))
    assert modes.decay[0, 0] == pytest.approx(sigma, rel=3e-6)
    assert modes.decay[0, 0] == pytest.approx(exact, rel=1e-6)
    assert decay_time(modes.decay[0, 0]) == pytest.approx(t60, rel=1e-3)
    assert modes.decay[1, 0] == pytest.approx(2 * sigma * 2 ** (0.5 / 1200), rel=3e-6)


# D5. Bending loss B n² η to first order in B n². SEEN: Woodhouse, Euphonics, sections 5.4.4 and 7.2.2.
@pytest.mark.parametrize("n", [1, 5])
def test_bending_loss_grows_with_the_square_of_the_partial(n):
    found = viscoelastic_loss(frequency(n), DENSITY, STIFFNESS, TENSION, 4.5e-3)[0]
    assert found == pytest.approx(inharmonicity(TENSION, LENGTH, STIFFNESS) * n**2 * 4.5e-3 * (1 + B * n**2), rel=1e-12)
