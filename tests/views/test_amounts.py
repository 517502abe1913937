"""Numbers as written for people. Prefixes: BIPM, SI Brochure, 9th edition, table 7 (from memory)."""

import pytest

from wirebloom.views.amounts import amount, figures


@pytest.mark.parametrize(
    ("value", "text"),
    [(1.0, "1"), (0.999, "0.999"), (0.9999, "1"), (98.04, "98"), (1234.5, "1230"), (-0.00416, "-0.00416"), (0.0, "0")],
)
def test_three_figures(value, text):
    assert figures(value) == text


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (7.36e-3, "V", "7.36 mV"), (0.9996, "A", "1 A"), (999.6e-3, "W", "1 W"), (2.2e3, "Ω", "2.2 kΩ"), (1.9e9, "Pa", "1.9 GPa"),
        (-3.5, "V", "-3.5 V"), (1e-12, "F", "1 pF"), (4e-15, "J", "0.004 pJ"), (0.0, "N", "0 N"),
    ],
)  # fmt: skip
def test_the_prefix_that_fits(value, unit, text):
    assert amount(value, unit) == text
