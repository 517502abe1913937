"""Lines stay apart for the common kinds of colour blindness and in grey; envelopes lose no peak.

Sources: relative luminance and contrast ratio as in W3C, Web Content Accessibility Guidelines 2.2, success criterion
1.4.11 (3:1 for parts of a graphic), from memory; worked contrasts 21:1 (black) and 4.48:1 (#777777) on white, from memory.
Colour-blind vision: matrices of Machado, Oliveira and Fernandes (2009), IEEE Trans. Vis. Comput. Graph. 15, severity 1.0,
from memory (each row sums to 1, which is checked). CIE 1976 L*a*b* with D65: CIE 15, from memory.
"""

from itertools import combinations

import numpy as np
import pytest

from wirebloom.views import style
from wirebloom.views.style import FACE, INK, STROKES, WARN, envelope, line_style, panels, plain, save, stroke, thinned

PROTAN = [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
DEUTAN = [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
TRITAN = [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])


def linear(color: str) -> np.ndarray:
    channel = np.array([int(color[k : k + 2], 16) for k in (1, 3, 5)]) / 255.0
    return np.where(channel <= 0.04045, channel / 12.92, ((channel + 0.055) / 1.055) ** 2.4)


def contrast_on_white(color: str) -> float:
    return 1.05 / (float(TO_XYZ[1] @ linear(color)) + 0.05)


def lab(rgb: np.ndarray) -> np.ndarray:
    ratio = (TO_XYZ @ np.clip(rgb, 0.0, 1.0)) / (TO_XYZ @ np.ones(3))
    x, y, z = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def test_contrast_formula_gives_the_guidelines_own_numbers():
    assert contrast_on_white("#000000") == pytest.approx(21.0, abs=1e-9)
    assert contrast_on_white("#777777") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("color", [one.color for one in STROKES] + [INK, WARN])
def test_every_line_stands_out_from_the_paper(color):
    assert contrast_on_white(color) >= 3.0


@pytest.mark.parametrize("vision", [np.eye(3), PROTAN, DEUTAN, TRITAN], ids=["usual", "protan", "deutan", "tritan"])
def test_lines_differ_in_colour_for_every_eye(vision):
    np.testing.assert_allclose(np.sum(vision, axis=1), 1.0, atol=2e-6)
    seen = [lab(np.asarray(vision) @ linear(one.color)) for one in STROKES]
    nearest = min(float(np.linalg.norm(a - b)) for a, b in combinations(seen, 2))
    assert nearest > 15.0


def test_no_two_lines_share_dash_or_marker_so_that_grey_suffices():
    assert len({str(one.linestyle) for one in STROKES}) == len({one.marker for one in STROKES}) == len(STROKES)
    many = [stroke(index) for index in range(36)]
    assert len({(str(one.linestyle), one.marker) for one in many}) == 36


def test_the_face_is_lighter_than_every_line_drawn_over_it():
    assert contrast_on_white(FACE) < min(contrast_on_white(one.color) for one in STROKES)


@pytest.mark.parametrize("points", [1, 2, 5, 400, 100_000])
def test_markers_fit_lines_of_any_length(points):
    first, every = line_style(5, points)["markevery"]
    assert every >= 1
    assert first <= points


@pytest.mark.parametrize("count", [1, 2, 699, 700, 701, 192_000])
def test_envelope_keeps_every_peak(count):
    values = np.random.default_rng(3).normal(size=count)
    start, low, high = envelope(values)
    assert len(start) == len(low) == len(high) == min(count, 700)
    assert (low.min(), high.max()) == (values.min(), values.max())
    assert (low <= values[start]).all()
    assert (values[start] <= high).all()


@pytest.mark.parametrize("count", [1, 1400, 1401, 6000, 99_999])
def test_a_thinned_line_keeps_every_peak_at_its_place_and_is_short(count):
    values = np.random.default_rng(4).normal(size=count)
    x, y = thinned(np.arange(count, dtype=float), values)
    assert len(x) == len(y) <= 2 * style.COLUMNS
    np.testing.assert_array_equal(values[x.astype(int)], y)
    assert (np.diff(x) >= 0.0).all()
    assert (y.min(), y.max()) == (values.min(), values.max())


def test_a_gap_in_a_line_stays_one_when_it_is_thinned():
    values = np.ones(10_000)
    values[3000:6000] = np.nan
    x, y = thinned(np.arange(10_000.0), values)
    assert np.isnan(y[(x > 3050) & (x < 5950)]).all()
    assert not np.isnan(y[(x < 2950) | (x > 6050)]).any()


def test_a_name_that_begins_with_a_low_line_is_in_the_legend():
    """Matplotlib leaves labels out that begin so."""
    _, axes = panels(1, 1, height=1.0)
    axes[0, 0].plot([0, 1], [0, 1], label=style.named("_pier"))
    style.legend_beside(axes[0, 0])
    assert [text.get_text() for text in axes[0, 0].get_legend().get_texts()] == [" _pier"]
    assert len(style.named("w" * 300)) == 32


def test_powers_of_ten_are_letters():
    _, axes = panels(1, 1, height=1.0)
    axes[0, 0].semilogy([1, 2], [1e-9, 1e5])
    style.dress(axes[0, 0], x="time, s", y="share, 1")
    told = [axes[0, 0].yaxis.get_major_formatter()(value, 0) for value in (1e-9, 0.01, 1.0, 1e5)]
    assert told == ["10⁻⁹", "0.01", "1", "10⁵"]
    assert style.power_of_ten(1e-12) == "10⁻¹²"


def test_what_a_user_wrote_stays_text():
    figure, _ = panels(1, 1, height=1.0, title="5$ [b]\\frac{$ \x1b[31m\n" + "w" * 300)
    figure.canvas.draw()  # a formula that cannot be read would raise here
    shown = plain("5$\na  piece")
    assert shown == "5\\$ a piece"
    assert len(plain("w" * 300)) == 90


def test_a_letter_without_a_glyph_raises_no_warning(tmp_path):
    figure, _ = panels(1, 1, height=1.0, title="\u5f26")
    assert save(figure, tmp_path / "strings.png").stat().st_size > 0
