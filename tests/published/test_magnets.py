"""Permanent magnets against published grades, load lines and measurements. "Seen" = read in the source named; "memory" = recalled.

Field against the magnetisation h = -H, load line B/(mu0 h), mid-plane values as a search coil around the middle reads them.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.optimize import brentq

from heads import MU0, solved
from wirebloom.physics.demagnetising import demagnetising_curve
from wirebloom.physics.geometry import Block
from wirebloom.rig import Magnet
from wirebloom.rig.magnets import GRADES, Knee, middle

ALNICO = [name for name in GRADES if name.startswith("alnico")]
AXIS = np.zeros(1)


def magnet(ratio, grade, diameter=5e-3, **changes):
    """A rod of so many diameters, its top in the face plane."""
    return Magnet(shape="rod", diameter=diameter, thickness=ratio * diameter, top=0.0, **{"grade": grade, **changes})


def rod(ratio, grade, diameter=5e-3):
    """The same as what the field equations see."""
    data = magnet(ratio, grade, diameter).data
    knee = demagnetising_curve(data.curve, data.recoil_permeability)
    return Block(0.0, diameter / 2, -ratio * diameter, 0.0, data.recoil_permeability, data.remanence, part="magnet", knee=knee)


@cache
def middle_of(ratio, grade):
    """B (T) and h (A/m) over the mid-plane of a rod alone."""
    block = rod(ratio, grade)
    solution = solved(block)[0]
    height = solution.basis.global_coordinates()[1]
    there = (solution.owner == 0)[:, None] & (np.abs(height - block.bottom / 2) < -0.03 * block.bottom)
    weight = (solution.radius * solution.basis.dx)[there]
    flux = np.average(solution.flux_density(1)[1][there], weights=weight)
    left = np.average((solution.remanence[:, None] * np.ones_like(height))[there], weights=weight)
    return flux, (left - flux) / (MU0 * block.permeability)


@pytest.mark.parametrize(
    ("grade", "remanence", "coercivity"),
    [
        ("alnico 2", (0.52, 1.35), (38, 175)),  # ASTM A1070, seen
        ("alnico 3", (0.52, 1.35), (38, 175)),
        ("alnico 5", (1.25, 1.30), (47.7, 52.5)),  # AlNiCo 37/5, tmcmagnetics.com, seen
        ("alnico 8", (0.52, 1.35), (38, 175)),
        ("Y25", (0.36, 0.40), (135, 170)),  # SJ/T 10410 as several makers print it, seen
        ("Y30", (0.37, 0.40), (175, 210)),
        ("Y35", (0.40, 0.41), (175, 195)),
        ("N35", (1.17, 1.22), (800, 1100)),  # remanence: aomagnet.com, jofov.com, seen; ASTM A1101: 1.08 T to 1.5 T
        ("N42", (1.28, 1.32), (800, 1100)),
        ("N45", (1.32, 1.38), (800, 1100)),
        ("N52", (1.43, 1.48), (796, 1100)),
    ],
)
def test_m12_grades(grade, remanence, coercivity):
    data = magnet(1, grade).data
    assert remanence[0] <= data.remanence <= remanence[1]
    assert coercivity[0] <= GRADES[grade].coercivity[0] / 1e3 < GRADES[grade].coercivity[1] / 1e3 <= coercivity[1]


@pytest.mark.parametrize("grade", [name for name in GRADES if name not in ALNICO])
def test_energy_product_of_a_straight_line(grade):
    """(BH)max = B_r^2/(4 mu0 mu_rec) where the curve is straight (textbook): must lie in the printed range, to its rounding.

    Catches kJ for J, and a remanence in kilogauss.
    """
    data, printed = magnet(1, grade).data, GRADES[grade].energy_product
    assert 0.95 * printed[0] < data.remanence**2 / (4 * MU0 * data.recoil_permeability) < 1.05 * printed[1]


@pytest.mark.parametrize("grade", ALNICO)
def test_curve_goes_through_its_three_figures(grade):
    data = magnet(1, grade).data
    curve = demagnetising_curve(data.curve, data.recoil_permeability)
    h = np.linspace(0.0, curve.coercivity, 20001)
    assert curve.remanence == pytest.approx(middle(GRADES[grade].remanence))
    assert curve.flux_density(np.array([curve.coercivity]))[0] == pytest.approx(0.0, abs=1e-9)
    assert np.max(curve.flux_density(h) * h) == pytest.approx(middle(GRADES[grade].energy_product), rel=2e-3)


@pytest.mark.parametrize("grade", ALNICO)
@pytest.mark.parametrize("permeance", [3.0, 10.0, 20.0, 40.0])
def test_curve_against_the_handbooks_hyperbola(grade, permeance):
    """Flux density on a load line, from the rectangular hyperbola B = B_r (H_c - h)/(H_c - a h), a = (2 sqrt(g) - 1)/g,
    g = (BH)max/(B_r H_c) (Gieras & Wing, Permanent Magnet Motor Technology, ch. 2, memory): another curve through the same figures."""
    knee = magnet(1, grade).data.curve
    fullness = knee.energy_product / (knee.remanence * knee.coercivity)
    a = (2 * np.sqrt(fullness) - 1) / fullness
    curve = demagnetising_curve(knee, magnet(1, grade).data.recoil_permeability)

    def hyperbola(h):
        return knee.remanence * (knee.coercivity - h) / (knee.coercivity - a * h)

    def ours(h):
        return float(curve.flux_density(np.array([h]))[0])

    at = [MU0 * permeance * brentq(lambda h, f=f: f(h) - MU0 * permeance * h, 0.0, knee.coercivity) for f in (hyperbola, ours)]
    assert at[1] == pytest.approx(at[0], rel=0.1)


@pytest.mark.parametrize(("ratio", "loose", "tight"), [(2, 0.093506, 0.14), (10, 0.0049265, 0.0172)])
def test_load_line_of_a_rod(ratio, loose, tight):
    """Handbook graphics: the load line has the slope (1 - N)/N. N of the middle lies between those of a rod that keeps its
    magnetisation (Chen, Brug & Goldfarb 1991, chi = 0, recomputed) and of one that is infinitely soft (Bozorth & Chapin 1942, memory)."""
    flux, against = middle_of(ratio, "alnico 5")
    assert 1 / tight - 1 < flux / (MU0 * against) < 1 / loose - 1


def test_middle_of_a_rod_lies_on_its_curve():
    flux, against = middle_of(4, "alnico 5")
    assert rod(4, "alnico 5").knee.flux_density(np.array([against]))[0] == pytest.approx(flux, rel=0.02)


def test_length_at_which_alnico_works_best():
    """Trade's advice: alnico 5 four diameters or more, at least three (potmagnete.com, magnetfabrik.de, seen): there its middle
    gives nearly (BH)max; twice as short it has lost its strength, twice as long it idles. Alnico 8 is at its best with two."""
    share = {}
    for grade, ratio in (("alnico 5", 2), ("alnico 5", 4), ("alnico 5", 8), ("alnico 8", 2)):
        flux, against = middle_of(ratio, grade)
        share[grade, ratio] = flux * against / middle(GRADES[grade].energy_product)
    assert share["alnico 5", 4] > 0.95
    assert share["alnico 5", 2] < 0.6
    assert share["alnico 5", 8] < 0.6
    assert share["alnico 8", 2] > 0.95


def test_measured_rod():
    """Rod of 0.187 in by 0.650 in, alnico 5: about 95 mT measured on its face, 93 mT by hand at 1 mm (alexkenis.wordpress.com, seen).

    Specimens, and what a probe calls the face, differ by more than this test allows for. By remanence it would be 0.38 T.
    """
    there = solved(rod(0.650 / 0.187, "alnico 5", 0.187 * 25.4e-3))[1].magnet.at(1e-3, AXIS).upwards[0]
    assert there == pytest.approx(0.095, rel=0.3)


def test_spread_of_alnico_holds_its_grades_and_the_measured_rod():
    """Weakest and strongest curve of grade 5 (range as above, seen) give -5/+5 % at 1 mm; 93 mT measured there is within two spreads."""
    grade, block = GRADES["alnico 5"], rod(0.650 / 0.187, "alnico 5", 0.187 * 25.4e-3)
    knees = [demagnetising_curve(Knee(*ends), grade.recoil_permeability) for ends in
             zip(grade.remanence, grade.coercivity, grade.energy_product, strict=True)]  # fmt: skip
    blocks = block, *(replace(block, remanence=knee.left[0], knee=knee) for knee in knees)
    nominal, weak, strong = (solved(one)[1].magnet.at(1e-3, AXIS).upwards[0] for one in blocks)
    spread = magnet(1, "alnico 5").data.spread
    assert (1.0 - spread) * nominal < weak < 0.97 * nominal
    assert 1.03 * nominal < strong < (1.0 + spread) * nominal
    assert (1.0 - 2.0 * spread) * nominal < 0.093 < (1.0 + 2.0 * spread) * nominal


@pytest.mark.parametrize("ratio", [2.1, 3.0, 4.0])
def test_by_remanence_alone_alnico_would_be_far_too_strong(ratio):
    """An early estimate, 2.5 to 5 times the field 1 mm above a rod of two to four diameters: confirmed.

    Pull goes with its square (6 to 25 times) on iron that does not saturate; a music wire of 0.38 mm does, and 4 times was found.
    """
    block = rod(ratio, "alnico 5")
    bare = Block(*block.edges, 1.05, block.remanence)
    times = solved(bare)[1].magnet.at(1e-3, AXIS).upwards[0] / solved(block)[1].magnet.at(1e-3, AXIS).upwards[0]
    assert 2.5 < times < 5.0
