"""Published figures of strings as the sheet of a whole check tells them: S7 and D4."""

import numpy as np
import pytest

from published.test_strings import clamped_partial
from wirebloom.analysis.check import check
from wirebloom.compile import compile_rig
from wirebloom.rig import load

STEEL = ("strings.pier.length=0.648 m", "strings.pier.pitch=329.628 Hz", "strings.pier.diameter=0.3048 mm")


def string_of(*changes: str):
    return check(compile_rig(*load("first_note", [*STEEL, *changes]))).sheet.strings[0]


# S7. Clamped ends: f_n = n f₀ (1 + 2√B/π + 4B/π²) √(1 + B n²), Fletcher 1964 (from memory), and the exact eigenproblem. The sheet's ends
# are pinned: its partials, times what the published formula says clamped ends add, are the exact clamped ones.
@pytest.mark.parametrize("n", [1, 2, 3])
def test_partials_of_the_sheet_beside_clamped_ends(n):
    string = string_of()
    b, length, tension, density = string.inharmonicity, string.length_m, string.tension_N, string.linear_density_kg_m
    assert string.frequency_Hz[0, n - 1] == pytest.approx(n * string.harmonic_Hz * np.sqrt(1 + b * n**2), rel=1e-12)
    clamped = string.frequency_Hz[0, n - 1] * (1 + 2 * np.sqrt(b) / np.pi + 4 * b / np.pi**2)
    assert clamped == pytest.approx(clamped_partial(n, tension, length, density, b * tension * length**2 / np.pi**2), rel=3e-6)


# D4. A resistive end of conductance G takes σ = 2 f₀ Z_c G, Z_c = √(Tμ) (standard), as the share of "support" in the sheet's decay.
@pytest.mark.parametrize("conductance", [1e-3, 1e-4])
def test_decay_of_the_sheet_into_a_resistive_support(conductance):
    alone = string_of()
    impedance = np.sqrt(alone.tension_N * alone.linear_density_kg_m)
    quality = float(np.pi / (2 * impedance * conductance))
    string = string_of(f"strings.pier.damping.support_q={quality!r}")
    (support,) = (cause for cause in string.causes if cause.name == "support")
    wanted = 2 * string.harmonic_Hz * impedance * conductance * np.sqrt(1 + string.inharmonicity)
    assert support.per_s[0, 0] == pytest.approx(wanted, rel=1e-9)
    assert wanted == pytest.approx(0.161313 * conductance / 1e-3, rel=3e-3)  # of a wire of 7850 kg/m³; ours is of its own standard
