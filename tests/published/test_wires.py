"""Copper wire against published tables (C1, C2, C3, C8), and what it says of a winding."""

import math

import pytest

from wirebloom.rig.wires import ALPHA20, DENSITY, IACS_RESISTIVITY, awg_diameter, resistance_at, turns_that_fit, wire

FOOT = 0.3048

# Wire table at hyperphysics "Tables/wirega" (seen): bare diameter by the gauge's definition, Ω per 1000 ft at 20 °C.
AWG = [
    (30, 0.25464, 103.2),
    (32, 0.20194, 164.1),
    (34, 0.16014, 260.9),
    (36, 0.12700, 414.8),
    (38, 0.10072, 659.6),
    (40, 0.07987, 1049.0),
]


@pytest.mark.parametrize(("gauge", "millimetres", "ohm_per_kft"), AWG)
def test_c1_american_gauge(gauge, millimetres, ohm_per_kft):
    """Catches a gauge number off by one (12 % in d), a radius for a diameter, feet for metres."""
    copper = wire(f"AWG {gauge}")
    assert copper.diameter * 1e3 == pytest.approx(millimetres, rel=2e-3)
    assert copper.resistance * 1e3 * FOOT == pytest.approx(ohm_per_kft, rel=5e-4)


@pytest.mark.parametrize(("gauge", "millimetres", "ohm_per_metre"), [(42, 0.06334, 5.4715), (44, 0.05023, 8.7001)])
def test_c1_fine_gauges(gauge, millimetres, ohm_per_metre):
    """By the same formula, recomputed (derived)."""
    copper = wire(f"awg{gauge}")
    assert copper.diameter * 1e3 == pytest.approx(millimetres, rel=2e-3)
    assert copper.resistance == pytest.approx(ohm_per_metre, rel=5e-4)


def test_c1_definition():
    """AWG 36 is 0.005 in and AWG 0000 (−3) is 0.46 in, 39 equal ratios apart (the definition, from memory)."""
    assert awg_diameter(36) == pytest.approx(0.005 * 0.0254, rel=1e-12)
    assert awg_diameter(-3) == pytest.approx(0.46 * 0.0254, rel=1e-12)


# IEC 60317-0-1, nominal resistance at 20 °C (table values from memory).
@pytest.mark.parametrize(("text", "ohm_per_metre"), [("0.050 mm", 8.706), ("0.063 mm", 5.484), ("0.071 mm", 4.318), ("0.100 mm", 2.176)])
def test_c2_metric_resistance(text, ohm_per_metre):
    assert wire(text).resistance == pytest.approx(ohm_per_metre, rel=3e-4)


def test_c2_overall_diameter():
    """IEC 60317-0-1 grade 1: 0.100 mm copper is 0.108 to 0.117 mm over the enamel (seen at enameled-wires.com)."""
    copper = wire("0.10 mm")
    assert copper.least_overall * 1e3 == pytest.approx(0.108, abs=1e-6)
    assert copper.most_overall * 1e3 == pytest.approx(0.117, abs=1e-6)


def test_c3_annealed_standard():
    """0.15328 Ω g/m² over 8.89 g/cm³ (NBS Handbook 100, 1966, quoted figures seen) is 1/58 Ω mm²/m."""
    assert pytest.approx(IACS_RESISTIVITY, rel=6e-5) == 0.15328 / (DENSITY * 1e3)


def test_c8_temperature():
    """α₂₀ = 0.00393 /K (NBS Circular 31, 1914): 1.1572 at 60 °C, and zero at −234.45 °C."""
    assert ALPHA20 == 0.00393
    assert resistance_at(1.0, 333.15) == pytest.approx(1.1572, rel=1e-6)
    assert resistance_at(1.0, 273.15 - 234.45) == pytest.approx(0.0, abs=2e-5)


def test_enamel_between_sizes_and_beyond():
    assert wire("0.08 mm").overall_diameter < wire("AWG 39").overall_diameter < wire("0.1 mm").overall_diameter
    assert wire("0.018 mm").most_overall * 1e3 == pytest.approx(0.022)
    assert wire("0.5 mm").most_overall * 1e3 == pytest.approx(0.544)


@pytest.mark.parametrize(
    ("overall", "width", "height", "turns"),
    [
        (1.0, 0.9, 10.0, 0),
        (1.0, 1.0, 10.0, 10),  # one layer
        (1.0, 2.0, 10.0, 20),  # two straight layers beat ten and nine
        (1.0, 2.8, 10.0, 29),  # three layers in the grooves: 1 + 2 · 0.866 = 2.73
        (1.0, 2.8, 10.5, 30),  # and the shifted one has room for ten
    ],
)
def test_turns_that_fit(overall, width, height, turns):
    """By counting circles on paper (derived)."""
    assert turns_that_fit(overall, width, height) == turns


def test_closest_packing_in_a_large_window():
    """Density tends to π/√12 from below (Thue 1910, from memory)."""
    filled = turns_that_fit(1.0, 400.0, 400.0) * math.pi / 4.0 / 400.0**2
    assert math.pi / math.sqrt(12.0) * 0.99 < filled < math.pi / math.sqrt(12.0)
